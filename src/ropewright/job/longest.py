"""The longest that a line may be set so that what is asked of its falls is met."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ropewright.quantity import UnitSystem

__all__ = ["STOP_STEPS", "Stops", "longest_stops"]

#: What a stopper is tied to: a tenth of a foot, a centimetre. [m] The steps in which lengths are shown.
STOP_STEPS: Mapping[UnitSystem, float] = {UnitSystem.US: 0.03048, UnitSystem.METRIC: 0.01}


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
