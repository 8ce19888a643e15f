"""Where a body on a taut rope comes to hang once it has swung along the edges.

Along the boundary H(E) = z(E) - (L - l(A, E)) is the height of a body hanging at E; it rolls to the nearest minimum.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.field.edges import EdgePoints

__all__ = ["Hang", "hang_heights", "roll"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Heights closer than this count as level, so that rounding doesn't start a swing. [m]
_LEVEL = 1e-9


@dataclass(frozen=True)
class Hang:
    """Where a body let go at each of n edge points comes to rest."""

    rest: Integers  #: (n,) index of the point it comes to hang under
    first: Integers  #: (n,) one end of the stretch of its chain that it can swing over ...
    count: Integers  #: (n,) ... and how many points that stretch has, walking on from `first`


def hang_heights(z: Floats, to_edge: Floats, length: Floats) -> Floats:
    """Height of a body hanging under each edge point.

    Parameters
    ----------
    z, to_edge : array, shape (n,)
        Height of the edge point; taut rope from the anchor to it. [m]
    length : array, shape (n,) or float
        Rope from the anchor to the D-ring as stretched. [m]

    Returns
    -------
    array, shape (n,)
        H = z - (L - l). [m]

    Examples
    --------
    >>> hang_heights(np.array([3.0]), np.array([5.0]), np.array([7.0]))
    array([1.])
    """
    heights: Floats = z - (length - to_edge)
    return heights


def roll(edges: EdgePoints, heights: Floats) -> Hang:
    """Roll a body from each point down to the nearest minimum of its hanging height.

    Parameters
    ----------
    edges : EdgePoints
    heights : array, shape (n,)
        From `hang_heights`. [m]

    Returns
    -------
    Hang
        The stretch it can swing over is that around its start where the hanging height is nowhere above the start:
        without friction a pendulum gets no further on either side.
    """
    n = len(heights)
    rest = np.arange(n)
    first = np.arange(n)
    count = np.ones(n, np.int64)
    for number, closed in enumerate(edges.closed):
        members = np.flatnonzero(edges.chain == number)
        h = heights[members]
        for k in range(len(members)):
            low, lowest, size = _basin(h, k, closed=closed)
            rest[members[k]] = members[lowest]
            first[members[k]] = members[low]
            count[members[k]] = size
    return Hang(rest=rest, first=first, count=count)


def stretch_of(edges: EdgePoints, hang: Hang, i: int) -> Integers:
    """Indices of the points that a body let go at point `i` can swing over."""
    members = np.flatnonzero(edges.chain == edges.chain[i])
    at = int(np.searchsorted(members, hang.first[i]))
    stretch: Integers = members[(at + np.arange(hang.count[i])) % len(members)]
    return stretch


def _basin(h: Floats, k: int, *, closed: bool) -> tuple[int, int, int]:
    """First index, index of rest and size of the stretch around k that lies no higher than k."""
    n = len(h)
    before = _walk(h, k, -1, n - 1 if closed else k)
    after = _walk(h, k, +1, n - 1 - before if closed else n - 1 - k)
    return (k - before) % n, _downhill(h, k, closed=closed), before + after + 1


def _walk(h: Floats, k: int, step: int, most: int) -> int:
    """How many points in a row on one side lie no higher than k."""
    n, taken = len(h), 0
    while taken < most and h[(k + step * (taken + 1)) % n] <= h[k] + _LEVEL:
        taken += 1
    return taken


def _downhill(h: Floats, k: int, *, closed: bool) -> int:
    """Index of the lowest point on the way down from k; of two ways down, the one that ends lower."""
    return min((_lowest_on_way(h, k, step, closed=closed) for step in (-1, 1)), key=lambda i: h[i])


def _lowest_on_way(h: Floats, k: int, step: int, *, closed: bool) -> int:
    """Follow one side as long as it does not rise; level stretches are passed (a corner stands twice)."""
    n, here, lowest = len(h), k, k
    for _ in range(n - 1):
        ahead = here + step
        if not (closed or 0 <= ahead < n) or h[ahead % n] > h[here] + _LEVEL:
            break
        here = ahead % n
        if h[here] < h[lowest] - _LEVEL:
            lowest = here
    return lowest
