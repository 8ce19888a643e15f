"""A value that is known to lie between two ends."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["SHAPES", "Range"]

#: How draws of a range are spread between its ends: densest at the likely value, all values alike, or like a bell
#: whose ends 1 in 1,000 would lie beyond.
SHAPES = ("triangular", "uniform", "normal")


@dataclass(frozen=True, slots=True)
class Range:
    """What a value may be: its two ends and the value to expect.

    Parameters
    ----------
    low, likely, high : float
        In that order, in the SI unit of what is meant; angles in degrees.
    shape : str
        One of `SHAPES`; counts only where inputs are drawn. Uniform and normal ranges have their likely value midway.

    Raises
    ------
    ValueError
        If they are out of order, or one is not a number, or there is no such shape.

    Examples
    --------
    >>> Range(4.0, 5.0, 6.0).is_exact
    False
    >>> Range.exact(5.0)
    Range(low=5.0, likely=5.0, high=5.0)
    """

    low: float
    likely: float
    high: float
    shape: str = field(default="triangular", repr=False, kw_only=True)

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:  # also catches nan
            raise ValueError(f"a range must be ordered low, likely, high, got {self.low}, {self.likely}, {self.high}")
        if self.shape not in SHAPES:
            raise ValueError(f"shape must be one of {', '.join(SHAPES)}, got {self.shape!r}")

    @classmethod
    def exact(cls, value: float) -> Range:
        """Return the range of a value that is known."""
        return cls(value, value, value)

    @property
    def is_exact(self) -> bool:
        """True if both ends are the same."""
        return self.low == self.high
