"""Stretch of a rope against the length that is out, as two bands: under a worker, and in a catch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ropewright.quantity import Dimension, Range, UnitSystem, parse_quantity, show, unit_symbol
from ropewright.rope.stretch import StretchTable
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.ink import CAUTION
from ropewright.sheets.labels import text_width
from ropewright.sheets.look import FONT, INK, PALE, PAPER, Look, hatch_patterns, hatched
from ropewright.sheets.scale import Scale

__all__ = ["stretch_svg"]

WIDTH, HEIGHT = 150.0, 96.0  #: of the drawing at least [mm]
LEFT, RIGHT, TOP, FOOT = 16.0, 112.0, 12.0, 80.0  #: of the frame [mm]
TEXT, SMALL = 4.0, 3.6  #: em heights [mm]

_LOOKS = {
    "rw-hang": Look("", "", "none", INK, ((0.0, 1.4, 0.18),)),
    "rw-catch": Look("", "", "none", INK, ((45.0, 2.4, 0.3),)),
}


def stretch_svg(table: StretchTable, units: UnitSystem) -> str:
    """Drawing of a stretch table: bands from low to high, the likely value a line, named at their right end.

    Parameters
    ----------
    table : StretchTable
    units : UnitSystem

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    unit = parse_quantity(f"1 {unit_symbol(Dimension.LENGTH, units)}", Dimension.LENGTH, "unit")
    last = table.rows[-1]
    most = max(last.catch.high, last.hang.high)
    x, y = Scale(0.0, last.length, LEFT, RIGHT, unit), Scale(0.0, 1.05 * most, FOOT, TOP, unit)
    named = [
        ("rw-catch", [row.catch for row in table.rows], f"catch of {show(table.force, Dimension.FORCE, units)}"),
        ("rw-hang", [row.hang for row in table.rows], f"hanging, {show(table.mass, Dimension.MASS, units)}"),
    ]
    lengths = [0.0, *(row.length for row in table.rows)]
    width = max(WIDTH, *(RIGHT + 4.0 + text_width(words, TEXT) for _, _, words in named))
    caution = wrapped(CAUTION, width - LEFT, SMALL, 3)
    height = HEIGHT + 1.3 * SMALL * len(caution)
    body = [
        svg.tag("title", "Stretch against rope out"),
        svg.tag("desc", svg.text_of("; ".join(words for _, _, words in named))),
        svg.tag("defs", hatch_patterns(_LOOKS)),
        svg.rectangle((0, 0), width, height, fill=PAPER),
        *_axes(x, y, unit_symbol(Dimension.LENGTH, units)),
        *(part for name, spreads, _ in named for part in _band(name, lengths, spreads, x, y)),
        *_words([(spreads[-1], words) for _, spreads, words in named], y, units),
        *(svg.text(line, (LEFT - 12.0, HEIGHT + 1.3 * SMALL * k), SMALL, fill=PALE) for k, line in enumerate(caution)),
    ]
    return svg.tag(
        "svg",
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        width=f"{width:g}mm",
        height=f"{height:g}mm",
        viewBox=f"0 0 {width:g} {height:g}",
        font_family=FONT,
        fill=INK,
    )


def _axes(x: Scale, y: Scale, symbol: str) -> Iterator[str]:
    yield svg.line((LEFT, FOOT), (RIGHT, FOOT), stroke=INK, stroke_width=0.5)
    yield svg.line((LEFT, FOOT), (LEFT, TOP), stroke=INK, stroke_width=0.5)
    for at, figure in x.ticks(7):
        yield svg.line((at, FOOT), (at, FOOT + 1.5), stroke=INK, stroke_width=0.35)
        yield svg.text(figure, (at, FOOT + 5.4), SMALL, text_anchor="middle")
    for at, figure in y.ticks(7):
        yield svg.line((LEFT - 1.5, at), (RIGHT, at), stroke=PALE, stroke_width=0.12)
        yield svg.text(figure, (LEFT - 2.5, at + 0.35 * SMALL), SMALL, text_anchor="end")
    yield svg.text(f"rope out, {symbol}", (RIGHT, FOOT + 11.0), SMALL, text_anchor="end", fill=PALE)
    yield svg.text(f"stretch, {symbol}", (LEFT - 12.0, TOP - 5.0), SMALL, fill=PALE)


def _band(name: str, lengths: Sequence[float], spreads: Sequence[Range], x: Scale, y: Scale) -> Iterator[str]:
    def curve(values: Sequence[float]) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
        return np.array([(x.at(length), y.at(value)) for length, value in zip(lengths, [0.0, *values], strict=True)])

    low, high = curve([spread.low for spread in spreads]), curve([spread.high for spread in spreads])
    yield hatched([np.vstack([low, high[::-1]])], name, _LOOKS[name])
    for edge in (low, high):
        yield svg.polyline(edge, stroke=INK, stroke_width=0.25)
    yield svg.polyline(curve([spread.likely for spread in spreads]), stroke=INK, stroke_width=0.7)


def _words(ends: Sequence[tuple[Range, str]], y: Scale, units: UnitSystem) -> Iterator[str]:
    """Yield each band's name and figures at its right end, clear of each other, the higher band first."""
    lowest = TOP - 2.0
    for spread, words in sorted(ends, key=lambda end: -end[0].likely):
        at = max(y.at(spread.likely), lowest + TEXT)
        low = show(spread.low, Dimension.LENGTH, units, toward="low")
        high = show(spread.high, Dimension.LENGTH, units, toward="high")
        yield svg.text(words, (RIGHT + 2.0, at), TEXT, font_weight=600)
        yield svg.text(f"{low} to {high}", (RIGHT + 2.0, at + 1.2 * TEXT), TEXT)
        lowest = at + 2.0 * TEXT
