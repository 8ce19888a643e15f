"""A fall against time for a page: height, speed, force and what gives, one strip each, with the spread as a band.

The ink is that of the page (``currentColor``), so that the drawing follows it into the dark and onto paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.history import History
from ropewright.job.bench_fall import BenchAnswer
from ropewright.quantity import Dimension, UnitSystem, parse_quantity, show, unit_symbol
from ropewright.sheets import svg
from ropewright.sheets.fall_plot import spells
from ropewright.sheets.labels import text_width
from ropewright.sheets.scale import Scale

__all__ = ["Span", "strips_svg"]

Floats = NDArray[np.float64]

WIDTH, LEFT, RIGHT, TOP = 120.0, 15.0, 118.0, 15.0  #: of the drawing, and of its strips [mm]
TEXT = 4.2  #: em height [mm]
GAP = 7.0  #: between strips, where the name of the next one stands [mm]

#: Strip -> height. [mm]
_HEIGHTS = {"height": 40.0, "speed": 22.0, "force": 40.0, "gives": 26.0}

#: Moments at which the band is drawn.
_MOMENTS = 240

INK = "currentColor"

#: What a word is called in the language of the page.
Say = Callable[[str], str]


@dataclass(frozen=True)
class Span:
    """How far the scales reach, so that two falls can be compared by eye.

    Parameters
    ----------
    time, depth, speed, force : float
        [s], [m], [m/s], [N]
    """

    time: float
    depth: float
    speed: float
    force: float


@dataclass(frozen=True)
class _Strip:
    """One quantity against time."""

    name: str
    dimension: Dimension
    x: Scale
    y: Scale


def strips_svg(answer: BenchAnswer, span: Span, units: UnitSystem, *, title: str, say: Say = str) -> str:
    """Drawing of one fall in four strips.

    Parameters
    ----------
    answer : BenchAnswer
    span : Span
        Of all falls shown together.
    units : UnitSystem
    title : str
        What the drawing is called by those who hear it read.
    say : callable
        Gives each word of the drawing in another language.

    Returns
    -------
    str
        An SVG element to stand in a page.
    """
    strips = {strip.name: strip for strip in _strips(answer, span, units)}
    foot = TOP + sum(_HEIGHTS.values()) + GAP * (len(_HEIGHTS) - 1)
    likely, others = answer.history, answer.corner_histories
    body = [
        svg.tag("title", svg.text_of(title)),
        svg.tag("desc", svg.text_of(_told(answer, units, say))),
        *_phases(likely, strips["height"].x, foot, say),
        *(part for strip in strips.values() for part in _axes(strip, units, say)),
        *_curves(strips["height"], likely, others, "height"),
        *_curves(strips["speed"], likely, others, "speed"),
        *_curves(strips["force"], likely, others, "force"),
        *_gives(strips["gives"], likely, say),
        *_floor(answer, strips["height"], units, say),
        *_ceiling(answer, strips["force"], units, say),
        *_marks(answer, strips, units),
        *_time_axis(strips["gives"], foot, say),
    ]
    height = foot + 12.0
    return svg.tag("svg", *body, class_="strips", role="img", viewBox=f"0 0 {WIDTH:g} {height:g}", fill=INK)


def _told(answer: BenchAnswer, units: UnitSystem, say: Say) -> str:
    force = show(answer.fall.one.number("peak_force"), Dimension.FORCE, units, toward="high")
    total = show(answer.fall.one.total_fall, Dimension.LENGTH, units, toward="high")
    words = ", ".join(f"{say(spell.phase.value)} - {spell.end:.2f} s" for spell in spells(answer.history))
    return f"{say('peak force')} {force}; {say('whole fall of the D-ring')} {total}. {words}."


def _strips(answer: BenchAnswer, span: Span, units: UnitSystem) -> Iterator[_Strip]:
    floor = answer.setup.clearance or 0.0
    shift = answer.fall.task.likely["body_shift"]
    depth = max(span.depth, floor - shift - answer.setup.swing_drop) * 1.12
    given = max(float(answer.history.absorber.max()), float(answer.history.rope_stretch.max()), 1e-3)
    ends = {
        "height": (Dimension.LENGTH, -depth, 0.0),
        "speed": (Dimension.SPEED, -span.speed * 0.6, span.speed * 1.1),
        "force": (Dimension.FORCE, 0.0, max(span.force, answer.setup.force_limit or 0.0) * 1.12),
        "gives": (Dimension.LENGTH, 0.0, given * 1.25),
    }
    x, top = Scale(0.0, span.time, LEFT, RIGHT), TOP
    for name, (dimension, low, high) in ends.items():
        unit = parse_quantity(f"1 {unit_symbol(dimension, units)}", dimension, "unit")
        yield _Strip(name, dimension, x, Scale(low, high, top + _HEIGHTS[name], top, unit))
        top += _HEIGHTS[name] + GAP


_NAMES = {"height": "D-ring, height", "speed": "speed down", "force": "force", "gives": "gives"}


def _axes(strip: _Strip, units: UnitSystem, say: Say) -> Iterator[str]:
    foot, top = strip.y.start, strip.y.end
    yield svg.line((LEFT, foot), (LEFT, top), stroke=INK, stroke_width=0.4)
    for at, figure in strip.y.ticks(5):
        yield svg.line((LEFT - 1.2, at), (RIGHT, at), stroke=INK, stroke_width=0.1, opacity=0.5)
        yield svg.text(figure, (LEFT - 2.0, at + 0.35 * TEXT), TEXT * 0.9, text_anchor="end")
    words = f"{say(_NAMES[strip.name])}, {unit_symbol(strip.dimension, units)}"
    yield svg.text(words, (LEFT + 1.0, top - 1.2), TEXT * 0.9, class_="behind")


def _time_axis(strip: _Strip, foot: float, say: Say) -> Iterator[str]:
    yield svg.line((LEFT, foot), (RIGHT, foot), stroke=INK, stroke_width=0.4)
    for at, figure in strip.x.ticks(6):
        yield svg.line((at, foot), (at, foot + 1.2), stroke=INK, stroke_width=0.3)
        yield svg.text(figure, (at, foot + 5.2), TEXT * 0.9, text_anchor="middle")
    yield svg.text(say("time from release, s"), (RIGHT, foot + 10.4), TEXT * 0.9, text_anchor="end", class_="behind")


def _curves(strip: _Strip, likely: History, others: Sequence[History], what: str) -> Iterator[str]:
    if others:
        moments = np.linspace(0.0, strip.x.high, _MOMENTS)
        runs = np.array([np.interp(moments, run.time, getattr(run, what)) for run in (likely, *others)])
        # a run that is over says nothing more
        ended = np.array([moments > run.time[-1] for run in (likely, *others)])
        low = np.where(ended, np.inf, runs).min(axis=0)
        high = np.where(ended, -np.inf, runs).max(axis=0)
        seen = np.isfinite(low)
        there, back = _placed(strip, moments[seen], low[seen]), _placed(strip, moments[seen], high[seen])
        yield svg.polygon(np.vstack([there, back[::-1]]), class_="band")
    kept = likely.time <= strip.x.high
    yield svg.polyline(
        _placed(strip, likely.time[kept], getattr(likely, what)[kept]), stroke=INK, stroke_width=0.8, class_="likely"
    )


def _placed(strip: _Strip, time: Floats, values: Floats) -> Floats:
    low, high = sorted((strip.y.low, strip.y.high))
    clipped = np.clip(values, low, high)
    points: Floats = np.array([(strip.x.at(t), strip.y.at(v)) for t, v in zip(time, clipped, strict=True)])
    return points


#: What gives -> its line.
_DASHES = {"absorber": None, "grab": "3 1.2", "rope_stretch": "0.6 1"}


def _gives(strip: _Strip, likely: History, say: Say) -> Iterator[str]:
    kept = likely.time <= strip.x.high
    at = LEFT + 12.0
    for name, dashes in _DASHES.items():
        values = getattr(likely, name)[kept]
        if not values.size or values.max() <= 0:
            continue
        look: dict[str, svg.Value] = {"stroke": INK, "stroke_width": 0.7, "stroke_dasharray": dashes}
        yield svg.polyline(_placed(strip, likely.time[kept], values), **look)
        words = say("rope" if name == "rope_stretch" else name)
        yield svg.line((at + 10.0, strip.y.end - 2.6), (at + 18.0, strip.y.end - 2.6), **look)
        yield svg.text(words, (at + 19.5, strip.y.end - 1.2), TEXT * 0.9)
        at += 13.0 + text_width(words, TEXT)


def _phases(likely: History, x: Scale, foot: float, say: Say) -> Iterator[str]:
    """Mark each phase: a line where it begins, and its name above where there is room."""
    taken = [LEFT - 1.0, LEFT - 1.0]
    named = set()
    for number, spell in enumerate(spells(likely)):
        start, end = x.at(spell.start), x.at(min(spell.end, x.high))
        if spell.start >= x.high:
            break
        if number:
            yield svg.line((start, TOP), (start, foot), stroke=INK, stroke_width=0.15, stroke_dasharray="1 1")
        words = say(spell.phase.value)
        width = text_width(words, TEXT * 0.9) + 2.0
        if spell.phase in named and end - start < width:
            continue
        middle = min(max((start + end) / 2, LEFT + width / 2), RIGHT - width / 2)
        row = next((row for row, until in enumerate(taken) if until <= middle - width / 2), None)
        if row is None:
            continue
        named.add(spell.phase)
        taken[row] = middle + width / 2
        yield svg.text(words, (middle, TOP - 1.6 - 5.0 * (row + 1) + 0.6), TEXT * 0.9, text_anchor="middle")


def _floor(answer: BenchAnswer, strip: _Strip, units: UnitSystem, say: Say) -> Iterator[str]:
    clearance = answer.setup.clearance
    if clearance is None:
        return
    shift = answer.fall.task.likely["body_shift"] + answer.setup.swing_drop
    at = strip.y.at(max(shift - clearance, strip.y.low))
    yield svg.line((LEFT, at), (RIGHT, at), stroke=INK, stroke_width=0.8)
    counted = say("swing counted") if answer.setup.swing_drop > 5e-3 else ""
    words = f"{say('feet touch')}, {show(clearance, Dimension.LENGTH, units, toward='low')}{counted and ', '}{counted}"
    yield svg.text(words, (RIGHT, at - 1.0), TEXT * 0.9, text_anchor="end")


def _ceiling(answer: BenchAnswer, strip: _Strip, units: UnitSystem, say: Say) -> Iterator[str]:
    limit = answer.setup.force_limit
    if limit is None:
        return
    at = strip.y.at(limit)
    yield svg.line((LEFT, at), (RIGHT, at), stroke=INK, stroke_width=0.8)
    words = f"{say('limit')} {show(limit, Dimension.FORCE, units, toward='low')}"
    yield svg.text(words, (RIGHT, at - 1.0), TEXT * 0.9, text_anchor="end")


def _marks(answer: BenchAnswer, strips: dict[str, _Strip], units: UnitSystem) -> Iterator[str]:
    """Two numbers to read off: how deep, how hard; beside their points, in the accent."""
    history = answer.history
    for name, index, value, dimension in (
        ("height", int(history.height.argmin()), answer.fall.one.total_fall, Dimension.LENGTH),
        ("force", int(history.force.argmax()), answer.fall.one.number("peak_force"), Dimension.FORCE),
    ):
        strip = strips[name]
        at = _placed(strip, history.time[[index]], getattr(history, name)[[index]])[0]
        words = show(value, dimension, units, toward="high")
        left = at[0] + 2.0 + text_width(words, TEXT * 1.3) > RIGHT
        yield svg.circle(at, 1.0, class_="mark")
        yield svg.text(
            words,
            (at[0] - 2.0 if left else at[0] + 2.0, at[1] + (0.5 * TEXT if name == "height" else 0.2 * TEXT)),
            TEXT * 1.3,
            text_anchor="end" if left else None,
            class_="mark",
        )
