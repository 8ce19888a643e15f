"""The balance of a line under its loads: the level tension at which the line there is fits."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from ropewright.arrest.cable import Cable, CableState, PointLoad
from ropewright.arrest.cable_segment import CableError
from ropewright.arrest.cable_span import HungSpan, SpanTask, hang_span

__all__ = ["ACCURACY", "find_bracket", "find_root", "hang_at_tension", "hang_cable", "hang_chain"]

#: Relative accuracy of the level tension.
ACCURACY = 1e-13

#: Steps of the level tension that are tried before there is no answer; they double, up to a factor of e^4.
_DOUBLINGS = 60


def hang_cable(cable: Cable, loads: Iterable[PointLoad] = (), *, opened: float = 0.0) -> CableState:
    """How a line hangs under plumb loads.

    Parameters
    ----------
    cable : Cable
    loads : iterable of PointLoad
        Each between two supports; a load of 0 marks a place of interest.
    opened : float
        What the absorber in line has already paid out; it does not close. [m]

    Returns
    -------
    CableState

    Raises
    ------
    CableError
        If there is no balance: the line is too short and can't stretch, too slack, or weightless and slack without a
        load; where it slips over supports, if it would run out into one span; and if a root is not found.
    ValueError
        If a load is negative or stands beyond the anchors or over a support.

    Notes
    -----
    The level tension is the one root of a falling function: the line it takes. See `docs/derivations-cable.md`.

    Examples
    --------
    >>> state = hang_cable(Cable((20.0,), (20.05,), stiffness=1.7e6), [PointLoad(10.0, 6000.0)])
    >>> round(state.sag, 4), round(state.tension)  # closed form: 1.6432 m, 18,502 N
    (1.6432, 18502)
    """
    placed = tuple(sorted(loads, key=lambda load: load.at))
    state = _balance(cable, placed, opened)
    if not cable.has_absorber or opened >= cable.absorber_length:
        return state
    if state.spans[0].tension_left <= cable.absorber_force:
        return state
    spent = _balance(cable, placed, cable.absorber_length)
    if spent.spans[0].tension_left >= cable.absorber_force:
        return spent

    def over(opening: float) -> float:
        return _balance(cable, placed, opening).spans[0].tension_left - cable.absorber_force

    return _balance(cable, placed, find_root(over, opened, cable.absorber_length, 1e-13 * cable.absorber_length))


def _balance(cable: Cable, loads: tuple[PointLoad, ...], opening: float) -> CableState:
    """Balance with the absorber held at an opening."""
    tasks, spans = cable.tasks(loads, opening), []
    for group in cable.groups:
        spans += _hang_group([tasks[k] for k in group], sum(cable.lengths[k] for k in group))
    if any(span.missing < 0 for span in spans):
        raise CableError("the anchors give way as far as to the nearest load")
    return CableState(cable, loads, tuple(spans), opening)


def _hang_group(tasks: list[SpanTask], length: float) -> list[HungSpan]:
    """Spans that share a length of line, at one tension over their supports."""

    def excess(log_h: float) -> float:
        return sum(span.unstressed for span in hang_chain(tasks, math.exp(log_h))) / length - 1.0

    total = sum(task.total for task in tasks)
    chord = sum(task.chord for task in tasks)
    if total == 0 and length >= chord:
        raise CableError("a weightless slack line takes no shape: give its weight or a load")
    if all(task.compliance == 0 for task in tasks) and length <= chord * (1 + 1e-12):
        raise CableError("a line that can't stretch must be longer than the straight distance between its supports")
    low, high = find_bracket(excess, math.log(_guess(tasks, total, length / chord - 1.0)))
    return hang_chain(tasks, math.exp(find_root(excess, low, high, ACCURACY)))


def _guess(tasks: list[SpanTask], total: float, slack: float) -> float:
    """Level tension to start from: of a parabola with this slack, or of a line pulled straight."""
    parabola = total / 8.0 / math.sqrt(0.375 * max(slack, 1e-6))
    taut = max(-slack, 0.0) / tasks[0].compliance if tasks[0].compliance else 0.0
    return max(parabola, taut)


def hang_chain(tasks: list[SpanTask], horizontal: float) -> list[HungSpan]:
    """Spans side by side, the first at a level tension, each next one at the tension that comes over the support.

    Raises
    ------
    CableError
        If a span can't hold that tension without running slack.
    """
    spans = [hang_span(tasks[0], horizontal)]
    for task in tasks[1:]:
        spans.append(hang_at_tension(task, spans[-1].tension_right))
    return spans


def hang_at_tension(task: SpanTask, tension: float) -> HungSpan:
    """Span whose left end has a given tension, on its taut side: where a slacker line pulls less."""

    def over(horizontal: float) -> float:
        return hang_span(task, horizontal).tension_left / tension - 1.0

    high, before = tension, over(tension)
    while before > 0:
        low = 0.8 * high
        now = over(low)
        if now >= before:
            raise CableError("a span can't hold the tension that comes over its support: the line runs out into it")
        if now <= 0:
            return hang_span(task, find_root(over, low, high, ACCURACY * tension))
        high, before = low, now
    return hang_span(task, high)


def find_bracket(falling: Callable[[float], float], start: float) -> tuple[float, float]:
    """Two places around the root of a falling function of the logarithm of the level tension.

    Raises
    ------
    CableError
        If there is none, or the function can't be worked out that far down.
    """
    step, here = 0.5, start
    value = _at_or_above(falling, here)
    for _ in range(_DOUBLINGS):
        there = here + math.copysign(step, value)
        if (falling(there) > 0) != (value > 0):
            return min(here, there), max(here, there)
        here = there
        step = min(2.0 * step, 4.0)
    raise CableError("no level tension was found that fits the line's length")


def _at_or_above(falling: Callable[[float], float], start: float) -> float:
    try:
        return falling(start)
    except CableError:
        return 1.0  # so slack that it can't be worked out: the root lies at a higher tension


def find_root(function: Callable[[float], float], low: float, high: float, accuracy: float) -> float:
    """Root of a function between two places where its signs differ.

    Raises
    ------
    CableError
        If Brent's method does not settle.
    """
    from scipy.optimize import brentq  # only commands that hang a line pay for it

    root, how = brentq(function, low, high, xtol=accuracy, rtol=1e-15, full_output=True, disp=False)
    if not how.converged:
        raise CableError("the search for a balance of the line did not settle")
    return float(root)
