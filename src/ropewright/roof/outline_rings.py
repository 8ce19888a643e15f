"""Rings in plan: area, crossings, what lies inside, and moving the sides outward."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["first_crossing", "grown", "inside_ring", "signed_area", "turn_at"]

Points = NDArray[np.float64]

#: Sides nearer than this touch. [m]
TOUCH = 1e-9


def signed_area(ring: Points) -> float:
    """Area of a ring in plan, positive if it runs counterclockwise seen from above, in square metres.

    Parameters
    ----------
    ring : array, shape (n, 2) or (n, 3)
        Corners, the first not repeated. [m]

    Examples
    --------
    >>> signed_area(np.array([[0, 0], [4, 0], [4, 3], [0, 3]]))
    12.0
    """
    x, y = ring[:, 0] - ring[0, 0], ring[:, 1] - ring[0, 1]  # near the origin no digits are lost
    return float(x[:-1] @ y[1:] - y[:-1] @ x[1:]) / 2


def turn_at(ring: Points) -> Points:
    """Sine of the turn to the left at each corner, shape (n,): negative at inner corners of a counterclockwise ring."""
    after = np.roll(ring, -1, axis=0) - ring
    after = after / np.linalg.norm(after, axis=1)[:, None]
    before = np.roll(after, 1, axis=0)
    turn: Points = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return turn


def first_crossing(rings: Sequence[Points]) -> tuple[int, int, tuple[float, float]] | None:
    """First two sides, counted through all rings, that cross or touch, and where; None if all keep apart.

    Neighbours meet at their corner and are left out, unless one doubles back on the other.

    Parameters
    ----------
    rings : sequence of arrays, shape (n, 2)
        Corners. [m]

    Examples
    --------
    >>> first_crossing([np.array([[0.0, 0.0], [4.0, 4.0], [4.0, 0.0], [0.0, 4.0]])])
    (0, 2, (2.0, 2.0))
    """
    starts = np.concatenate(rings)
    ends = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    following = np.concatenate(
        [np.roll(np.arange(len(ring)), -1) + n for ring, n in zip(rings, _firsts(rings), strict=True)]
    )
    count = len(starts)
    along = ends - starts
    length = np.linalg.norm(along, axis=1)
    unit = along / length[:, None]
    # offsets of every start and end (second index) from every line (first index)
    off_start = _cross(unit[:, None, :], starts[None, :, :] - starts[:, None, :])
    off_end = _cross(unit[:, None, :], ends[None, :, :] - starts[:, None, :])
    apart = (np.minimum(off_start, off_end) > TOUCH) | (np.maximum(off_start, off_end) < -TOUCH)
    neighbours = np.zeros((count, count), bool)
    neighbours[np.arange(count), following] = True
    neighbours |= neighbours.T | np.eye(count, dtype=bool)
    for i, j in np.argwhere(~(apart | apart.T) & ~neighbours & np.triu(np.ones((count, count), bool))):
        point = _meeting(starts[i], ends[i], starts[j], ends[j])
        if point is not None:
            return int(i), int(j), point
    for i, j in enumerate(following):
        if np.dot(unit[i], unit[j]) < 0.0 and abs(_cross(unit[i], unit[j])) < TOUCH:
            return i, int(j), (float(starts[j][0]), float(starts[j][1]))
    return None


def _firsts(rings: Sequence[Points]) -> list[int]:
    return [0, *np.cumsum([len(ring) for ring in rings])[:-1].tolist()]


def _cross(a: Points, b: Points) -> Points:
    product: Points = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return product


def _meeting(a: Points, b: Points, c: Points, d: Points) -> tuple[float, float] | None:
    """Point that two segments share, neither of which lies on one side of the other; None if apart in one line."""
    along, other = b - a, d - c
    sine = float(_cross(along, other))
    if abs(sine) > 1e-12 * float(np.linalg.norm(along) * np.linalg.norm(other)):
        point = a + along * (float(_cross(c - a, other)) / sine)
        return float(point[0]), float(point[1])
    length = float(np.linalg.norm(along))
    spots = sorted(((float(np.dot(p - a, along)) / length, p) for p in (c, d)), key=lambda spot: spot[0])
    if spots[1][0] < -TOUCH or spots[0][0] > length + TOUCH:
        return None
    place = a + along / length * max(0.0, spots[0][0])
    return float(place[0]), float(place[1])


def inside_ring(ring: Points, xy: Points) -> NDArray[np.bool_]:
    """Which points lie inside a ring, shape (n,); on the ring itself either answer may come.

    Parameters
    ----------
    ring : array, shape (k, 2)
        Corners. [m]
    xy : array, shape (n, 2)
        Points. [m]
    """
    found = np.zeros(len(xy), bool)
    x, y = xy[:, 0], xy[:, 1]
    for (x0, y0), (x1, y1) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        if y0 != y1:
            found ^= ((y0 > y) != (y1 > y)) & (x < x0 + (y - y0) * ((x1 - x0) / (y1 - y0)))
    return found


def grown(ring: Points, distance: float | Points) -> Points:
    """Ring with every side moved by `distance` to its right, corners mitred: outward if it runs counterclockwise.

    Parameters
    ----------
    ring : array, shape (n, 2)
        Corners; no corner of 0 or 180 degrees. [m]
    distance : float or array, shape (n,)
        For all sides, or for each; side i runs from corner i to i + 1. [m]

    Examples
    --------
    >>> grown(np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0]]), 0.5).tolist()
    [[-0.5, -0.5], [4.5, -0.5], [4.5, 3.5], [-0.5, 3.5]]
    """
    far = np.broadcast_to(np.asarray(distance, float), len(ring))
    if not far.any():
        return ring
    after = np.roll(ring, -1, axis=0) - ring
    after = after / np.linalg.norm(after, axis=1)[:, None]
    before = np.roll(after, 1, axis=0)
    sine = _cross(before, after)
    # what stands to the right of both sides at once, each by its own distance
    step = before * far[:, None] - after * np.roll(far, 1)[:, None]
    moved: Points = ring + step / sine[:, None]
    return moved


def corner_text(point: Sequence[float] | Points) -> str:
    """Place in plan with its unit, which need not be that of the job: ``(10, 6.25) m``."""
    shown = ", ".join(f"{0.0 if math.isclose(value, 0.0, abs_tol=5e-4) else value:.7g}" for value in point)
    return f"({shown}) m"
