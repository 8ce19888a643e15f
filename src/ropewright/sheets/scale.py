"""Scales of a drawing: from a quantity to a place on the sheet, with round ticks in the units shown."""

from __future__ import annotations

import math
from collections.abc import Iterator

__all__ = ["Scale", "round_ticks"]

_STEPS = (1.0, 2.0, 5.0, 10.0)


def round_ticks(low: float, high: float, most: int = 8) -> list[tuple[float, str]]:
    """Round numbers within a span, with their text: as many as fit, `most` at most.

    Parameters
    ----------
    low, high : float
        Finite, the lower first.
    most : int
        2 or more.

    Returns
    -------
    list of (float, str)

    Examples
    --------
    >>> round_ticks(0.0, 1.0, 6)
    [(0.0, '0.0'), (0.2, '0.2'), (0.4, '0.4'), (0.6000000000000001, '0.6'), (0.8, '0.8'), (1.0, '1.0')]
    >>> [text for _, text in round_ticks(5_500.0, 7_050.0)]
    ['5,500', '6,000', '6,500', '7,000']
    """
    least = max(high - low, 1e-12) / (most - 1)
    ten = 10.0 ** math.floor(math.log10(least))
    step = next(ten * step for step in _STEPS if ten * step >= least * (1 - 1e-9))
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [(k * step, f"{k * step:,.{decimals}f}") for k in range(first, last + 1)]


class Scale:
    """Straight scale from a span of a quantity to a span on the sheet.

    Parameters
    ----------
    low, high : float
        Of the quantity, SI.
    start, end : float
        Where they stand on the sheet. [mm]
    unit : float
        One of the unit shown, in SI.

    Examples
    --------
    >>> Scale(0.0, 10.0, 20.0, 120.0).at(5.0)
    70.0
    """

    def __init__(self, low: float, high: float, start: float, end: float, unit: float = 1.0) -> None:
        self.low, self.high, self.start, self.end, self.unit = low, high, start, end, unit

    def at(self, value: float) -> float:
        """Place on the sheet, in mm."""
        return self.start + (self.end - self.start) * (value - self.low) / (self.high - self.low)

    def ticks(self, most: int = 8) -> Iterator[tuple[float, str]]:
        """Yield the place of each round number, in mm, and its text."""
        for value, text in round_ticks(self.low / self.unit, self.high / self.unit, most):
            yield self.at(value * self.unit), text
