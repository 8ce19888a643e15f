"""The start of falls in three dimensions: each rope laid the shortest way over its edge, each body before its walls."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Laid", "faced", "laid"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


class Laid(NamedTuple):
    """Where n ropes lie at the start, each of shape (n,)."""

    window: Integers  #: row of the table of windows
    bend: Floats  #: place on the edge [m]
    beyond: Floats  #: rope from the anchor to there [m]
    level: Floats  #: level place of the body along the edge [m]


def laid(windows: Floats, links: Integers, first: Integers, place: Floats) -> Laid:
    """Lay ropes the shortest way over the windows of the edge each fall starts from.

    Parameters
    ----------
    windows : array, shape (w, 19)
    links : array of int, shape (w, 4)
    first : array of int, shape (n,)
        First window of the edge.
    place : array, shape (n, 3)
        Of the body. [m]
    """
    n = len(first)
    best = np.full(n, np.inf)
    found = Laid(first.copy(), np.zeros(n), np.zeros(n), np.zeros(n))
    for k in range(len(windows)):
        mine = np.flatnonzero(links[k, 2] == links[first, 2])
        if not len(mine):
            continue
        row = windows[k]
        x, y, z = (place[mine] - row[:3]).T
        level, out = x * row[3] + y * row[4], x * row[5] + y * row[6]
        u, w = level * row[7] + z * row[8], z * row[7] - level * row[8]
        across = np.hypot(out, w)
        bend = np.clip((row[12] * across + u * row[13]) / np.maximum(across + row[13], 1e-12), row[9], row[10])
        beyond = row[11] + np.hypot(bend - row[12], row[13])
        length = beyond + np.hypot(u - bend, across)
        better = length < best[mine]
        best[mine[better]] = length[better]
        for values, new in zip(found, (k, bend, beyond, level), strict=True):
            values[mine[better]] = new if np.isscalar(new) else np.asarray(new)[better]
    return found


def faced(planes: Floats, spans: Integers, place: Floats) -> Integers:
    """Row of the plane that each body is furthest in front of, shape (n,).

    Parameters
    ----------
    planes : array, shape (k, d + 1)
        Normal and its product with a point of the plane.
    spans : array of int, shape (n, 2)
        First and last row of those that each body can touch.
    place : array, shape (n, d)
    """
    best = np.full(len(place), -np.inf)
    chosen: Integers = spans[:, 0].copy()
    for k, plane in enumerate(planes):
        away = np.where((spans[:, 0] <= k) & (k < spans[:, 1]), place @ plane[:-1] - plane[-1], -np.inf)
        better = away > best
        best[better], chosen[better] = away[better], k
    return chosen
