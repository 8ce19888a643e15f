"""Rings of a footprint mended: corners that stand twice or in a straight line, corners that were meant to be square."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["squared", "without_straight", "without_twice"]

Points = NDArray[np.float64]

#: Nearer to a right angle than this a corner was meant to be one. [rad]
_NEARLY_SQUARE = math.radians(4.0)


def without_twice(ring: Points, tolerance: float) -> Points:
    """Ring without corners nearer than `tolerance` [m] to the one before, shape (n, 2).

    Examples
    --------
    >>> without_twice(np.array([[0.0, 0], [0.001, 0], [4, 0], [4, 3]]), 0.01).tolist()
    [[0.0, 0.0], [4.0, 0.0], [4.0, 3.0]]
    """
    kept: list[Points] = []
    for corner in ring:
        if not kept or math.dist(kept[-1], corner) > tolerance:
            kept.append(corner)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) <= tolerance:
        kept.pop()
    return np.array(kept)


def without_straight(ring: Points, tolerance: float) -> Points:
    """Ring, shape (n, 2), without corners that stand less than `tolerance` [m] off the line between their neighbours.

    The straightest goes first; a ring of three is left as it is.

    Examples
    --------
    >>> without_straight(np.array([[0.0, 0], [2, 0.01], [4, 0], [4, 3]]), 0.02).tolist()
    [[0.0, 0.0], [4.0, 0.0], [4.0, 3.0]]
    """
    while len(ring) > 3:
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        run, away = after - before, ring - before
        length = np.maximum(np.hypot(*run.T), 1e-12)
        off = np.abs(run[:, 0] * away[:, 1] - run[:, 1] * away[:, 0]) / length
        # a spike there and back lies in the line too, but not between its neighbours
        along = (run * away).sum(axis=1) / length
        off[(along <= 0) | (along >= length)] = np.inf
        if off.min() > tolerance:
            break
        ring = np.delete(ring, int(off.argmin()), axis=0)
    return ring


def squared(ring: Points, tolerance: float) -> Points | None:
    """Ring with all its corners made square, if they nearly are and none has to move more than `tolerance`.

    Parameters
    ----------
    ring : array, shape (n, 2)
        [m]
    tolerance : float
        [m]

    Returns
    -------
    array, shape (n, 2), or None

    Examples
    --------
    >>> squared(np.array([[0.0, 0], [8, 0], [8.02, 6], [-0.02, 6]]), 0.05).round(3) + 0.0
    array([[-0.01,  0.  ],
           [ 8.01,  0.  ],
           [ 8.01,  6.  ],
           [-0.01,  6.  ]])
    >>> squared(np.array([[0.0, 0], [8, 0], [4, 6]]), 0.05) is None
    True
    """
    if len(ring) % 2:
        return None
    runs = np.roll(ring, -1, axis=0) - ring
    lengths, angles = np.hypot(*runs.T), np.arctan2(runs[:, 1], runs[:, 0])
    # angles counted four times are one where sides are square to each other
    main = math.atan2(*(lengths @ np.column_stack((np.sin(4 * angles), np.cos(4 * angles))))) / 4
    quarter = np.round((angles - main) / (math.pi / 2))
    if np.abs(angles - main - quarter * math.pi / 2).max() > _NEARLY_SQUARE:
        return None
    across = quarter.astype(int) % 2
    if (across == np.roll(across, 1)).any():
        return None
    turn = np.array([[math.cos(main), -math.sin(main)], [math.sin(main), math.cos(main)]])
    flat = ring @ turn
    level = (flat + np.roll(flat, -1, axis=0)) / 2
    made = flat.copy()
    for i in range(len(ring)):
        for side in (i - 1, i):  # each side gives its corners the coordinate across it
            made[i, 1 - across[side]] = level[side, 1 - across[side]]
    result: Points = made @ turn.T
    return result if np.hypot(*(result - ring).T).max() <= tolerance else None
