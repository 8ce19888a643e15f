"""Break loads of one batch on a scale, with the three figures that are each called a minimum."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from ropewright.quantity import Dimension, UnitSystem, parse_quantity, show, unit_symbol
from ropewright.rope.batch import BatchTest
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.ink import CAUTION
from ropewright.sheets.labels import text_width
from ropewright.sheets.look import FONT, INK, PALE, PAPER
from ropewright.sheets.scale import Scale

__all__ = ["batch_svg"]

WIDTH = 150.0  #: of the drawing at least [mm]
SIDE = 12.0  #: left free at each end of the scale [mm]
TEXT, SMALL = 4.0, 3.6  #: em heights [mm]
ROW = 6.0  #: from one name to the next [mm]
BESIDE = 1.5  #: from a line to its words [mm]
DOT = 1.4  #: radius of the ring of one piece [mm]
TOP = 6.0  #: from the upper end to the first name [mm]


def batch_svg(test: BatchTest, units: UnitSystem) -> str:
    """Drawing of a batch's break loads: a ring a piece, a line for each figure, named with its load.

    Parameters
    ----------
    test : BatchTest
    units : UnitSystem

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    marks = _marks(test, units)
    symbol = unit_symbol(Dimension.FORCE, units)
    scale = _scale(test, [force for force, _ in marks], symbol)
    stacks = [(scale.at(load), len(list(same))) for load, same in groupby(test.breaks)]
    foot = TOP + ROW * len(marks) + 2.6 * DOT * (max(count for _, count in stacks) + 1)
    width = max(WIDTH, *(scale.at(force) + 2 * BESIDE + text_width(words, TEXT) for force, words in marks))
    caution = wrapped(CAUTION, width - 2 * SIDE, SMALL, 3)
    height = foot + 15.0 + 1.3 * SMALL * len(caution)
    body = [
        svg.tag("title", "Break loads of a batch"),
        svg.tag("desc", svg.text_of("; ".join(words for _, words in marks))),
        svg.rectangle((0, 0), width, height, fill=PAPER),
        *_named(marks, scale, foot),
        *_pieces(stacks, foot),
        *_drawn(scale, symbol, foot),
        *(svg.text(line, (SIDE, foot + 16.0 + 1.3 * SMALL * k), SMALL, fill=PALE) for k, line in enumerate(caution)),
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


def _scale(test: BatchTest, marks: Sequence[float], symbol: str) -> Scale:
    low, high = min(marks), max(*test.breaks, *marks)
    span = max(high - low, 0.02 * high)
    unit = parse_quantity(f"1 {symbol}", Dimension.FORCE, "unit")
    return Scale(max(low - 0.06 * span, 0.0), high + 0.06 * span, SIDE, WIDTH - SIDE, unit)


def _marks(test: BatchTest, units: UnitSystem) -> list[tuple[float, str]]:
    """Figures with their words, lowest first."""
    named = (
        (test.tolerance, f"tolerance limit {test.coverage:.4g} / {test.confidence:.4g}"),
        (test.three_sigma, "mean less 3 sd"),
        (test.minimum, "weakest piece"),
        (test.mean, "mean"),
    )
    known = [(force, name) for force, name in named if force is not None]
    return sorted((force, f"{name}: {show(force, Dimension.FORCE, units, toward='low')}") for force, name in known)


def _named(marks: list[tuple[float, str]], scale: Scale, foot: float) -> Iterator[str]:
    """Lines down to the scale, the lowest figure on the top row, so that no line runs through words."""
    for row, (force, words) in enumerate(marks):
        x, y = scale.at(force), TOP + ROW * row
        yield svg.line((x, y - SMALL * 0.8), (x, foot), stroke=INK, stroke_width=0.35)
        yield svg.text(words, (x + BESIDE, y), TEXT)


def _pieces(stacks: list[tuple[float, int]], foot: float) -> Iterator[str]:
    for x, count in stacks:
        for k in range(count):
            yield svg.circle((x, foot - 1.5 * DOT - 2.6 * DOT * k), DOT, fill=PAPER, stroke=INK, stroke_width=0.4)


def _drawn(scale: Scale, symbol: str, y: float) -> Iterator[str]:
    """Yield the scale's line, its ticks and their figures."""
    yield svg.line((scale.start, y), (scale.end, y), stroke=INK, stroke_width=0.5)
    for x, figure in scale.ticks():
        yield svg.line((x, y), (x, y + 1.5), stroke=INK, stroke_width=0.35)
        yield svg.text(figure, (x, y + 5.4), SMALL, text_anchor="middle")
    yield svg.text(f"break load, {symbol}", (scale.end, y + 10.2), SMALL, text_anchor="end", fill=PALE)
