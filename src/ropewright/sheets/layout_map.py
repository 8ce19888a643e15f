"""The layout of anchors on the plan of the roof: where they go, where they could have gone, what is covered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.job.assessment import Zone, ZoneField
from ropewright.job.layout_model import Layout, Placed
from ropewright.quantity import Dimension, show
from ropewright.sheets import svg
from ropewright.sheets.canvas import SMALL, Canvas
from ropewright.sheets.labels import ON_LINE, Label, Labels, box_at
from ropewright.sheets.layout_foot import Sign, draw_foot, foot_height, sheet_with_foot
from ropewright.sheets.layout_words import anchor_place, bound_line, headline
from ropewright.sheets.look import FONT, INK, PALE, PAPER, WHITE, Look, hatch_patterns, hatched
from ropewright.sheets.map_openings import beside
from ropewright.sheets.map_roof import draw_roof, letter_inner_edges, roof_shape
from ropewright.sheets.map_site import OBSTACLE_HATCH, draw_obstacles, letter_obstacles
from ropewright.sheets.paper import Plan, Sheet, extent_on_paper, fitting_scale, sheet_for
from ropewright.sheets.roof_plan import letter_outer_edges
from ropewright.sheets.writing import write_bytes_atomic, write_text_atomic
from ropewright.sheets.zones import zone_middles, zone_shapes

__all__ = ["layout_map_svg", "write_layout_map", "write_layout_pdf"]

Floats = NDArray[np.float64]

#: Room outside the roof for the names of its edges. [mm]
_MARGIN = 13.0
COVERED, BARE, FORBIDDEN = "covered", "not covered", "no anchor here"
#: The ground and the hatch of what is covered and what is not; told apart in grey by dark against light.
_LOOKS = {
    COVERED: Look(COVERED, "a line holds its worker there", "none", PALE, ((-45, 3.0, 0.14),)),
    BARE: Look(BARE, "no line holds its worker there", "#7d7c78", WHITE, ((45, 1.5, 0.25), (-45, 1.5, 0.25))),
    FORBIDDEN: Look(FORBIDDEN, "no anchor may go there", "none", INK, ((90, 1.6, 0.2),)),
}
#: Squares of the grid are joined by the same means as zones.
_AS_ZONE = {COVERED: Zone.RESTRAINED, BARE: Zone.NOT_HELD}
#: With more anchors than this only their names stand beside them.
_MOST_WITH_STOP = 6
_NEW_SIZE, _KEPT_SIZE = 2.0, 1.7


def write_layout_map(layout: Layout, path: Path | str) -> Path:
    """Path of the map after it was written whole; see `layout_map_svg`.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    return write_text_atomic(path, layout_map_svg(layout))


def write_layout_pdf(layout: Layout, path: Path | str) -> Path:
    """Path of the map on paper after it was written whole, one page however many anchors there are.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    from ropewright.sheets.drawing_pdf import drawing_pdf

    drawn = layout_map_svg(layout, ground=WHITE, to_scale=False)
    return write_bytes_atomic(path, drawing_pdf([drawn], f"Anchors for {layout.job.name}", layout.job.units))


def layout_map_svg(layout: Layout, *, ground: str = PAPER, to_scale: bool = True) -> str:
    """Plan of the roof with a layout of anchors, as an SVG document that needs nothing from outside itself.

    Parameters
    ----------
    layout : Layout
    ground : str
        Colour of the paper.
    to_scale : bool
        False: the sheet will be made smaller to fit a page, so that only the bar tells its scale.

    Returns
    -------
    str
        One user unit is 1 mm on the sheet. Equal for equal layouts.
    """
    job, signs = layout.job, list(_signs(layout, ground))
    sheet = sheet_with_foot(layout, sheet_for(job.units), signs)
    foot = foot_height(layout, sheet, signs)
    frame = (1.5, 1.5, sheet.width - 1.5, sheet.height - foot - 1.5)
    canvas = Canvas(_plan(layout, frame), Labels(frame), job.units, ground)
    _draw(canvas, layout)
    name = "rw-{}".format
    body = [
        svg.tag("title", svg.text_of(f"Anchors for {job.name}")),
        svg.tag("desc", svg.text_of(_described(layout))),
        svg.tag(
            "defs",
            hatch_patterns(
                {name(key.replace(" ", "-")): look for key, look in _LOOKS.items()}
                | {"rw-obstacle": Look("", "", "none", INK, (OBSTACLE_HATCH,))}
            ),
            roof_shape(canvas, job.roof),
        ),
        svg.rectangle((0, 0), sheet.width, sheet.height, fill=ground),
        canvas.drawn(),
        draw_foot(layout, sheet, signs, canvas, to_scale=to_scale),
        svg.rectangle((0.25, 0.25), sheet.width - 0.5, sheet.height - 0.5, fill="none", stroke=INK, stroke_width=0.5),
    ]
    return _document(body, sheet)


def _document(body: Sequence[str], sheet: Sheet) -> str:
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


def _described(layout: Layout) -> str:
    """Return what the map shows, in words, for those who can't see it."""
    where = " ".join(f"{one.name}: {anchor_place(layout.job, one)}." for one in (*layout.kept, *layout.anchors))
    bare = " ".join(f"Not covered, {len(row.places)} places in {row.area}: {row.why}." for row in layout.bare)
    return f"{headline(layout)} {bound_line(layout)} {where} {bare}".strip()


def _plan(layout: Layout, frame: tuple[float, float, float, float]) -> Plan:
    """Largest usual scale at which the roof fits, with the roof in the middle of the frame."""
    left, top, right, bottom = frame
    corners = np.vstack([facet.ring[:, :2] for facet in layout.job.roof.facets])
    anchors = [one.point[None, :2] for one in (*layout.anchors, *layout.kept)]
    corners = np.vstack([corners, *anchors])
    centre = (corners.min(axis=0) + corners.max(axis=0)) / 2
    box = np.array([corners.min(axis=0), corners.max(axis=0)]) - centre
    scale = fitting_scale([(box, _MARGIN)], (right - left, bottom - top), layout.job.units)
    middle = centre + extent_on_paper([(box, _MARGIN)], scale.ratio).mean(axis=0) * scale.ratio / 1000
    return Plan(scale, (float(middle[0]), float(middle[1])), ((left + right) / 2, (top + bottom) / 2))


def _draw(canvas: Canvas, layout: Layout) -> None:
    """Draw from what can't move to what can: signs, then words that must stand, then words that may be left off."""
    job, field = layout.job, _field(layout)
    _draw_cover(canvas, field)
    draw_roof(canvas, job.roof)
    _draw_forbidden(canvas, layout)
    draw_obstacles(canvas, job.site.obstacles)
    _draw_openings(canvas, layout)
    _draw_candidates(canvas, layout)
    for placed in (*layout.kept, *layout.anchors):
        _draw_anchor(canvas, placed)
    for placed in (*layout.kept, *layout.anchors):
        at = canvas.place(placed.point)
        canvas.letter(beside(box_at(at, 3.0, 3.0), _label(layout, placed)))
    _letter_cover(canvas, field)
    letter_obstacles(canvas, job.site.obstacles)
    letter_outer_edges(canvas, job.roof)
    letter_inner_edges(canvas, job.roof)


def _field(layout: Layout) -> ZoneField:
    zones = tuple(_AS_ZONE[COVERED if held else BARE] for held in layout.covered)
    return ZoneField("", "", layout.places.points, layout.places.step, zones)


def _draw_cover(canvas: Canvas, field: ZoneField) -> None:
    """Hatch what is covered and what is not, cut off at the roof's edge."""
    shapes = zone_shapes([field])
    drawn = []
    for word, zone in _AS_ZONE.items():
        rings = [canvas.place(ring) for ring in shapes.get(zone, [])]
        if rings:
            drawn.append(hatched(rings, f"rw-{word.replace(' ', '-')}", _LOOKS[word]))
            drawn.append(svg.path(rings, fill="none", stroke=PALE, stroke_width=0.2, stroke_dasharray="0.4 0.8"))
    canvas.add("zones", svg.tag("g", *drawn, clip_path="url(#rw-roof-shape)"))


def _letter_cover(canvas: Canvas, field: ZoneField) -> None:
    """Write the word of each part once, where there is room in it."""
    words = {zone: word for word, zone in _AS_ZONE.items()}
    for zone, points in zone_middles([field]).items():
        places = [
            Label(words[zone], place, SMALL, bold=words[zone] == BARE, dislike=0.02 * rank)
            for rank, place in enumerate(canvas.place(points))
        ]
        if canvas.letter(places, at_most=ON_LINE) is None and words[zone] == BARE:
            at = canvas.place(points[0])
            canvas.letter(beside(box_at(at, 1.0, 1.0), BARE))


def _draw_forbidden(canvas: Canvas, layout: Layout) -> None:
    for area in layout.job.no_anchor:
        for ring in area.rings:
            shape = canvas.place(ring)
            canvas.add(
                "site",
                hatched([shape], f"rw-{FORBIDDEN.replace(' ', '-')}", _LOOKS[FORBIDDEN], stroke=INK, stroke_width=0.2),
            )


def _draw_openings(canvas: Canvas, layout: Layout) -> None:
    for opening in layout.job.roof.openings:
        ring = canvas.place(opening.ring)
        canvas.labels.block(ring)
        canvas.add("marks", svg.polygon(ring, fill=canvas.ground, stroke=INK, stroke_width=0.4))
        half = len(ring) // 2
        canvas.add(
            "marks", *(svg.line(ring[i], ring[(i + half) % len(ring)], stroke=INK, stroke_width=0.2) for i in (0, 1))
        )


def _draw_candidates(canvas: Canvas, layout: Layout) -> None:
    """Draw a small ring where an anchor could have gone."""
    for at in canvas.place(layout.candidates):
        canvas.add("ropes", svg.circle(at, 0.55, fill=canvas.ground, stroke=INK, stroke_width=0.2))


def _draw_anchor(canvas: Canvas, placed: Placed) -> None:
    at = canvas.place(placed.point)
    canvas.labels.block(box_at(at, 6.0, 6.0))
    canvas.add("marks", _anchor_sign(at, canvas.ground, kept=placed.kept))


def _anchor_sign(at: Floats, ground: str, *, kept: bool) -> str:
    """Return a ring with a cross for an anchor that is there, a black square on its corner for a new one."""
    if kept:
        arm = np.array([_KEPT_SIZE + 0.9, 0.0])
        return (
            svg.circle(at, _KEPT_SIZE, fill=ground, stroke=INK, stroke_width=0.45)
            + svg.line(at - arm, at + arm, stroke=INK, stroke_width=0.25)
            + svg.line(at - arm[::-1], at + arm[::-1], stroke=INK, stroke_width=0.25)
        )
    corners = at + _NEW_SIZE * np.array([[0.0, -1.0], [1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]])
    return svg.polygon(corners, fill=INK, stroke=ground, stroke_width=0.5)


def _label(layout: Layout, placed: Placed) -> str:
    """Name of an anchor, with the setting where all lines on it have one and there is room for it."""
    units = layout.job.units
    if len(layout.anchors) + len(layout.kept) > _MOST_WITH_STOP:
        return placed.name
    stops = {show(one.stop, Dimension.LENGTH, units, toward="low") for one in placed.settings}
    return f"{placed.name}, stop {stops.pop()}" if len(stops) == 1 else placed.name


def _signs(layout: Layout, ground: str) -> Iterator[Sign]:
    """Signs of the key, each in a box 8 mm wide round y = 0."""
    middle = np.array([4.0, 0.0])
    if layout.anchors:
        yield Sign(_anchor_sign(middle, ground, kept=False), "new anchor")
    if layout.kept:
        yield Sign(_anchor_sign(middle, ground, kept=True), "anchor that is there")
    yield Sign(svg.circle(middle, 0.55, fill=ground, stroke=INK, stroke_width=0.2), "place for an anchor, not taken")
    box = np.array([[0.0, -1.6], [8.0, -1.6], [8.0, 1.6], [0.0, 1.6]])
    shown = [COVERED] * bool(layout.covered.any()) + [BARE] * (not layout.covered.all())
    shown += [FORBIDDEN] * bool(layout.job.no_anchor)
    for word in shown:
        name = f"rw-{word.replace(' ', '-')}"
        yield Sign(hatched([box], name, _LOOKS[word], stroke=INK, stroke_width=0.18), word)
