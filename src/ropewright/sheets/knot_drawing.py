"""A knot in steps: pictures with over and under, a sentence under each, what comes first above them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.rope.knot_curves import LaidStrand, knot_pictures
from ropewright.rope.knots import Knot, TiedKnot
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.ink import CAUTION, FONT, INK, PAPER
from ropewright.sheets.tubes import Tube, crossing_range, tubes_drawn

__all__ = ["knot_steps_svg", "knot_svg"]

Floats = NDArray[np.float64]

WIDTH, SIDE, GAP = 186.0, 5.0, 4.0  #: of the sheet, left free at its sides, between pictures [mm]
TITLE, TEXT = 6.0, 3.5  #: em heights [mm]
TALLEST, ROW_TALLEST = 84.0, 56.0  #: picture, and where all stand in one row [mm]
LINE = 0.45  #: [mm]

#: Rope left in the picture beyond the last crossing: of a standing part and of an end. [diameters]
_STANDING, _END = 4.5, 3.5

_FILLS = {"rope": PAPER, "cord": PAPER, "other rope": "#cfcabd", "line": "#cfcabd", "ring": "#a9a59b"}

#: Knots whose last strand end is no rope's end: both sides of the rope, or both legs of a cord, go on.
_GOES_ON = ("butterfly loop", "sliding hitch", "one-and-one hitch")


def knot_svg(tied: TiedKnot, units: UnitSystem) -> str:
    """Drawing of a knot, step by step.

    Parameters
    ----------
    tied : TiedKnot
    units : UnitSystem

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm. Strokes across a rope mark what is new since the step before.
    """
    body, top = _head(tied, units)
    steps, y = _steps(tied.knot, top)
    foot = wrapped(CAUTION, WIDTH - 2 * SIDE, TEXT, 3)
    body += [*steps, *(svg.text(words, (SIDE, y + 3 + 1.25 * TEXT * k), TEXT) for k, words in enumerate(foot))]
    return _document(tied.knot.name, body, y + 4.0 + 1.25 * TEXT * len(foot), framed=True)


def knot_steps_svg(knot: Knot) -> str:
    """Pictures and sentences alone, all in one row, for a sheet that says the rest itself.

    Parameters
    ----------
    knot : Knot

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    body, y = _steps(knot, 1.0, columns=len(knot.steps), tallest=ROW_TALLEST)
    return _document(knot.name, body, y - 3.0, framed=False)


def _steps(knot: Knot, y: float, *, columns: int | None = None, tallest: float = TALLEST) -> tuple[list[str], float]:
    """Pictures in rows, a sentence under each, and the height below them."""
    pictures = [_tubes(knot.name, strands) for strands in knot_pictures()[knot.name]]
    columns = columns or _columns(pictures)
    column = (WIDTH - 2 * SIDE - (columns - 1) * GAP) / columns
    scale = min(min((column - 1) / _extent(p)[0], tallest / _extent(p)[1]) for p in pictures)
    body: list[str] = []
    for start in range(0, len(pictures), columns):
        row = pictures[start : start + columns]
        tall = max(_extent(picture)[1] for picture in row) * scale
        texts = [wrapped(f"{start + k + 1} {knot.steps[start + k]}", column, TEXT, 9) for k in range(len(row))]
        for k, (picture, lines) in enumerate(zip(row, texts, strict=True)):
            x = SIDE + k * (column + GAP)
            body.append(_picture(picture, (x + column / 2, y + tall / 2), scale))
            body += [
                svg.text(words, (x, y + tall + 5.5 + number * 1.25 * TEXT), TEXT) for number, words in enumerate(lines)
            ]
        y += tall + 8.0 + 1.25 * TEXT * max(map(len, texts))
    return body, y


def _columns(pictures: Sequence[Sequence[Tube]]) -> int:
    """Pictures in a row: four upright ones side by side, else rows that come out even."""
    if len(pictures) > 4:
        return 3
    upright = all(width <= height for width, height in map(_extent, pictures))
    return len(pictures) if upright and len(pictures) == 4 else 2


def _document(name: str, body: Sequence[str], height: float, *, framed: bool) -> str:
    frame = svg.rectangle((1, 1), WIDTH - 2, height - 2, fill="none", stroke=INK, stroke_width=0.5)
    ground = (svg.rectangle((0, 0), WIDTH, height, fill=PAPER), frame) if framed else ()
    return svg.tag(
        "svg",
        svg.tag("title", svg.text_of(f"How to tie: {name}")),
        *ground,
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        viewBox=f"0 0 {WIDTH:g} {height:.1f}",
        width=f"{WIDTH:g}mm",
        height=f"{height:.1f}mm",
        font_family=FONT,
        fill=INK,
    )


def _head(tied: TiedKnot, units: UnitSystem) -> tuple[list[str], float]:
    """Name, what the rules say first, then rope and strength; and the height where the pictures begin."""
    knot, wide = tied.knot, WIDTH - 2 * SIDE
    forbidden = any(rule.forbids for rule in tied.rules)
    body = [svg.text(knot.name[0].upper() + knot.name[1:], (SIDE, 10.5), TITLE, font_weight=600)]
    lines: list[tuple[str, bool]] = []
    for rule in tied.rules if forbidden else tied.rules[:2]:
        words = f"{rule.text} ({rule.source})"
        lines += [(words, rule.forbids) for words in wrapped(words, wide, TEXT, 3, bold=rule.forbids)]
    for warning in knot.warnings:
        lines += [(words, True) for words in wrapped(warning, wide, TEXT, 3, bold=True)]
    lines += [(words, False) for words in wrapped(_numbers(tied, units), wide, TEXT, 3)]
    y = 17.0
    for words, bold in lines:
        body.append(svg.text(words, (SIDE, y), TEXT, font_weight=600 if bold else None))
        y += 1.25 * TEXT
    body.append(svg.line((SIDE, y - 1.5), (WIDTH - SIDE, y - 1.5), stroke=INK, stroke_width=0.25))
    return body, y + 3.0


def _numbers(tied: TiedKnot, units: UnitSystem) -> str:
    def length(metres: float) -> str:
        return show(metres, Dimension.LENGTH, units, toward="high")

    share, rule = tied.strength.value, tied.rule_share
    metric = units is UnitSystem.METRIC
    thick = f"{tied.diameter * 1e3:g} mm" if metric else f"{tied.diameter / 0.0254:.3g} in"
    loop = f", of that the loop as drawn {length(tied.loop)}" if tied.loop else ""
    counted = f"; guidance counts a knot with at most {rule.value.high:.0%}" if rule else ""
    left = f"{share.low:.0%}" if share.low == share.high else f"{share.low:.0%} to {share.high:.0%}"
    what = "cord" if tied.tail == 0 else "rope"
    tail = "" if tied.tail == 0 else f"; tail {length(tied.tail)}"
    return (
        f"In {thick} {what}: {length(tied.rope)} of it{loop}{tail}. "
        f"Strength left {left} ({tied.strength.source}){counted}."
    )


def _tubes(name: str, strands: Sequence[LaidStrand]) -> list[Tube]:
    """Strands as tubes, their long ends cut to what the picture needs."""
    tubes = [
        Tube(
            strand.points,
            strand.diameter,
            _FILLS[strand.name],
            strand.new_from,
            ended=name not in _GOES_ON and strand.name in ("rope", "other rope"),
        )
        for strand in strands
    ]
    cut = []
    for strand, tube, found in zip(strands, tubes, crossing_range(tubes), strict=True):
        whole = found is None or strand.name == "ring"
        cut.append(tube if whole or found is None else _cut(tube, *found))
    return cut


def _cut(tube: Tube, first: int, last: int) -> Tube:
    s = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(tube.points, axis=0), axis=1))])
    start = int(np.searchsorted(s, s[first] - _STANDING * tube.width))
    stop = int(np.searchsorted(s, s[last] + (_END if tube.ended else _STANDING) * tube.width)) + 1
    points = tube.points[start : min(stop, len(s))]
    begun = s[start], s[min(stop, len(s)) - 1]
    marked = (tube.marked_from * s[-1] - begun[0]) / (begun[1] - begun[0]) if tube.marked_from < 1 else 1.0
    return Tube(points, tube.width, tube.fill, min(max(marked, 0.0), 1.0), tube.ended)


def _bounds(tubes: Sequence[Tube]) -> tuple[Floats, Floats]:
    low = np.min([tube.points[:, :2].min(0) - tube.width / 2 for tube in tubes], axis=0)
    high = np.max([tube.points[:, :2].max(0) + tube.width / 2 for tube in tubes], axis=0)
    return low, high


def _extent(tubes: Sequence[Tube]) -> Floats:
    """Width and height of a picture, in rope diameters."""
    low, high = _bounds(tubes)
    extent: Floats = high - low
    return extent


def _picture(tubes: Sequence[Tube], middle: tuple[float, float], scale: float) -> str:
    low, high = _bounds(tubes)
    centre = (low + high) / 2

    def place(points: Floats) -> Floats:
        placed: Floats = (points[:, :2] - centre) * np.array([scale, -scale]) + np.asarray(middle)
        return placed

    return svg.tag("g", *tubes_drawn(tubes, place, scale, LINE))
