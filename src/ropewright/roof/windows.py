"""Windows: what taut paths by one sequence of edges reach, and how long such paths are.

A window is a run of places on an edge to which taut paths come from one source (the anchor or a saddle) by one
sequence of edges. Its *image* (p, q) is the source laid into one plane with the edge: the path to place t is
``offset + hypot(t - p, q)`` long. That is exact while every edge lies in one plane with the one before it, as on facets
that unfold. After a step through the air between skew edges the image is exact near the middle of the window only, and
lengths come from Newton's method.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.links import SLACK, EdgeTable
from ropewright.roof.newton import Chains, shortest

__all__ = ["BEYOND", "Bends", "Windows", "bends_by", "candidates", "image_place", "last_bends"]

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

    def unbeaten(self, rows: Ints, marks: Floats, known: Floats) -> tuple[Floats, Floats]:
        """Ends of windows less what is longer than a known path for certain; high <= low where nothing is left.

        Parameters
        ----------
        rows : array of int, shape (n,)
        marks : array, shape (e, k)
            Places on every edge. [m]
        known : array, shape (e, k)
            Lengths of clear paths to them. [m]

        Notes
        -----
        Length along an edge changes no faster than the way walked on it: beside a mark the known path is at most the
        mark's length and the way, and the window's own path at least its length at the end less the way.
        """
        edge = self.edge[rows]
        at, known = marks[edge], known[edge] + SLACK
        low, high = self.low[rows][:, None], self.high[rows][:, None]
        beaten = (at > low) & (self.length[rows, :1] > known + (at - low))
        new_low: Floats = np.where(beaten, at, low).max(axis=1)
        beaten = (at < high) & (self.length[rows, 1:] > known + (high - at))
        new_high: Floats = np.where(beaten, at, high).min(axis=1)
        return new_low, new_high


def image_place(p: Floats, q: Floats, a: Floats, r: Floats) -> Floats:
    """Place where the straight line from image (p, q) to a point at (a, r) on the other side crosses the edge."""
    over = q + r
    return np.where(over > 0.0, (p * r + a * q) / np.where(over > 0.0, over, 1.0), p)


@dataclass(frozen=True)
class Bends:
    """Shortest paths by windows to points, clear or not, each bend by bend from the point back to the source.

    ``rows`` (n, d): the window of each bend, -1 past the source; ``points`` (n, d, 3), nan there; ``places`` (n,) of
    the bends next to the goals; ``lengths`` (n,) of whole paths, leg by leg.
    """

    rows: Ints
    points: Floats
    places: Floats
    lengths: Floats


def bends_by(windows: Windows, edges: EdgeTable, sources: Floats, rows: Ints, x: Floats) -> Bends:
    """Bends of the shortest paths by windows to points.

    Parameters
    ----------
    windows : Windows
    edges : EdgeTable
    sources : array, shape (s, 3)
        Points of the windows' sources. [m]
    rows : array of int, shape (n,)
    x : array, shape (n, 3)
        [m]
    """
    newton = _newton_places(windows, edges, rows, x)
    chain: list[Ints] = []
    points: list[Floats] = []
    here, ends = x, sources[windows.source[rows]]
    lengths, places = windows.offset[rows], np.full(len(rows), np.nan)
    while (rows >= 0).any():
        on = rows >= 0
        edge = windows.edge[rows]
        a, r = edges.about(edge, here)
        place = np.clip(image_place(windows.p[rows], windows.q[rows], a, r), 0.0, edges.length[edge])
        if len(chain) < newton.shape[1]:
            known = newton.T[len(chain)]
            place = np.where(np.isnan(known), place, known)
        there = np.where(on[:, None], edges.at(edge, place), ends)
        lengths = lengths + np.sqrt(((there - here) ** 2).sum(axis=1))
        places = places if chain else place
        chain.append(rows)
        points.append(np.where(on[:, None], there, np.nan))
        here, rows = there, np.where(on, windows.parent[rows], -1)
    lengths = lengths + np.sqrt(((ends - here) ** 2).sum(axis=1))
    if not chain:
        return Bends(np.empty((0, 0), dtype=np.int64), np.empty((0, 0, 3)), places, lengths)
    return Bends(np.stack(chain, axis=1), np.stack(points, axis=1), places, lengths)


def last_bends(windows: Windows, edges: EdgeTable, rows: Ints, x: Floats) -> tuple[Floats, Floats]:
    """Lengths of the shortest paths by windows to points, and the places where they bend last; images taken as true."""
    edge = windows.edge[rows]
    a, r = edges.about(edge, x)
    p, q = windows.p[rows], windows.q[rows]
    places = np.clip(image_place(p, q, a, r), 0.0, edges.length[edge])
    lengths = windows.offset[rows] + np.sqrt((a - p) ** 2 + (r + q) ** 2)
    skew = np.flatnonzero(~windows.exact[rows])
    if len(skew):
        found, bends = _skew_lengths(windows, edges, rows[skew], x[skew])
        lengths[skew], places[skew] = found, bends[:, 0]
    return lengths, places


def _newton_places(windows: Windows, edges: EdgeTable, rows: Ints, x: Floats) -> Floats:
    """Places by Newton's method for paths by skew windows, the last bend first, nan where images tell; (n, any)."""
    skew = np.flatnonzero(~windows.exact[rows])
    if not len(skew):
        return np.empty((len(rows), 0))
    found = _skew_lengths(windows, edges, rows[skew], x[skew])[1]
    places = np.full((len(rows), found.shape[1]), np.nan)
    places[skew] = found
    return places


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


def candidates(windows: Windows, edges: EdgeTable, x: Floats, bound: Floats, slack: float) -> tuple[Ints, Ints, Floats]:
    """Pairs of points and windows by which a path may run that is taut and below the points' bounds.

    Returns
    -------
    (array of int, array of int, array), shape (m,)
        Point, window, and a length that no path by that window to that point falls short of: its own if exact. [m]
    """
    over = [x @ face.T - np.einsum("ei,ei->e", edges.start, face) for face in edges.faces]
    # a path leaves an edge under the plane of the face it came by and over the other face
    beyond = np.concatenate([(over[1 - s] >= -slack) & (over[s] <= slack) for s in (0, 1)], axis=1)
    alive = np.flatnonzero(windows.key < bound.max(initial=0.0))
    side = windows.edge[alive] + len(edges.length) * windows.sense[alive]
    point, of = np.nonzero(beyond[:, side] & (windows.key[alive] < bound[:, None]))
    row = alive[of]
    edge = windows.edge[row]
    a, r = edges.about(edge, x[point])
    p, q = windows.p[row], windows.q[row]
    place = image_place(p, q, a, r)
    good = (place >= windows.low[row] - BEYOND) & (place <= windows.high[row] + BEYOND)
    least = windows.offset[row] + np.sqrt((a - p) ** 2 + (r + q) ** 2)
    skew = np.flatnonzero(~windows.exact[row])
    if len(skew):
        good[skew], least[skew] = _between_cones(windows, row[skew], a[skew], r[skew])
    good &= least < bound[point]
    return point[good], row[good], least[good]


def _between_cones(windows: Windows, row: Ints, a: Floats, r: Floats) -> tuple[Bools, Floats]:
    """True where a path by a skew window to a point at (a, r) bends inside the window; and a bound for its length.

    The angle to the edge grows from the window's low end to its high one, so the point lies between the cones at both.
    Length along the edge is convex: it lies above its tangents there.
    """
    good, least = np.ones(len(row), dtype=bool), np.zeros(len(row))
    for end, (place, sign) in enumerate(((windows.low[row], 1.0), (windows.high[row], -1.0))):
        slope = np.clip(windows.slope[row, end], -1.0, 1.0)
        good &= sign * (a - place - slope * np.sqrt((a - place) ** 2 + r * r)) >= -BEYOND
        wave = windows.length[row, end] + slope * (a - place) + r * np.sqrt(1.0 - slope**2)
        least = np.maximum(least, wave - 1e-12)
    return good, least
