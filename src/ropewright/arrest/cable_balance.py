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

_RUNS_OUT = "a span can't hold the tension that comes over its support: the line runs out into it"

#: Repeats of a fixed point before its root is sought between bounds.
_REPEATS = 12

#: Steps of the logarithm of the level tension: first, longest, and the shortest before a slack line is given up; and
#: how far they go in all.
_STEP, _LONGEST, _CLOSEST, _FARTHEST = 0.5, 4.0, 1e-9, 120.0


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
    return _balance(cable, placed, _opening(cable, placed, opened))


def _opening(cable: Cable, loads: tuple[PointLoad, ...], opened: float) -> float:
    """What the absorber in line pays out until the left anchor pulls with just its force [m]."""
    group = cable.groups[0]
    length = sum(cable.lengths[k] for k in group)

    def excess(opening: float) -> float:
        """Line that fits at that pull; what is paid out takes the place of some."""
        tasks = [cable.tasks(loads, opening)[k] for k in group]
        spans = hang_chain(tasks, hang_at_tension(tasks[0], cable.absorber_force).horizontal)
        return sum(span.unstressed for span in spans) / length - 1.0

    return find_root(excess, opened, cable.absorber_length, ACCURACY * cable.absorber_length)


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
    spans = hang_chain(tasks, math.exp(find_root(excess, low, high, ACCURACY)))
    if len(tasks) > 1 and not _is_taut(tasks[0], spans[0]):
        raise CableError(_RUNS_OUT)
    return spans


def _is_taut(task: SpanTask, span: HungSpan) -> bool:
    """True if a slacker span would pull less: else it would draw the others' line to itself."""
    return hang_span(task, 0.999 * span.horizontal).tension_right < span.tension_right


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
    """Span whose left end has a given tension, on its taut side: where a slacker line pulls less.

    Raises
    ------
    CableError
        If even the slackest line of the taut side pulls harder.

    Notes
    -----
    H = sqrt(T^2 - v0(H)^2) repeated; where that settles, tension grows with H, which is the taut side. Close to its
    end it settles slowly, and the root is sought between bounds instead.
    """
    horizontal = tension
    for _ in range(_REPEATS):
        hung = hang_span(task, horizontal)
        rest = tension**2 - hung.v_left**2
        if rest <= 0:
            break
        before, horizontal = horizontal, math.sqrt(rest)
        if abs(horizontal - before) <= ACCURACY * tension:
            return hung
    return _hang_by_bounds(task, tension)


def _hang_by_bounds(task: SpanTask, tension: float) -> HungSpan:
    def over(horizontal: float) -> float:
        return hang_span(task, horizontal).tension_left / tension - 1.0

    high, before = tension, over(tension)
    while before > 0:
        low = 0.9 * high
        now = over(low)
        if now >= before:
            raise CableError(_RUNS_OUT)
        if now <= 0:
            return hang_span(task, find_root(over, low, high, ACCURACY * tension))
        high, before = low, now
    return hang_span(task, high)


def find_bracket(falling: Callable[[float], float], start: float) -> tuple[float, float]:
    """Two places around the root of a falling function of the logarithm of the level tension.

    Raises
    ------
    CableError
        If there is none: the line runs slack before it is long enough, or can't be pulled so short.

    Notes
    -----
    Where the line is so slack that the function can't be worked out, it counts as above zero on the way up; on the
    way down it is approached in ever smaller steps.
    """
    high, low = _climb(falling, start)
    step = _STEP
    while low is None:
        there = high - step
        try:
            value = falling(there)
        except CableError:
            step *= 0.5
            if step < _CLOSEST:
                raise
            continue
        low, high = (there, high) if value > 0 else (None, there)
        step = min(2.0 * step, _LONGEST)
        if high < start - _FARTHEST:
            raise CableError("no level tension was found at which the line is as long as it is")
    return low, high


def _climb(falling: Callable[[float], float], start: float) -> tuple[float, float | None]:
    """A place where a falling function is not above zero, and one before it where it is, if it was seen."""
    here, step, low = start, _STEP, None
    while here < start + _FARTHEST:
        try:
            if falling(here) <= 0:
                return here, low
            low = here
        except CableError:
            low = None
        here, step = here + step, min(2.0 * step, _LONGEST)
    raise CableError("no level tension was found at which the line is as short as it is")


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
