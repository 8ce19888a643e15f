"""Curves in space that stand for the middle line of a rope: smooth, even, measured."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["arc_lengths", "least_gap", "least_radius", "mirrored", "resampled", "smoothed"]

Floats = NDArray[np.float64]


def arc_lengths(points: Floats) -> Floats:
    """Length along a run of straight lines from its first point to each point.

    Parameters
    ----------
    points : array, shape (n, 3) or (n, 2)

    Returns
    -------
    array, shape (n,)
        In the unit of the points.

    Examples
    --------
    >>> arc_lengths(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 5.0]]))
    array([0., 5., 6.])
    """
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def resampled(points: Floats, spacing: float) -> Floats:
    """Points at even distances along a run of straight lines, its ends kept.

    Parameters
    ----------
    points : array, shape (n, 3)
    spacing : float
        Wanted distance, above 0; the nearest that fits a whole number of times is taken.

    Returns
    -------
    array, shape (m, 3)
        At least four points.

    Examples
    --------
    >>> resampled(np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0]]), 0.25)[:, 0]
    array([0.  , 0.25, 0.5 , 0.75, 1.  ])
    """
    along = arc_lengths(points)
    places = np.linspace(0.0, along[-1], max(round(along[-1] / spacing), 3) + 1)
    return np.stack([np.interp(places, along, line) for line in points.T], axis=1)


def smoothed(points: Floats, parts: int) -> Floats:
    """Smooth curve through points that lie at about even distances.

    Parameters
    ----------
    points : array, shape (n, d)
        Three or more.
    parts : int
        Pieces that each distance is cut into.

    Returns
    -------
    array, shape ((n - 1) * parts + 1, d)
        Goes through every point.

    Notes
    -----
    Cubic pieces whose slope at a point is that of the chord between its neighbours (Catmull and Rom 1974, from
    memory).

    Examples
    --------
    >>> smoothed(np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]), 2)[:, 0]
    array([0. , 0.5, 1. , 1.5, 2. ])
    """
    slopes = np.gradient(points, axis=0)
    u = (np.arange(parts) / parts)[None, :, None]
    p0, p1, m0, m1 = points[:-1, None], points[1:, None], slopes[:-1, None], slopes[1:, None]
    pieces = (2 * u**3 - 3 * u**2 + 1) * p0 + (u**3 - 2 * u**2 + u) * m0 + (3 * u**2 - 2 * u**3) * p1
    pieces = pieces + (u**3 - u**2) * m1
    return np.concatenate([pieces.reshape(-1, points.shape[1]), points[-1:]])


def mirrored(points: Floats) -> Floats:
    """Curve as a mirror behind the sheet shows it: over becomes under.

    Examples
    --------
    >>> mirrored(np.array([[1.0, 2.0, 3.0]]))
    array([[ 1.,  2., -3.]])
    """
    seen: Floats = points * np.array([1.0, 1.0, -1.0])
    return seen


def least_radius(points: Floats) -> float:
    """Radius of the sharpest bend, by the circle through each three neighbours.

    Parameters
    ----------
    points : array, shape (n, 3)

    Returns
    -------
    float
        Infinite for a straight line.

    Examples
    --------
    >>> angles = np.linspace(0.0, 3.0, 100)
    >>> round(least_radius(np.stack([2 * np.cos(angles), 2 * np.sin(angles), 0 * angles], axis=1)), 6)
    2.0
    """
    a, b, c = points[:-2], points[1:-1], points[2:]
    sides = [np.linalg.norm(side, axis=1) for side in (b - a, c - b, c - a)]
    twice_area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    with np.errstate(divide="ignore"):
        radius = sides[0] * sides[1] * sides[2] / (2 * twice_area)
    return float(radius.min())


def least_gap(first: Floats, other: Floats | None = None, *, along: float = 0.0) -> float:
    """Least distance between two curves, or between parts of one curve that lie far enough apart along it.

    Parameters
    ----------
    first : array, shape (n, 3)
    other : array, shape (m, 3), optional
        None: `first` against itself.
    along : float
        Parts of one curve nearer than this along it are left out.

    Returns
    -------
    float
        Between points, so up to half a spacing squared over twice the distance too large.

    Examples
    --------
    >>> least_gap(np.array([[0.0, 0.0, 0.0]]), np.array([[0.0, 3.0, 4.0]]))
    5.0
    """
    second = first if other is None else other
    squares = (first**2).sum(1)[:, None] + (second**2).sum(1)[None, :] - 2 * first @ second.T
    if other is None:
        s = arc_lengths(first)
        squares = np.where(np.abs(s[:, None] - s[None, :]) >= along, squares, np.inf)
    return float(np.sqrt(max(float(squares.min()), 0.0)))
