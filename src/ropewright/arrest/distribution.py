"""What an input may be: distributions, each told by the value below which a given share of draws lies."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.quantity import Range

__all__ = [
    "CutNormal",
    "Distribution",
    "Exact",
    "Lognormal",
    "Normal",
    "Percentiles",
    "Triangular",
    "Uniform",
    "distribution_of",
]

Floats = NDArray[np.float64]

#: Share of draws beyond either end that stands for the corner of an input without ends. [-]
_CORNER_SHARE = 0.001


class Distribution(Protocol):
    """An input in doubt."""

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share of all draws lies; shares above 0 and below 1."""
        ...

    @property
    def ends(self) -> Range:
        """Least, middling and greatest value, for corners; without ends, what 1 in 1,000 draws lies beyond."""
        ...


@dataclass(frozen=True, slots=True)
class Exact:
    """A value that is known; may be infinite.

    Examples
    --------
    >>> Exact(100.0).at([0.1, 0.9])
    array([100., 100.])
    """

    value: float

    def __post_init__(self) -> None:
        if math.isnan(self.value):
            raise ValueError("an exact value must be a number, got nan")

    def at(self, share: ArrayLike) -> Floats:
        """Return the value."""
        return np.full(np.shape(share), self.value)

    @property
    def ends(self) -> Range:
        """The value."""
        return Range.exact(self.value)


@dataclass(frozen=True, slots=True)
class Uniform:
    """Any value between two ends, all alike.

    Examples
    --------
    >>> Uniform(2.0, 4.0).at([0.25, 0.5])
    array([2.5, 3. ])
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        _check(self.low < self.high and _finite(self.low, self.high), f"{self.low:g} to {self.high:g}")

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share lies."""
        u = np.asarray(share, dtype=np.float64)
        value: Floats = self.low + (self.high - self.low) * u
        return value

    @property
    def ends(self) -> Range:
        """Both ends and the middle."""
        return Range(self.low, self.low / 2 + self.high / 2, self.high)


@dataclass(frozen=True, slots=True)
class Triangular:
    """Between two ends, densest at the likely value, as a `Range` tells it.

    Examples
    --------
    >>> Triangular(Range(0.0, 1.0, 2.0)).at([0.125, 0.5, 0.875])
    array([0.5, 1. , 1.5])
    """

    range: Range

    def __post_init__(self) -> None:
        low, high = self.range.low, self.range.high
        _check(low < high and _finite(low, high), f"{low:g} to {high:g}")

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share lies."""
        u = np.asarray(share, dtype=np.float64)
        low, likely, high = self.range.low, self.range.likely, self.range.high
        width, rise, fall = high - low, likely - low, high - likely
        value: Floats = np.where(
            u * width < rise, low + np.sqrt(u * width * rise), high - np.sqrt((1.0 - u) * width * fall)
        )
        return value

    @property
    def ends(self) -> Range:
        """The range."""
        return self.range


@dataclass(frozen=True, slots=True)
class Normal:
    """Normal distribution of a mean and a standard deviation.

    Examples
    --------
    >>> Normal(10.0, 2.0).at([0.5, 0.8413447]).round(6)
    array([10., 12.])
    """

    mean: float
    sd: float

    def __post_init__(self) -> None:
        _check(self.sd > 0 and _finite(self.mean, self.sd), f"mean {self.mean:g}, standard deviation {self.sd:g}")

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share lies."""
        value: Floats = self.mean + self.sd * _standard_normal(share)
        return value

    @property
    def ends(self) -> Range:
        """Where 1 in 1,000 lies beyond, and the mean."""
        return _ends(self)


@dataclass(frozen=True, slots=True)
class CutNormal:
    """Normal distribution about the middle of a range, cut at its ends, which 1 in 1,000 would lie beyond.

    Examples
    --------
    >>> CutNormal(Range(80.0, 100.0, 120.0)).at([0.0, 0.1587, 0.5, 1.0]).round(1)
    array([ 80. ,  93.5, 100. , 120. ])
    """

    range: Range

    def __post_init__(self) -> None:
        low, high = self.range.low, self.range.high
        _check(low < high and _finite(low, high), f"{low:g} to {high:g}")

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share lies."""
        u = np.asarray(share, dtype=np.float64)
        low, high = self.range.low, self.range.high
        within = _standard_normal(_CORNER_SHARE + (1.0 - 2.0 * _CORNER_SHARE) * u)
        widest = _standard_normal(1.0 - _CORNER_SHARE)
        value: Floats = low / 2 + high / 2 + (high / 2 - low / 2) * np.clip(within / widest, -1.0, 1.0)
        return value

    @property
    def ends(self) -> Range:
        """The range."""
        return self.range


@dataclass(frozen=True, slots=True)
class Lognormal:
    """Distribution whose logarithm is normal: a median, and the factor that one standard deviation makes.

    Examples
    --------
    >>> Lognormal(10.0, 1.5).at([0.1586553, 0.5]).round(4)
    array([ 6.6667, 10.    ])
    """

    median: float
    factor: float

    def __post_init__(self) -> None:
        fits = self.median > 0 and self.factor > 1 and _finite(self.median, self.factor)
        _check(fits, f"median {self.median:g}, factor {self.factor:g}")

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share lies."""
        value: Floats = self.median * self.factor ** _standard_normal(share)
        return value

    @property
    def ends(self) -> Range:
        """Where 1 in 1,000 lies beyond, and the median."""
        return _ends(self)


@dataclass(frozen=True, slots=True)
class Percentiles:
    """Values below which given shares of all lie, such as a table of body mass prints.

    Parameters
    ----------
    values : mapping of float to float
        Share, above 0 and below 1, to value; at least two, rising. Between them straight; beyond the outer ones the
        last piece goes on, so that a table should reach as far as the tail matters.

    Examples
    --------
    >>> Percentiles({0.05: 60.0, 0.50: 86.0, 0.95: 124.0}).at([0.05, 0.275, 0.95])
    array([ 60.,  73., 124.])
    """

    values: Mapping[float, float]

    def __post_init__(self) -> None:
        shares, values = np.array(sorted(self.values)), np.array([self.values[s] for s in sorted(self.values)])
        fits = len(shares) > 1 and shares[0] > 0 and shares[-1] < 1 and bool((np.diff(values) >= 0).all())
        _check(fits and bool(np.isfinite(values).all()), f"percentiles {dict(self.values)}")

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share lies."""
        u = np.asarray(share, dtype=np.float64)
        shares = np.array(sorted(self.values))
        values = np.array([self.values[s] for s in shares])
        slopes = np.diff(values) / np.diff(shares)
        below, above = np.minimum(u - shares[0], 0.0), np.maximum(u - shares[-1], 0.0)
        value: Floats = np.interp(u, shares, values) + below * slopes[0] + above * slopes[-1]
        return value

    @property
    def ends(self) -> Range:
        """Where 1 in 1,000 lies beyond, and the median."""
        return _ends(self)


def distribution_of(value: Distribution | Range | float) -> Distribution:
    """Distribution of a value, of a range by its shape, or the one given.

    Examples
    --------
    >>> distribution_of(5.0), distribution_of(Range.exact(5.0))
    (Exact(value=5.0), Exact(value=5.0))
    >>> distribution_of(Range(4.0, 5.0, 7.0))
    Triangular(range=Range(low=4.0, likely=5.0, high=7.0))
    >>> distribution_of(Range(4.0, 5.0, 6.0, shape="uniform"))
    Uniform(low=4.0, high=6.0)
    """
    if isinstance(value, Range):
        return Exact(value.likely) if value.is_exact else _by_shape(value)
    if isinstance(value, int | float):
        return Exact(float(value))
    return value


def _by_shape(value: Range) -> Distribution:
    if value.shape == "uniform":
        return Uniform(value.low, value.high)
    return CutNormal(value) if value.shape == "normal" else Triangular(value)


def _standard_normal(share: ArrayLike) -> Floats:
    from scipy.special import ndtri  # late: most commands draw nothing

    value: Floats = ndtri(np.asarray(share, dtype=np.float64))
    return value


def _ends(distribution: Distribution) -> Range:
    low, middle, high = distribution.at([_CORNER_SHARE, 0.5, 1.0 - _CORNER_SHARE])
    return Range(float(low), float(middle), float(high))


def _finite(*values: float) -> bool:
    return all(math.isfinite(value) for value in values)


def _check(fits: bool, what: str) -> None:
    if not fits:
        raise ValueError(f"not a distribution: {what}")
