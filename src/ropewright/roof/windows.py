"""Windows: what taut paths by one sequence of edges reach, and how long such paths are.

A window is a run of places on an edge to which taut paths come from one source (the anchor or a saddle) by one
sequence of edges. Its *image* (p, q) is the source laid into one plane with the edge: the path to place t is
``offset + hypot(t - p, q)`` long. That is exact while every edge lies in one plane with the one before it, as on facets
that unfold. After a step through the air between skew edges the image is exact near the middle of the window only, and
lengths come from Newton's method.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.links import EdgeTable, about
from ropewright.roof.newton import Chains, shortest

__all__ = ["BEYOND", "Windows", "bends_of", "image_place", "least_lengths", "lengths_by"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: How far beyond its window a bend may lie by rounding. [m]
BEYOND = 1e-7


@dataclass
class Windows:
    """Windows as arrays, one row each; a window's parent stands in an earlier row, -1 for none.

    ``low`` and ``high`` bound its places on ``edge``; ``length`` and ``slope``, shape (n, 2), are those of the paths to
    both bounds; no path by it is shorter than ``key``. A row that was given up has an infinite key.
    """

    source: Ints
    parent: Ints
    edge: Ints
    sense: Ints
    exact: Bools
    offset: Floats
    p: Floats
    q: Floats
    low: Floats
    high: Floats
    length: Floats
    slope: Floats
    key: Floats

    @classmethod
    def none(cls) -> Windows:
        """No window at all."""
        ints, floats = np.zeros(0, dtype=np.int64), np.zeros(0)
        return cls(
            ints, ints, ints, ints, np.zeros(0, dtype=bool), floats, floats, floats, floats, floats,
            np.zeros((0, 2)), np.zeros((0, 2)), floats,
        )  # fmt: skip

    def __len__(self) -> int:
        return len(self.edge)

    def joined(self, other: Windows) -> Windows:
        """These rows and then the others."""
        return Windows(*(np.concatenate([getattr(self, f.name), getattr(other, f.name)]) for f in fields(self)))

    def take(self, rows: Ints | Bools) -> Windows:
        """Some of the rows."""
        return Windows(*(getattr(self, f.name)[rows] for f in fields(self)))


def image_place(p: Floats, q: Floats, a: Floats, r: Floats) -> Floats:
    """Place where the straight line from image (p, q) to a point at (a, r) on the other side crosses the edge."""
    over = q + r
    return np.where(over > 0.0, (p * r + a * q) / np.where(over > 0.0, over, 1.0), p)


def lengths_by(windows: Windows, edges: EdgeTable, rows: Ints, x: Floats) -> tuple[Floats, Floats]:
    """Lengths of the shortest paths by windows to points, clear or not, and where they bend last.

    Parameters
    ----------
    windows : Windows
    edges : EdgeTable
    rows : array of int, shape (n,)
    x : array, shape (n, 3)
        [m]

    Returns
    -------
    (array, array), shape (n,)
        Lengths, and places on the windows' edges. [m]
    """
    a, r = edges.about(windows.edge[rows], x)
    p, q = windows.p[rows], windows.q[rows]
    places = np.clip(image_place(p, q, a, r), 0.0, edges.length[windows.edge[rows]])
    lengths = windows.offset[rows] + np.sqrt((a - p) ** 2 + (r + q) ** 2)
    skew = np.flatnonzero(~windows.exact[rows])
    if len(skew):
        lengths[skew], bends = _skew_lengths(windows, edges, rows[skew], x[skew])
        places[skew] = bends[:, 0]
    return lengths, places


def bends_of(windows: Windows, edges: EdgeTable, rows: Ints, x: Floats) -> Iterator[tuple[Ints, Ints, Floats]]:
    """Bends of the paths by windows to points, last first: which of the paths, the window of the bend, and the point.

    Every turn of the iterator takes all paths that have a bend left one bend nearer to their source.
    """
    paths, skew = np.arange(len(rows)), np.flatnonzero(~windows.exact[rows])
    newton = np.full((len(rows), 1), np.nan)
    if len(skew):
        bends = _skew_lengths(windows, edges, rows[skew], x[skew])[1]
        newton = np.full((len(rows), bends.shape[1]), np.nan)
        newton[skew] = bends
    turn = 0
    while len(paths):
        edge = windows.edge[rows]
        a, r = edges.about(edge, x)
        places = np.clip(image_place(windows.p[rows], windows.q[rows], a, r), 0.0, edges.length[edge])
        known = newton[paths, turn] if turn < newton.shape[1] else np.full(len(paths), np.nan)
        x = edges.at(edge, np.where(np.isnan(known), places, known))
        yield paths, rows, x
        rows = windows.parent[rows]
        left = rows >= 0
        paths, rows, x, turn = paths[left], rows[left], x[left], turn + 1


def _skew_lengths(windows: Windows, edges: EdgeTable, rows: Ints, x: Floats) -> tuple[Floats, Floats]:
    """Least lengths by windows without an exact image, and their places back to the last exact one, then nan."""
    chain = [rows]
    while not windows.exact[chain[-1]].all():
        last = chain[-1]
        chain.append(np.where(windows.exact[last], last, windows.parent[last]))
    columns = np.array(chain).T
    count = (~windows.exact[columns]).sum(axis=1) + 1
    lengths, places = np.empty(len(rows)), np.full(columns.shape, np.nan)
    for m in np.unique(count):
        of = np.flatnonzero(count == m)
        lengths[of], places[of, :m] = _least(windows, edges, columns[of, :m], x[of])
    return lengths, places


def _least(windows: Windows, edges: EdgeTable, chain: Ints, x: Floats) -> tuple[Floats, Floats]:
    """Least lengths over chains of windows, shape (b, m) with the exact one last, and their places."""
    edge, goal = windows.edge[chain], x
    guess = np.empty(chain.shape)
    for k in range(chain.shape[1]):
        a, r = edges.about(edge[:, k], goal)
        place = image_place(windows.p[chain[:, k]], windows.q[chain[:, k]], a, r)
        guess[:, k] = np.clip(place, 0.0, edges.length[edge[:, k]])
        goal = edges.at(edge[:, k], guess[:, k])
    root = chain[:, -1]
    chains = Chains(edges.start[edge], edges.along[edge], edges.length[edge], x, windows.p[root], windows.q[root])
    lengths, places = shortest(chains, guess)
    return lengths + windows.offset[root], places


def least_lengths(
    windows: Windows, edges: EdgeTable, rows: Ints, x: Floats, bound: Floats
) -> tuple[Ints, Ints, Floats]:
    """Pairs of points and windows whose path may be below the points' bounds.

    Returns
    -------
    (array of int, array of int, array), shape (m,)
        Point, window, and a length that no path by that window to that point falls short of. [m]
    """
    edge = windows.edge[rows]
    a, r = about(edges.start[edge], edges.along[edge], x[:, None])
    p, q = windows.p[rows], windows.q[rows]
    least = windows.offset[rows] + np.sqrt((a - p) ** 2 + (r + q) ** 2)
    place = image_place(p, q, a, r)
    least[(place < windows.low[rows] - BEYOND) | (place > windows.high[rows] + BEYOND)] = np.inf
    skew = np.flatnonzero(~windows.exact[rows])
    # the length along an edge is convex, so it lies above its tangents at both ends of a window
    waves = [
        windows.length[rows[skew], k] + c * (a[:, skew] - end[rows[skew]]) + r[:, skew] * np.sqrt(1.0 - c * c)
        for k, end in enumerate((windows.low, windows.high))
        for c in (np.clip(windows.slope[rows[skew], k], -1.0, 1.0),)
    ]
    least[:, skew] = np.maximum(*waves) - 1e-12
    point, of = np.nonzero(least < bound[:, None])
    return point, rows[of], least[point, of]
