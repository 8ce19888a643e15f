"""What break tests of one batch of rope tell: minimum, mean less three standard deviations, tolerance limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

__all__ = ["BatchTest", "Outlier", "batch_test", "tolerance_confidence", "tolerance_factor"]

#: Tests from which a mean less three standard deviations is worked out at all. Source: Cordage Institute test method as
#: US rope standards name it, read second hand: 5 or more.
LEAST_TESTS = 5
#: Chance of calling a sound batch's farthest value an outlier. [-] Common practice.
OUTLIER_RISK = 0.05


@dataclass(frozen=True, slots=True)
class Outlier:
    """The value farthest from the mean, against what chance leaves it.

    Parameters
    ----------
    value : float
        [N]
    distance : float
        From the mean, in standard deviations of the batch. [-]
    critical : float
        Distance that a sound batch passes once in twenty. [-]
    """

    value: float
    distance: float
    critical: float

    @property
    def stands_out(self) -> bool:
        """True if chance alone seldom puts a value so far out."""
        return self.distance > self.critical


@dataclass(frozen=True, slots=True)
class BatchTest:
    """What the break loads of one batch tell of the ropes that were not broken.

    Parameters
    ----------
    breaks : tuple of float
        Lowest first. [N]
    minimum, mean : float
        [N]
    sd : float, optional
        Standard deviation of the sample, with n - 1; None for a single test. [N]
    three_sigma : float, optional
        Mean less three standard deviations, never below 0. [N]
    tolerance : float, optional
        One-sided tolerance limit, never below 0: with the stated confidence at least the stated share of the batch is
        as strong. [N]
    tolerance_k : float, optional
        Standard deviations between it and the mean. [-]
    three_sigma_confidence, minimum_confidence : float
        With what confidence the stated share is as strong as the mean less three standard deviations, and as the
        weakest that was tested. [-]
    coverage, confidence : float
        The stated share and confidence. [-]
    outlier : Outlier, optional
        None where fewer than three were tested or all broke at one load.
    """

    breaks: tuple[float, ...]
    minimum: float
    mean: float
    sd: float | None
    three_sigma: float | None
    tolerance: float | None
    tolerance_k: float | None
    three_sigma_confidence: float | None
    minimum_confidence: float
    coverage: float
    confidence: float
    outlier: Outlier | None

    @property
    def is_few(self) -> bool:
        """True where fewer were tested than the mean less three standard deviations is meant for."""
        return len(self.breaks) < LEAST_TESTS


def tolerance_factor(n: int, coverage: float, confidence: float) -> float:
    """Standard deviations below the mean of a sample at which a one-sided tolerance limit lies.

    Parameters
    ----------
    n : int
        Size of the sample, 2 or more.
    coverage : float
        Share of the population above the limit, between 0 and 1. [-]
    confidence : float
        Between 0 and 1. [-]

    Returns
    -------
    float
        [-]

    Raises
    ------
    ValueError
        If n is less than 2, or a share is not between 0 and 1.

    Notes
    -----
    k = t'(confidence; n - 1, z sqrt(n)) / sqrt(n), t' of the noncentral t distribution; the population is normal.
    Source: NIST/SEMATECH e-Handbook 7.2.6.3 (read second hand), which works an approximation of it.

    Examples
    --------
    >>> round(tolerance_factor(5, 0.99, 0.95), 3)
    5.741
    """
    from scipy.special import nctdtrit

    _check(n, coverage, confidence)
    return float(nctdtrit(n - 1, _shift(n, coverage), confidence)) / math.sqrt(n)


def tolerance_confidence(n: int, coverage: float, k: float) -> float:
    """Confidence with which a share of a normal population lies above the mean of a sample less k sd.

    Parameters
    ----------
    n : int
        Size of the sample, 2 or more.
    coverage : float
        Between 0 and 1. [-]
    k : float
        [-]

    Returns
    -------
    float
        [-]

    Raises
    ------
    ValueError
        If n is less than 2, or the share is not between 0 and 1.

    Examples
    --------
    >>> round(tolerance_confidence(5, 0.99, 3.0), 3)
    0.653
    """
    from scipy.special import nctdtr

    _check(n, coverage, 0.5)
    return float(nctdtr(n - 1, _shift(n, coverage), k * math.sqrt(n)))


def _check(n: int, coverage: float, confidence: float) -> None:
    if n < 2:
        raise ValueError(f"n must be 2 or more, got {n}")
    if not (0.0 < coverage < 1.0 and 0.0 < confidence < 1.0):
        raise ValueError(f"coverage and confidence must be between 0 and 1, got {coverage} and {confidence}")


def _shift(n: int, coverage: float) -> float:
    """Noncentrality of the t distribution: z sqrt(n)."""
    from scipy.special import ndtri

    return float(ndtri(coverage)) * math.sqrt(n)


def batch_test(breaks: Sequence[float], *, coverage: float = 0.99, confidence: float = 0.95) -> BatchTest:
    """Work out what break tests tell of a batch.

    Parameters
    ----------
    breaks : sequence of float
        Break loads, one or more, each above 0. [N]
    coverage, confidence : float
        Of the tolerance limit, between 0 and 1. [-]

    Returns
    -------
    BatchTest
        No value is left out, an outlier neither: a weak piece was a piece of this rope until somebody finds out why.

    Raises
    ------
    ValueError
        If there is none, one is not above 0 and finite, or a share is not between 0 and 1.

    Notes
    -----
    The weakest of n covers a share P of the batch with confidence 1 - P^n, whatever its distribution (Wilks 1941,
    from memory). The other two take the batch as normal. Outlier: Grubbs' two-sided test, NIST/SEMATECH e-Handbook
    1.3.5.17.1 (from memory).

    Examples
    --------
    >>> test = batch_test([6500.0, 6750.0, 6675.0, 7005.0, 6925.0])
    >>> round(test.mean), round(test.three_sigma), round(test.tolerance)
    (6771, 6168, 5617)
    """
    loads = np.sort(np.asarray(breaks, float))
    if not len(loads) or not (np.isfinite(loads).all() and loads[0] > 0):
        raise ValueError(f"break loads must be above 0 and finite, one or more, got {breaks!r}")
    n = len(loads)
    _check(2, coverage, confidence)
    mean = float(loads.mean())
    sd = float(loads.std(ddof=1)) if n > 1 else None
    k = tolerance_factor(n, coverage, confidence) if n > 1 else None
    return BatchTest(
        breaks=tuple(loads.tolist()),
        minimum=float(loads[0]),
        mean=mean,
        sd=sd,
        three_sigma=None if sd is None else max(mean - 3.0 * sd, 0.0),
        tolerance=None if sd is None or k is None else max(mean - k * sd, 0.0),
        tolerance_k=k,
        three_sigma_confidence=tolerance_confidence(n, coverage, 3.0) if n > 1 else None,
        minimum_confidence=1.0 - coverage**n,
        coverage=coverage,
        confidence=confidence,
        outlier=_outlier(loads.tolist(), mean, sd),
    )


def _outlier(loads: Sequence[float], mean: float, sd: float | None) -> Outlier | None:
    n = len(loads)
    if n < 3 or not sd:
        return None
    from scipy.special import stdtrit

    t = float(stdtrit(n - 2, 1.0 - OUTLIER_RISK / (2 * n)))
    critical = (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))
    value = max(loads, key=lambda load: abs(load - mean))
    return Outlier(value, abs(value - mean) / sd, critical)
