"""Where each metre of clearance goes: the sums of book and simulation to scale, like two ladders down to the ground."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from ropewright.job.bench_fall import BenchAnswer
from ropewright.quantity import Dimension, UnitSystem, parse_quantity, show, unit_symbol
from ropewright.sheets import svg
from ropewright.sheets.fall_strips import Say
from ropewright.sheets.scale import Scale

__all__ = ["RUNGS", "ladder_svg"]

WIDTH, TOP, DEEP = 120.0, 14.0, 112.0  #: of the drawing; where the sums begin and how deep the deepest goes [mm]
COLUMNS = (14.0, 67.0)  #: left sides of the two ladders [mm]
RUNG = 9.0  #: width of a ladder [mm]
TEXT = 4.2  #: em height [mm]
LEAST = 5.4  #: room that the name of a rung needs [mm]
INK = "currentColor"

#: Part of a sum -> its short name beside the ladder.
RUNGS: Mapping[str, str] = MappingProxyType(
    {
        "free_fall": "free fall",
        "grab_slide": "grab travels",
        "deceleration": "absorber opens",
        "rope_stretch": "rope stretches",
        "spring": "lanyard, anchor give",
        "later": "sinks further",
        "harness_shift": "harness, D-ring",
        "swing_drop": "swing",
        "margin": "margin",
    }
)


def ladder_svg(answer: BenchAnswer, deepest: float, units: UnitSystem, *, title: str, say: Say = str) -> str:
    """Drawing of both sums below the surface stood on, beside what is free.

    Parameters
    ----------
    answer : BenchAnswer
    deepest : float
        How far down the scale reaches at least, so that two falls can be compared by eye. [m]
    units : UnitSystem
    title : str
    say : callable
        Gives each word of the drawing in another language.

    Returns
    -------
    str
        An SVG element to stand in a page.
    """
    clear = answer.setup.clearance
    low = max(deepest, answer.needed, clear or 0.0) * 1.04
    unit = parse_quantity(f"1 {unit_symbol(Dimension.LENGTH, units)}", Dimension.LENGTH, "unit")
    y = Scale(0.0, low, TOP, TOP + DEEP, unit)
    book = [(term.key, float(term.value)) for term in answer.book.terms]
    body = [
        svg.tag("title", svg.text_of(title)),
        svg.tag("desc", svg.text_of(_told(answer, units, say))),
        *_scale(y, units, say),
        *_ladder(COLUMNS[0], say("by the book"), book, y, units, say),
        *_ladder(COLUMNS[1], say("simulated, likely"), list(answer.simulated), y, units, say),
        *_worst(answer, y, units, say),
        *_ground(clear, y, units, say),
    ]
    return svg.tag("svg", *body, class_="ladder", role="img", viewBox=f"0 0 {WIDTH:g} {TOP + DEEP + 4:g}", fill=INK)


def _told(answer: BenchAnswer, units: UnitSystem, say: Say) -> str:
    book = show(float(answer.book.total), Dimension.LENGTH, units, toward="high")
    likely = show(answer.needed_likely, Dimension.LENGTH, units, toward="high")
    return f"{say('by the book')} {book}; {say('simulated, likely')} {likely}."


def _scale(y: Scale, units: UnitSystem, say: Say) -> Iterator[str]:
    yield svg.line((12.0, TOP), (WIDTH - 2.0, TOP), stroke=INK, stroke_width=0.8)
    yield svg.text(say("surface stood on"), (WIDTH - 2.0, TOP - 1.4), TEXT * 0.9, text_anchor="end", class_="behind")
    for at, figure in y.ticks(9):
        yield svg.line((9.5, at), (12.0, at), stroke=INK, stroke_width=0.3)
        yield svg.text(figure, (8.8, at + 0.35 * TEXT), TEXT * 0.85, text_anchor="end")
    yield svg.text(unit_symbol(Dimension.LENGTH, units), (8.8, TOP - 3.4), TEXT * 0.85, text_anchor="end")


def _ladder(
    left: float, head: str, parts: list[tuple[str, float]], y: Scale, units: UnitSystem, say: Say
) -> Iterator[str]:
    yield svg.text(head, (left, TOP - 8.0), TEXT, font_weight=600)
    top, free = 0.0, TOP
    for number, (key, value) in enumerate(parts):
        start, end = y.at(top), y.at(top + value)
        yield svg.rectangle(
            (left, start), RUNG, end - start, class_=f"rung rung-{number % 2}", stroke=INK, stroke_width=0.4
        )
        at = max((start + end) / 2 + 0.35 * TEXT, free + 0.8 * TEXT)
        free = at + (LEAST - 0.8 * TEXT)
        words = f"{say(RUNGS[key])} {show(value, Dimension.LENGTH, units, toward='high')}"
        yield svg.line((left + RUNG, (start + end) / 2), (left + RUNG + 1.6, at - 0.35 * TEXT), stroke=INK,
                       stroke_width=0.2)  # fmt: skip
        yield svg.text(words, (left + RUNG + 2.0, at), TEXT * 0.9)
        top += value
    total = show(top, Dimension.LENGTH, units, toward="high")
    yield svg.text(total, (left, TOP - 2.4), TEXT * 1.1, font_weight=600)


def _worst(answer: BenchAnswer, y: Scale, units: UnitSystem, say: Say) -> Iterator[str]:
    """Draw how far the simulation reaches with every input at its unsafe end."""
    left, right = COLUMNS[1], COLUMNS[1] + RUNG
    start, end = y.at(answer.needed_likely), y.at(answer.needed_high)
    if end - start < 0.3:
        return
    yield svg.rectangle((left, start), RUNG, end - start, class_="band", stroke=INK, stroke_width=0.3,
                        stroke_dasharray="1 1")  # fmt: skip
    worst = show(answer.needed_high, Dimension.LENGTH, units, toward="high")
    yield svg.text(f"{say('at its worst')} {worst}", (right + 2.0, end + 0.1 * TEXT), TEXT * 0.9)


def _ground(clear: float | None, y: Scale, units: UnitSystem, say: Say) -> Iterator[str]:
    if clear is None:
        return
    at = y.at(clear)
    yield svg.line((12.0, at), (WIDTH - 2.0, at), class_="ground", stroke_width=1.0)
    words = f"{say('what is free')}: {show(clear, Dimension.LENGTH, units, toward='low')}"
    yield svg.text(words, (WIDTH - 2.0, at + 1.1 * TEXT), TEXT, text_anchor="end", class_="mark")
