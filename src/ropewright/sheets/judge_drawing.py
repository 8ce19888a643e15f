"""What is left of a rope after each cause, as bars from low to high, with what the rules ask for."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ropewright.quantity import Dimension, Range, UnitSystem, parse_quantity, show, unit_symbol
from ropewright.rope.strength import StrengthChain
from ropewright.rope.today import Allowed, RuleFigure
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.ink import CAUTION
from ropewright.sheets.look import FONT, INK, PALE, PAPER, Look, hatch_patterns, hatched
from ropewright.sheets.scale import Scale

__all__ = ["judge_svg"]

WIDTH, LEFT, RIGHT = 186.0, 62.0, 176.0  #: of the drawing, and of the scale [mm]
SIDE, ROW, BAR = 6.0, 11.5, 4.6  #: left free, of a step, of its bar [mm]
TITLE, TEXT, SMALL = 5.4, 3.6, 3.1  #: em heights [mm]

_SPREAD = Look("", "", "none", INK, ((45.0, 1.6, 0.25),))


def judge_svg(chain: StrengthChain, use: Allowed, asked: RuleFigure | None, units: UnitSystem) -> str:
    """Drawing of a strength chain: what was told, then what each cause leaves, low end filled, to the high end hatched.

    Parameters
    ----------
    chain : StrengthChain
    use : Allowed
        Whether it may be a lifeline: it stands first.
    asked : RuleFigure, optional
        What the rules ask of the line, drawn as a line down the bars.
    units : UnitSystem

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    rows = [("told", chain.told, True), *((step.name, step.left, step.settles) for step in chain.steps)]
    scale = _scale(chain, asked, units)
    body, y = _head(use)
    top = y + 2.0
    y = top
    for name, left, settles in rows:
        body += _bar(name if settles else f"{name} *", left, scale, y, units)
        y += ROW
    body += _axis(scale, asked, (top, y), units)
    y += 14.0
    notes = ["* remembered, judged or from a weak source: never lets anything hold by itself."]
    foot = [words for note in (*notes, CAUTION) for words in wrapped(note, WIDTH - 2 * SIDE, SMALL, 3)]
    body += [svg.text(words, (SIDE, y + 1.3 * SMALL * k), SMALL, fill=PALE) for k, words in enumerate(foot)]
    return _document(body, y + 1.3 * SMALL * len(foot), f"{use.verdict.value} as a lifeline: {use.reason}")


def _document(body: list[str], height: float, told: str) -> str:
    return svg.tag(
        "svg",
        svg.tag("title", "What is left of a rope"),
        svg.tag("desc", svg.text_of(told)),
        svg.tag("defs", hatch_patterns({"rw-spread": _SPREAD})),
        svg.rectangle((0, 0), WIDTH, height, fill=PAPER),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        width=f"{WIDTH:g}mm",
        height=f"{height:g}mm",
        viewBox=f"0 0 {WIDTH:g} {height:g}",
        font_family=FONT,
        fill=INK,
    )


def _head(use: Allowed) -> tuple[list[str], float]:
    body = [svg.text(f"{use.verdict.value.upper()} as a lifeline", (SIDE, 9.5), TITLE, font_weight=600)]
    lines = wrapped(f"{use.reason} ({use.source})", WIDTH - 2 * SIDE, TEXT, 4)
    body += [svg.text(words, (SIDE, 15.5 + 1.25 * TEXT * k), TEXT) for k, words in enumerate(lines)]
    return body, 18.0 + 1.25 * TEXT * len(lines)


def _scale(chain: StrengthChain, asked: RuleFigure | None, units: UnitSystem) -> Scale:
    unit = parse_quantity(f"1 {unit_symbol(Dimension.FORCE, units)}", Dimension.FORCE, "unit")
    most = max(chain.told.high, 0.0 if asked is None else asked.force, unit)
    return Scale(0.0, 1.04 * most, LEFT, RIGHT, unit)


def _bar(name: str, left: Range, scale: Scale, y: float, units: UnitSystem) -> Iterator[str]:
    start, low, likely, high = (scale.at(force) for force in (0.0, left.low, left.likely, left.high))
    top = y + 1.5
    yield svg.text(name, (LEFT - 2.5, top + BAR / 2 + 0.35 * TEXT), TEXT, text_anchor="end")
    if high > low:
        corners = np.array([[low, top], [high, top], [high, top + BAR], [low, top + BAR]])
        yield hatched([corners], "rw-spread", _SPREAD)
        yield svg.rectangle((low, top), high - low, BAR, fill="none", stroke=INK, stroke_width=0.25)
    if low > start:
        yield svg.rectangle((start, top), low - start, BAR, fill=PALE, stroke=INK, stroke_width=0.25)
    yield svg.line((likely, top - 0.7), (likely, top + BAR + 0.7), stroke=INK, stroke_width=0.8)
    words = " to ".join(
        dict.fromkeys(show(force, Dimension.FORCE, units, toward="low") for force in (left.low, left.high))
    )
    yield svg.text(words, (LEFT + 1.0, top + BAR + 3.3), SMALL)


def _axis(scale: Scale, asked: RuleFigure | None, across: tuple[float, float], units: UnitSystem) -> Iterator[str]:
    top, y = across
    yield svg.line((scale.start, y), (scale.end, y), stroke=INK, stroke_width=0.5)
    for x, figure in scale.ticks():
        yield svg.line((x, y), (x, y + 1.2), stroke=INK, stroke_width=0.35)
        yield svg.text(figure, (x, y + 4.6), SMALL, text_anchor="middle")
    symbol = unit_symbol(Dimension.FORCE, units)
    yield svg.text(f"low end filled, to the high end hatched, likely a stroke; {symbol}", (RIGHT, y + 9.2), SMALL,
                   text_anchor="end", fill=PALE)  # fmt: skip
    if asked is not None:
        x = scale.at(asked.force)
        yield svg.line((x, top - 0.5), (x, y), stroke=INK, stroke_width=0.6, stroke_dasharray="2 1")
        words = f"asked: {show(asked.force, Dimension.FORCE, units, toward='high')}"
        yield svg.text(words, (x + 1.0, top - 1.6), SMALL, text_anchor="end", font_weight=600)
