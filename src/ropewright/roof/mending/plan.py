"""Outlines in plan: where they cross, what lies in them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["distance_outside", "inside", "interior_point", "right_of", "segments", "self_crossing"]

Points = NDArray[np.float64]


def segments(rings: Sequence[Points]) -> Points:
    """Edges of closed rings in plan.

    Parameters
    ----------
    rings : sequence of arrays, shape (n, 2 or more)
        [m]

    Returns
    -------
    array, shape (k, 4)
        x and y of the start, x and y of the end of each edge. [m]
    """
    pairs = [np.hstack((ring[:, :2], np.concatenate((ring[1:, :2], ring[:1, :2])))) for ring in rings]
    return np.vstack(pairs)


def inside(edges: Points, points: Points) -> NDArray[np.bool_]:
    """Tell which points lie inside rings, holes left out.

    Parameters
    ----------
    edges : array, shape (k, 4)
        As from `segments`.
    points : array, shape (n, 2)
        [m]

    Returns
    -------
    array of bool, shape (n,)
        On an edge it may be either.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [4, 0], [4, 4], [0, 4]])
    >>> hole = np.array([[1.0, 1], [1, 3], [3, 3], [3, 1]])
    >>> inside(segments([square, hole]), np.array([[0.5, 0.5], [2.0, 2.0], [5.0, 2.0]]))
    array([ True, False, False])
    """
    counted: NDArray[np.bool_] = right_of(edges, points).sum(axis=1) % 2 == 1
    return counted


def right_of(edges: Points, points: Points) -> NDArray[np.bool_]:
    """Tell which edges a ray from each point toward +x crosses.

    Parameters
    ----------
    edges : array, shape (k, 4)
        As from `segments`.
    points : array, shape (n, 2)
        [m]

    Returns
    -------
    array of bool, shape (n, k)
        A point lies inside rings if the ray crosses an odd number of their edges.
    """
    x0, y0, x1, y1 = edges.T
    x, y = points[:, 0, None], points[:, 1, None]
    slope = (x1 - x0) / np.where(y1 == y0, 1.0, y1 - y0)
    crossed: NDArray[np.bool_] = ((y0 > y) != (y1 > y)) & (x < x0 + (y - y0) * slope)
    return crossed


def distance_outside(outline: Points, points: Points) -> float:
    """Greatest level distance [m] of points, shape (n, 2), outside an outline, shape (k, 2); 0 if all are in it.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [4, 0], [4, 4], [0, 4]])
    >>> distance_outside(square, np.array([[2.0, 2.0], [6.0, 1.0]]))
    2.0
    """
    edges = segments([outline])
    out = points[~inside(edges, points)]
    if not len(out):
        return 0.0
    starts, runs = edges[None, :, :2], (edges[:, 2:] - edges[:, :2])[None]
    away = out[:, None, :] - starts
    squared = np.maximum((runs * runs).sum(axis=-1), 1e-24)
    share = np.clip((away * runs).sum(axis=-1) / squared, 0.0, 1.0)
    off = away - share[..., None] * runs
    return float(np.sqrt((off * off).sum(axis=-1)).min(axis=1).max())


def self_crossing(outline: Points, *, touch: float) -> Points | None:
    """Where two edges of a closed outline cross.

    Parameters
    ----------
    outline : array, shape (n, 2)
        [m]
    touch : float
        Edges that reach past each other by less than this only touch. [m]

    Returns
    -------
    array, shape (2,), or None
        The first crossing found. [m]

    Examples
    --------
    >>> self_crossing(np.array([[0.0, 0], [2, 2], [2, 0], [0, 2]]), touch=1e-3)
    array([1., 1.])
    >>> self_crossing(np.array([[0.0, 0], [2, 0], [2, 2], [0, 2]]), touch=1e-3) is None
    True
    """
    x, y = outline.T
    run_x, run_y = np.concatenate((x[1:], x[:1])) - x, np.concatenate((y[1:], y[:1])) - y
    lengths = np.maximum(np.hypot(run_x, run_y), 1e-12)
    ux, uy = (run_x / lengths)[:, None], (run_y / lengths)[:, None]
    # [i, j]: how far the start and the end of edge j stand left of edge i
    start = ux * (y[None, :] - y[:, None]) - uy * (x[None, :] - x[:, None])
    end = np.concatenate((start[:, 1:], start[:, :1]), axis=1)
    split = (start * end < 0) & (np.minimum(np.abs(start), np.abs(end)) > touch)
    both = split & split.T
    if not both.any():
        return None
    i, j = np.argwhere(both)[0]
    share = start[i, j] / (start[i, j] - end[i, j])
    return np.array([x[j] + share * run_x[j], y[j] + share * run_y[j]])


def interior_point(rings: Sequence[Points]) -> Points:
    """Plan point well inside a facet.

    Parameters
    ----------
    rings : sequence of arrays, shape (n, 2 or more)
        Outer ring, then holes. [m]

    Returns
    -------
    array, shape (2,)
        Middle of the longest level chord half-way up the tallest band in which no corner lies. [m]

    Examples
    --------
    >>> interior_point([np.array([[0.0, 0], [4, 0], [4, 1], [1, 1], [1, 9], [0, 9]])])
    array([0.5, 5. ])
    """
    x0, y0, x1, y1 = segments(rings).T
    levels = np.unique(y0)
    band = int(np.argmax(np.diff(levels)))
    y = 0.5 * (levels[band] + levels[band + 1])
    crosses = (y0 > y) != (y1 > y)
    x = np.sort((x0 + (y - y0) / np.where(crosses, y1 - y0, 1.0) * (x1 - x0))[crosses])
    chord = int(np.argmax(x[1::2] - x[::2]))
    return np.array([0.5 * (x[2 * chord] + x[2 * chord + 1]), y])
