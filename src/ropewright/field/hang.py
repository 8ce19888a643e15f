"""Where a body on a taut rope comes to hang once it has swung along the edges.

Along the boundary H(E) = z(E) - (L - l(A, E)) is the height of a body hanging at E; it rolls to the nearest minimum.
L is the rope that the body fell on and stays what it was, so that it shifts all of H alike: where a body rolls to,
and how far down that is, depends on z + l alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.field.edges import EdgePoints
from ropewright.field.windows import Windows

__all__ = ["Hang", "hang_heights", "highest_on_way", "roll"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Heights closer than this count as level, so that rounding neither starts a swing nor stops one. [m]
_LEVEL = 1e-6


@dataclass(frozen=True)
class Hang:
    """Where a body let go at each of n edge points comes to rest, and all that it can swing over on the way."""

    rest: Integers  #: (n,) index of the point it comes to hang under
    first: Integers  #: (n,) one end of the stretch of its chain that it can swing over ...
    count: Integers  #: (n,) ... and how many points that stretch has, walking on from `first`
    drop: Floats  #: (n,) height lost down to the lowest place of that stretch [m]
    drag: Floats  #: (n,) way along the edges from the start to the place of rest [m]


def hang_heights(z: Floats, to_edge: Floats, length: Floats | float = 0.0) -> Floats:
    """Height of a body hanging under each edge point.

    Parameters
    ----------
    z, to_edge : array, shape (n,)
        Height of the edge point; taut rope from the anchor to it. [m]
    length : array, shape (n,) or float
        Rope from the anchor to the D-ring as stretched; 0 where only differences along an edge count. [m]

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


def roll(
    edges: EdgePoints,
    heights: Floats,
    to_edge: Floats | None = None,
    length: Floats | None = None,
    spare: Floats | None = None,
) -> Hang:
    """Roll a body from each point down to the nearest minimum of its hanging height.

    Parameters
    ----------
    edges : EdgePoints
    heights : array, shape (n,)
        From `hang_heights`, all for one and the same length of rope. [m]
    to_edge : array, shape (n,), optional
        Taut rope from the anchor to each point. [m]
    length : array, shape (n,), optional
        Rope that the body let go at each point hangs on: it can't swing to where the rope does not reach, unless it
        hung that far out from the start. Without both, no place is out of reach. [m]
    spare : array, shape (n,), optional
        Height that the speed of each body stands for: it swings that much higher than where it was let go. [m]

    Returns
    -------
    Hang
        The stretch it can swing over is that around its start where the hanging height is nowhere above the start:
        without friction a pendulum gets no further on either side. Of two ways down it comes to rest on the one that
        ends lower; the height lost is that to the lowest place of the stretch, which errs to the worse where a low
        hump parts two minima.
    """
    n = len(heights)
    rest, first, count = np.arange(n), np.arange(n), np.ones(n, np.int64)
    drop, drag = np.zeros(n), np.zeros(n)
    out = np.zeros(n) if to_edge is None else to_edge
    rope = out if length is None else np.maximum(length, out)
    for number, closed in enumerate(edges.closed):
        members = np.flatnonzero(edges.chain == number)
        one = _Chain(heights[members], out[members], rope[members], closed=closed)
        if spare is not None:
            one.spare = spare[members]
        before, after = one.stretch()
        place = one.rest(edges.points[members])
        rest[members], drag[members] = members[place[0]], place[1]
        first[members] = members[(np.arange(len(members)) - before) % len(members)]
        count[members] = before + after + 1
        drop[members] = one.drop(before, after)
    return Hang(rest=rest, first=first, count=count, drop=drop, drag=drag)


def highest_on_way(edges: EdgePoints, hang: Hang, values: Floats) -> Integers:
    """Where the greatest of some values stands on the stretch that a body can swing over from each point.

    Parameters
    ----------
    edges : EdgePoints
    hang : Hang
        Of the same points.
    values : array, shape (n,)
        No nan.

    Returns
    -------
    array of int, shape (n,)
        Indices of points.
    """
    found = np.arange(len(values))
    for number in range(len(edges.closed)):
        members = np.flatnonzero(edges.chain == number)
        if len(members):
            twice = Windows(np.tile(values[members], 2))
            start = np.searchsorted(members, hang.first[members])
            found[members] = members[twice.greatest(start, hang.count[members]) % len(members)]
    return found


class _Chain:
    """One chain of m points laid out three times over, so that no walk has to mind where a closed one begins.

    A walk from k goes no further than where the height is above that at k, and where more rope is needed than k has.
    """

    def __init__(self, heights: Floats, to_edge: Floats, rope: Floats, *, closed: bool) -> None:
        m = len(heights)
        self.m, self.heights, self.spare = m, heights, np.zeros(m)
        self.most_rope = rope + _LEVEL
        row, needed = np.tile(heights, 3), np.tile(to_edge, 3)
        if not closed:  # a wall at either end
            row[:m] = row[2 * m :] = np.inf
        self.on = _Walk(row, needed, np.arange(m) + m, m)
        self.back = _Walk(row[::-1], needed[::-1], 2 * m - 1 - np.arange(m), m)

    def stretch(self) -> tuple[Integers, Integers]:
        """How many points in a row before and after each it can swing over; together at most the whole chain."""
        most = self.heights + self.spare + _LEVEL
        before, after = (walk.under(most, self.most_rope) for walk in (self.back, self.on))
        return before, np.minimum(after, self.m - 1 - before)

    def drop(self, before: Integers, after: Integers) -> Floats:
        """Height of each point over the lowest of its stretch."""
        lowest = self.on.lowest.greatest(self.on.at - before, before + after + 1)
        lost: Floats = self.heights - self.on.row[lowest]
        return lost

    def rest(self, points: Floats) -> tuple[Integers, Floats]:
        """Nearest minimum of each point, and the way there along the edges. [m]"""
        m, at = self.m, self.on.at
        ends = np.stack([at + self.on.downhill(self.most_rope), at - self.back.downhill(self.most_rope)])
        steps = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1)
        way = np.cumsum(np.tile(steps, 3))
        far = np.abs(way[ends] - way[at])
        heights = self.on.row[ends]
        chosen = np.where(heights <= heights.min(axis=0) + _LEVEL, far, np.inf).argmin(axis=0)
        place = ends[chosen, np.arange(m)]
        return place % m, far[chosen, np.arange(m)]


class _Walk:
    """Walks along a row, one from each of m places `at`, of at most m - 1 steps."""

    def __init__(self, row: Floats, needed: Floats, at: Integers, m: int) -> None:
        self.row, self.at, self.m = row, at, m
        self.highest, self.lowest, self.furthest = Windows(row), Windows(-row), Windows(needed)

    def under(self, most: Floats, rope: Floats) -> Integers:
        """Steps over places no higher than `most` that the rope reaches."""
        return np.minimum(self.highest.run(self.at + 1, most, self.at + self.m), self._reached(rope))

    def downhill(self, rope: Floats) -> Integers:
        """Steps to the lowest place on the way as long as it does not rise; level stretches are passed."""
        rises = self.row[1:] > self.row[:-1] + _LEVEL
        end = len(self.row) - 1
        stops = np.append(np.where(rises, np.arange(end), end), end)
        first_rise = np.minimum.accumulate(stops[::-1])[::-1]
        steps = np.minimum(np.minimum(first_rise[self.at] - self.at, self.m - 1), self._reached(rope))
        return self.lowest.greatest(self.at, steps + 1) - self.at

    def _reached(self, rope: Floats) -> Integers:
        return self.furthest.run(self.at + 1, rope, self.at + self.m)
