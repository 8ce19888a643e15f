"""Draws that fill a space evenly, shares with their interval, and Sobol indices."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["SEED", "Indices", "ShareInterval", "saltelli_draws", "share_interval", "sobol_draws", "sobol_indices"]

Floats = NDArray[np.float64]

#: Scrambling that is used unless told otherwise: the same answer each run.
SEED = 20_417

#: Resamples from which the error of an index is taken.
_RESAMPLES = 200


def sobol_draws(count: int, dimensions: int, *, seed: int = SEED) -> Floats:
    """Points of a scrambled Sobol sequence, each above 0 and below 1.

    Parameters
    ----------
    count : int
        1 or more; a power of two is filled most evenly.
    dimensions : int
        0 or more.
    seed : int

    Returns
    -------
    array, shape (count, dimensions)

    Raises
    ------
    ValueError
        If the count is below 1.

    Notes
    -----
    Owen-scrambled, from `scipy.stats.qmc`. Each column has as many points in every binary interval as any other.

    Examples
    --------
    >>> draws = sobol_draws(8, 2)
    >>> np.sort((draws * 8).astype(int), axis=0)[:, 1]
    array([0, 1, 2, 3, 4, 5, 6, 7])
    """
    if count < 1:
        raise ValueError(f"draws must be 1 or more, got {count}")
    if dimensions == 0:
        return np.empty((count, 0))
    from scipy.stats import qmc

    sampler = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed))
    points: Floats = sampler.random_base2(max(count - 1, 0).bit_length())[:count]
    least = 2.0**-40  # a scrambled point may be 0 itself, where a distribution without ends has no value
    return np.clip(points, least, 1.0 - least)


class ShareInterval(NamedTuple):
    """Share of draws that hold, with the interval that covers the true share."""

    share: Floats
    low: Floats
    high: Floats


def share_interval(holding: NDArray[np.intp] | int, count: int, *, confidence: float = 0.95) -> ShareInterval:
    """Share with its two-sided Clopper-Pearson interval.

    Parameters
    ----------
    holding : int or array of int, shape (n,)
        Draws that hold, 0 to `count`.
    count : int
        Draws, 1 or more.
    confidence : float
        Above 0, below 1. [-]

    Returns
    -------
    ShareInterval, shape (n,)

    Raises
    ------
    ValueError
        If a number is out of its range.

    Notes
    -----
    Clopper and Pearson, Biometrika 26:404 (1934), from memory: exact for independent draws, so never too narrow. Draws
    that fill the space evenly scatter less than independent ones, so that it errs wide here.

    Examples
    --------
    >>> found = share_interval(10, 10)
    >>> found.share, found.low.round(4), found.high  # (0.05/2)^(1/10)
    (array(1.), np.float64(0.6915), array(1.))
    """
    held = np.asarray(holding)
    if not (count >= 1 and (held >= 0).all() and (held <= count).all() and 0 < confidence < 1):
        raise ValueError(f"a share is of 1 or more draws, got {holding} of {count} at {confidence}")
    from scipy.special import betaincinv

    tail = (1.0 - confidence) / 2
    # at none and at all the beta law has no such end: the interval is closed there
    low = np.where(held > 0, betaincinv(np.maximum(held, 1), count - held + 1.0, tail), 0.0)
    high = np.where(held < count, betaincinv(held + 1.0, np.maximum(count - held, 1), 1.0 - tail), 1.0)
    return ShareInterval(np.asarray(held / count), low, high)


def saltelli_draws(count: int, dimensions: int, *, seed: int = SEED) -> Floats:
    """Points at which Sobol indices are worked out.

    Parameters
    ----------
    count : int
        Base draws, 2 or more.
    dimensions : int
        1 or more.
    seed : int

    Returns
    -------
    array, shape (dimensions + 2, count, dimensions)
        Two independent sets A and B, then for each input A with that input from B.

    Examples
    --------
    >>> a, b, mixed = saltelli_draws(4, 1)
    >>> bool((mixed == b).all())
    True
    """
    both = sobol_draws(count, 2 * dimensions, seed=seed)
    a, b = both[:, :dimensions], both[:, dimensions:]
    mixed = np.repeat(a[None], dimensions, axis=0)
    for i in range(dimensions):
        mixed[i, :, i] = b[:, i]
    return np.concatenate([a[None], b[None], mixed])


class Indices(NamedTuple):
    """Share of the variance of an output that each input brings, shape (d,); errors are one standard error."""

    first: Floats  #: by itself
    total: Floats  #: with all that it does together with others
    first_error: Floats
    total_error: Floats
    used: int  #: base draws that had an answer throughout


def sobol_indices(output: Floats) -> Indices:
    """First-order and total Sobol indices of one output.

    Parameters
    ----------
    output : array, shape (d + 2, count)
        At the points of `saltelli_draws`. Base draws with an infinite value or nan are left out.

    Returns
    -------
    Indices, shape (d,)
        0 throughout for an output that does not vary; nan if fewer than two base draws are left.

    Notes
    -----
    First order: Saltelli et al. 2010, f_B (f_AB - f_A)/V; total: Jansen 1999, (f_A - f_AB)^2/(2 V); both as in
    `scipy.stats.sobol_indices`, which they are tested against. Errors by resampling the base draws, with a fixed seed.

    Examples
    --------
    >>> points = saltelli_draws(1024, 2)
    >>> found = sobol_indices(3 * points[..., 0] + 4 * points[..., 1])  # shares 9/25 and 16/25
    >>> found.first.round(2), found.total.round(2)
    (array([0.36, 0.64]), array([0.36, 0.64]))
    """
    values = output[:, np.isfinite(output).all(axis=0)]
    d, used = len(values) - 2, values.shape[1]
    if used < 2:
        unknown = np.full(d, np.nan)
        return Indices(unknown, unknown, unknown, unknown, used)
    index = np.random.default_rng(SEED).integers(used, size=(_RESAMPLES, used))
    every = np.arange(used)[None]
    first, total = _indices(values, every)
    firsts, totals = _indices(values, index)
    return Indices(first[0], total[0], firsts.std(axis=0), totals.std(axis=0), used)


def _indices(values: Floats, index: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Both indices for each row of chosen base draws, shape (rows, d)."""
    # a constant offset changes no index, but costs digits
    scaled = values - values[:2].mean()
    a, b = scaled[0][index], scaled[1][index]
    variance = np.concatenate([a, b], axis=1).var(axis=1)
    is_flat = variance <= 1e-24 * (1.0 + np.abs(values).max()) ** 2
    variance = np.where(is_flat, 1.0, variance)
    first = np.empty((len(index), len(values) - 2))
    total = np.empty_like(first)
    for i, mixed in enumerate(scaled[2:]):
        change = mixed[index] - a
        first[:, i] = np.where(is_flat, 0.0, (b * change).mean(axis=1) / variance)
        total[:, i] = np.where(is_flat, 0.0, (change * change).mean(axis=1) / (2.0 * variance))
    return first, total
