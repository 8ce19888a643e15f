"""A roof alone, to scale: its edges with names and true lengths, its slopes, north and a scale bar."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.quantity import UnitSystem
from ropewright.roof import Edge, Roof
from ropewright.roof.height import plan_outline
from ropewright.roof.outline_rings import inside_ring
from ropewright.sheets import svg
from ropewright.sheets.canvas import BIG, NORMAL, SMALL, Canvas, upright, wrapped
from ropewright.sheets.labels import ON_MARK, Label, Labels, text_width
from ropewright.sheets.look import FONT, INK, PAPER
from ropewright.sheets.map_frame import PAD, north_arrow, scale_bar
from ropewright.sheets.map_roof import draw_roof, letter_inner_edges
from ropewright.sheets.map_slopes import draw_slopes
from ropewright.sheets.paper import Plan, Scale, Sheet, extent_on_paper, fitting_scale, sheet_for
from ropewright.sheets.words import CAUTION
from ropewright.sheets.writing import write_text_atomic

__all__ = ["letter_outer_edges", "roof_plan_svg", "write_roof_plan"]

Floats = NDArray[np.float64]

#: Room outside the roof for the names of its edges. [mm]
_MARGIN = 12.0
#: Height of the block at the foot of the sheet. [mm]
_FOOT = 40.0
#: Names are written this far off their edge. [mm]
_OFF = 3.2
#: A name may be so much longer than an edge that has roof round it. [mm]
_LONGER = 4.0
#: So far out it is looked whether there is roof. [m]
_BEYOND = 0.01


def write_roof_plan(
    roof: Roof, path: Path | str, *, title: str, units: UnitSystem = UnitSystem.METRIC, north: float = 0.0
) -> Path:
    """Path of the plan after it was written whole; see `roof_plan_svg`.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    return write_text_atomic(path, roof_plan_svg(roof, title=title, units=units, north=north))


def roof_plan_svg(roof: Roof, *, title: str, units: UnitSystem = UnitSystem.METRIC, north: float = 0.0) -> str:
    """Plan of a roof to scale as an SVG document that needs nothing from outside itself.

    Parameters
    ----------
    roof : Roof
        +y runs up the sheet.
    title : str
        What is written at the foot, such as the building's id.
    units : UnitSystem
    north : float
        Bearing of +y, clockwise from north. [deg]

    Returns
    -------
    str
        One user unit is 1 mm on the sheet. Equal for equal roofs.
    """
    sheet = sheet_for(units)
    frame = (1.5, 1.5, sheet.width - 1.5, sheet.height - _FOOT - 1.5)
    plan = _placed(roof, frame, units)
    canvas = Canvas(plan, Labels(frame), units)
    draw_roof(canvas, roof)
    letter_outer_edges(canvas, roof)
    draw_slopes(canvas, roof)
    letter_inner_edges(canvas, roof)
    body = [
        svg.tag("title", svg.text_of(f"Roof plan of {title}")),
        svg.rectangle((0, 0), sheet.width, sheet.height, fill=PAPER),
        canvas.drawn(),
        _foot(title, sheet, plan.scale, canvas, north),
        svg.rectangle((0.25, 0.25), sheet.width - 0.5, sheet.height - 0.5, fill="none", stroke=INK, stroke_width=0.5),
    ]
    root = svg.tag(
        "svg",
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        width=f"{sheet.width:g}mm",
        height=f"{sheet.height:g}mm",
        viewBox=f"0 0 {sheet.width:g} {sheet.height:g}",
        font_family=FONT,
    )
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{root}\n'


def _placed(roof: Roof, frame: tuple[float, float, float, float], units: UnitSystem) -> Plan:
    """Largest usual scale at which the roof fits, with the roof in the middle of the frame."""
    left, top, right, bottom = frame
    corners = np.vstack([facet.ring[:, :2] for facet in roof.facets])
    centre = (corners.min(axis=0) + corners.max(axis=0)) / 2  # a map's coordinates are too large for paper
    box = np.array([corners.min(axis=0), corners.max(axis=0)]) - centre
    scale = fitting_scale([(box, _MARGIN)], (right - left, bottom - top), units)
    middle = centre + extent_on_paper([(box, _MARGIN)], scale.ratio).mean(axis=0) * scale.ratio / 1000
    return Plan(scale, (float(middle[0]), float(middle[1])), ((left + right) / 2, (top + bottom) / 2))


def letter_outer_edges(canvas: Canvas, roof: Roof) -> None:
    """Write name and true length outside each fall edge, as far as there is room."""
    outline = _outline(roof)
    for edge in sorted(roof.boundary, key=lambda edge: -edge.length):
        words = f"{edge.name}  {canvas.length(edge.length)}"
        labels = _outside(canvas, edge, (words, edge.name), is_inner=_is_inner(edge, outline))
        if canvas.letter(labels, at_most=ON_MARK - 1) is None:
            canvas.unlettered.append(words)


def _outline(roof: Roof) -> Floats | None:
    """Outermost ring of the roof; none of a measured one whose edges don't close."""
    try:
        return plan_outline(roof)[0]
    except RoofError:
        return None


def _is_inner(edge: Edge, outline: Floats | None) -> bool:
    """Tell whether an edge has roof round it: of a dormer, a courtyard, an opening, over a lower roof."""
    run = (edge.end - edge.start)[:2]
    size = float(np.hypot(*run))
    if outline is None or size == 0.0:
        return False
    beyond = (edge.start + edge.end)[:2] / 2 + _BEYOND * np.array([run[1], -run[0]]) / size
    return bool(inside_ring(outline, beyond[None])[0])


def _outside(canvas: Canvas, edge: Edge, texts: tuple[str, ...], *, is_inner: bool) -> Iterator[Label]:
    """Places for a name beside its edge; one longer than an inner edge would run across its neighbours."""
    start, end = canvas.place(edge.start), canvas.place(edge.end)
    size = float(np.linalg.norm(end - start))
    if size < 1e-6:
        return
    along = (end - start) / size
    away = np.array([-along[1], along[0]])  # to the right of the walk, as y runs down on paper
    for rank, words in enumerate(texts):
        room = size - text_width(words, NORMAL)
        if is_inner and room < -_LONGER:
            continue
        for share in (0.0, 0.4, -0.4, 0.8, -0.8):
            for off in (_OFF, 2 * _OFF):
                middle = (start + end) / 2 + share * max(room, 0.0) / 2 * along + off * away
                dislike = abs(share) + off / _OFF + 8.0 * rank + (0.0 if room > -2.0 else 12.0)
                yield Label(words, middle, NORMAL, upright(along), dislike=dislike)


def _foot(title: str, sheet: Sheet, scale: Scale, canvas: Canvas, north: float) -> str:
    """Title, scale, north and caution, at the foot of the sheet."""
    top, right = sheet.height - _FOOT, sheet.width - 24.0
    bar_at = right - 16.0 - scale.paper(scale.bar)
    room = bar_at - 3 * PAD
    size = min(5.2, max(SMALL, 5.2 * room / text_width(title, 5.2, bold=True)))
    names = wrapped(title, room, size, 2, bold=True)
    said = "Lengths along edges are true lengths."
    if canvas.unlettered:
        said += f" Left off for want of room: {len(canvas.unlettered)} names."
    lines = wrapped(CAUTION, sheet.width - 2 * PAD, SMALL, 3)
    foot = _FOOT - 4.5 * len(lines) - 1.6
    return svg.tag(
        "g",
        svg.line((0, 0), (sheet.width, 0), stroke=INK, stroke_width=0.35),
        svg.line((0, foot), (sheet.width, foot), stroke=INK, stroke_width=0.18),
        *(svg.text(line, (PAD, 7.0 + 6.0 * row), size, font_weight=600) for row, line in enumerate(names)),
        *(svg.text(line, (PAD, 19.0 + 4.4 * row), SMALL) for row, line in enumerate(wrapped(said, room, SMALL, 2))),
        svg.text(scale.text, (bar_at, 7.0), BIG, font_weight=600),
        scale_bar(scale, canvas.units, np.array([bar_at, 12.0])),
        north_arrow(north, np.array([right + 8.0, foot / 2 + 1.5]), PAPER),
        *(svg.text(line, (PAD, foot + 4.4 + 4.5 * row), SMALL) for row, line in enumerate(lines)),
        transform=f"translate(0 {top:g})",
        fill=INK,
    )
