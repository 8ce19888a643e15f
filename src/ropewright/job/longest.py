"""The longest that a line may be set so that what is asked of its falls is met."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ropewright.quantity import UnitSystem

__all__ = ["STOP_STEPS", "Stops", "longest_below", "longest_not_refused", "longest_stops"]

#: What a stopper is tied to: a tenth of a foot, a centimetre. [m] The steps in which lengths are shown.
STOP_STEPS: Mapping[UnitSystem, float] = {UnitSystem.US: 0.03048, UnitSystem.METRIC: 0.01}
#: Looks at shorter settings, evenly apart, before the longest that is not refused is closed in on.
_LOOKS = 3


@dataclass(frozen=True)
class Stops:
    """Longest settings of one worker's line, anchor to stop; None where even the shortest is too long. [m]"""

    all: float | None  #: at which every question is met at every edge point
    by_kind: Mapping[str, float | None]  #: at which one kind of question is met, for those not met as the line is set


def longest_stops(met: Callable[[float], Mapping[str, bool]], length: float, units: UnitSystem) -> Stops:
    """Longest settings at which the questions about falls are met.

    Parameters
    ----------
    met : callable
        From a setting [m] to whether each kind of question is met at every edge point that is then reached. What is
        met at one setting must be met at every shorter one.
    length : float
        As the line is set. [m]
    units : UnitSystem
        A setting found is a whole number of the steps in which lengths are shown, so that it is shown as it was tried.

    Returns
    -------
    Stops

    Examples
    --------
    >>> longest_stops(lambda stop: {"free-fall": stop <= 2.507}, 4.0, UnitSystem.METRIC).all
    2.5
    """
    tried: dict[int, Mapping[str, bool]] = {}
    step = STOP_STEPS[units]

    def met_at(steps: int) -> Mapping[str, bool]:
        if steps not in tried:
            tried[steps] = met(steps * step)
        return tried[steps]

    def longest(kinds: tuple[str, ...]) -> float | None:
        low, high = 0, int(length / step) + 1  # `high` stands for the line as it is set, which is not met
        if not all(met_at(low).get(kind, True) for kind in kinds):
            return None
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if all(met_at(middle).get(kind, True) for kind in kinds) else (low, middle)
        return round(low * step, 9)

    as_set = met(length)
    past = tuple(kind for kind, is_met in as_set.items() if not is_met)
    return Stops(longest(tuple(as_set)) if past else length, {kind: longest((kind,)) for kind in past})


def longest_below(refused: Callable[[int], bool], low: int, first: int, high: int) -> int:
    """Longest of the shorter settings that is not refused, in steps, where each look is dear.

    Parameters
    ----------
    refused : callable
        From a setting in steps to whether something stands against it.
    low : int
        A setting that nothing stands against, or -1; nothing between it and `first` counts.
    first : int
        Shortest setting that reaches an edge.
    high : int
        A setting that is refused.

    Returns
    -------
    int
        `low`, or a setting that was tried. Falls in three dimensions may meet a thing on one line and miss it on a
        longer one, so a few settings are looked at from the longest down before halving begins; between those, what
        is refused at one is taken to be refused at the longer ones.

    Examples
    --------
    >>> longest_below(lambda steps: steps > 42, 9, 12, 100)
    42
    >>> longest_below(lambda steps: True, 9, 12, 100)
    9
    """
    if high <= first:
        return min(low, high - 1)
    looks = sorted({first + (high - first) * look // _LOOKS for look in range(_LOOKS)}, reverse=True)
    held = None
    for steps in looks:
        if not refused(steps):
            held = steps
            break
        high = steps
    if held is None:
        return low
    while high - held > 1:
        middle = (held + high) // 2
        held, high = (held, middle) if refused(middle) else (middle, high)
    return held


def longest_not_refused(
    refused: Callable[[float], bool], nearest: float, stop: float, units: UnitSystem
) -> float | None:
    """Longest setting below one that is refused; see `longest_below`.

    Parameters
    ----------
    refused : callable
        From a setting [m] to whether something stands against it.
    nearest : float
        Setting that just reaches an edge; what reaches none is not refused. [m]
    stop : float
        A setting that is refused. [m]
    units : UnitSystem

    Returns
    -------
    float or None
        In whole steps [m]; None where even a line of no length is refused.
    """
    step = STOP_STEPS[units]
    first = max(0, math.ceil(nearest / step - 1e-9))
    found = longest_below(lambda steps: refused(steps * step), first - 1, first, math.ceil(stop / step - 1e-9))
    return None if found < 0 else round(found * step, 9)
