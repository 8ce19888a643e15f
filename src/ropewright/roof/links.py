"""Which convex edge a taut path can go to from which, and over what part of both."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.bends import BendEdge

__all__ = ["NARROW", "SLACK", "EdgeTable", "Links", "Screen", "about", "links_between"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Slack in tests that may only throw out what is certainly useless. [m]
SLACK = 1e-9
#: A run of places shorter than this is none: its paths go through the edge's end. [m]
NARROW = 1e-8
#: Creases times segments looked at in one go.
_BATCH = 100_000
#: A path that passes a crease's upright plane nearer than this to it, or to its ends, is not called blocked. [m]
_BESIDE = 1e-6


@dataclass(frozen=True)
class EdgeTable:
    """Convex edges as arrays: ``start``, ``along`` (e, 3), ``length`` (e,), outward normals ``faces`` (2, e, 3)."""

    start: Floats
    along: Floats
    length: Floats
    faces: Floats

    @classmethod
    def of(cls, edges: tuple[BendEdge, ...]) -> EdgeTable:
        """Table of some edges; face 0 is the left one."""
        return cls(
            np.array([e.start for e in edges]).reshape(-1, 3),
            np.array([e.along for e in edges]).reshape(-1, 3),
            np.array([e.length for e in edges]).reshape(-1),
            np.array([[e.left for e in edges], [e.right for e in edges]]).reshape(2, -1, 3),
        )

    def some(self, which: Ints) -> EdgeTable:
        """Table of some of the edges."""
        return EdgeTable(self.start[which], self.along[which], self.length[which], self.faces[:, which])

    def at(self, edge: Ints, place: Floats) -> Floats:
        """Points at places on edges, shape (n, 3)."""
        return self.start[edge] + place[:, None] * self.along[edge]

    def over(self, face: Ints, edge: Ints, x: Floats) -> Floats:
        """Heights of points over the planes of faces, shape (n,)."""
        return _dot(x - self.start[edge], self.faces[face, edge])

    def about(self, edge: Ints, x: Floats) -> tuple[Floats, Floats]:
        """Place on the edge's line next to each point, and the point's distance from that line."""
        return about(self.start[edge], self.along[edge], x)


def _dot(a: Floats, b: Floats) -> Floats:
    product: Floats = np.einsum("...i,...i->...", a, b)
    return product


def about(start: Floats, along: Floats, x: Floats) -> tuple[Floats, Floats]:
    """Place along lines next to points, and the distance of the points from the lines."""
    away = x - start
    a = _dot(away, along)
    off = away - a[..., None] * along
    return a, np.sqrt(_dot(off, off))


@dataclass(frozen=True)
class Screen:
    """Sides of the roof's surface as screens: nothing straight passes under one without passing through the solid.

    Parameters
    ----------
    start : array, shape (c, 3)
    run : array, shape (c, 2)
        Plan unit vector along each.
    length, rise : array, shape (c,)
        Plan length [m], and rise per plan length [-].
    depth : float
        How far under it is through. [m]
    """

    start: Floats
    run: Floats
    length: Floats
    rise: Floats
    depth: float

    def blocks(self, e0: Floats, e1: Floats, g0: Floats, g1: Floats) -> Bools:
        """True where every segment from e0-e1 to g0-g1, shape (n, 3) each, passes under one and the same side.

        Height and place at which a segment passes the side's upright plane are ratios of forms that are bilinear in
        the places of its two ends: what holds for the four segments between the ends holds for all.
        """
        step = max(1, _BATCH // max(1, len(self.length)))
        batches = [self._batch(np.stack([e0, e1, g0, g1])[:, k : k + step]) for k in range(0, len(e0), step)]
        return np.concatenate(batches) if batches else np.zeros(0, dtype=bool)

    def _batch(self, ends: Floats) -> Bools:
        low, high = ends.min(axis=0)[:, :, None], ends.max(axis=0)[:, :2, None]
        x0, x1, y0, y1, top = self._boxes
        meets = (low[:, 2] < top) & (low[:, 0] <= x1) & (high[:, 0] >= x0) & (low[:, 1] <= y1) & (high[:, 1] >= y0)
        of, side = np.nonzero(meets)
        x, y = ends[:, of, 0] - self.start[side, 0], ends[:, of, 1] - self.start[side, 1]
        beside = x * self.run[side, 1] - y * self.run[side, 0]
        beside *= np.where(beside[0] < 0.0, 1.0, -1.0)
        apart = (np.maximum(beside[0], beside[1]) < -_BESIDE) & (np.minimum(beside[2], beside[3]) > _BESIDE)
        of, side, x, y, beside = of[apart], side[apart], x[:, apart], y[:, apart], beside[:, apart]
        place = x * self.run[side, 0] + y * self.run[side, 1]
        up = ends[:, of, 2] - self.start[side, 2] - self.rise[side] * place + self.depth
        near, far = -beside[:2], beside[2:]
        under = np.ones(len(of), dtype=bool)
        for i in range(2):
            for j in range(2):
                under &= far[j] * up[i] + near[i] * up[2 + j] < 0.0
                at, whole = far[j] * place[i] + near[i] * place[2 + j], far[j] + near[i]
                under &= (at > _BESIDE * whole) & (at < (self.length[side] - _BESIDE) * whole)
        blocked = np.zeros(ends.shape[1], dtype=bool)
        blocked[of[under]] = True
        return blocked

    @cached_property
    def _boxes(self) -> tuple[Floats, ...]:
        """Least and greatest x and y, and greatest z, of every side."""
        end = self.start + self.length[:, None] * np.column_stack([self.run, self.rise])
        low, high = np.minimum(self.start, end), np.maximum(self.start, end)
        return low[:, 0], high[:, 0], low[:, 1], high[:, 1], high[:, 2]

    def seen(
        self, edges: EdgeTable, e0: Floats, e1: Floats, edge: Ints, low: Floats, high: Floats, cells: int
    ) -> tuple[Floats, Floats]:
        """Least runs of places on edges that hold all that is seen from e0-e1 past every single side."""
        cuts = np.linspace(low, high, cells + 1)
        first, last = high.copy(), low.copy()
        for a, b in pairwise(cuts):
            open_ = ~self.blocks(e0, e1, edges.at(edge, a), edges.at(edge, b))
            first[open_], last[open_] = np.minimum(first, a)[open_], np.maximum(last, b)[open_]
        return first, last


@dataclass(frozen=True)
class Links:
    """Rows that say: from ``edge`` crossed in ``sense`` between low and high one may come to ``next``.

    Sense 0 crosses an edge from its left face to its right one, 1 the other way. Rows stand in order of
    ``2 * edge + sense``; those of k are ``first[k]`` to ``first[k + 1]``.
    """

    first: Ints
    next: Ints
    next_sense: Ints
    low: Floats
    high: Floats
    next_low: Floats
    next_high: Floats
    coplanar: Bools


def links_between(edges: EdgeTable, screen: Screen, slack: float) -> Links:
    """Every pair of edges that a taut path can bend on in turn.

    A path comes to an edge over the face it leaves and under the plane of the face it goes to, and goes on the other
    way round. So each edge of a pair has to reach into such a wedge of the other.
    """
    n = len(edges.length)
    pairs = np.indices((n, 2, n, 2)).reshape(4, -1)
    pairs = pairs[:, pairs[0] != pairs[2]]
    pairs = pairs[:, _holds(_wedge_run(edges, pairs[2], pairs[0], 1 - pairs[1], slack))]
    pairs = pairs[:, _holds(_wedge_run(edges, pairs[0], pairs[2], pairs[3], slack))]
    e, s, g, t = pairs
    low, high = _wedge_run(edges, e, g, t, slack)
    first, last = _wedge_run(edges, g, e, 1 - s, slack)
    first, last = screen.seen(edges, edges.at(e, low), edges.at(e, high), g, first, last, 4)
    seen = _holds((first, last))
    e, s, g, t = pairs[:, seen]
    starts = np.searchsorted(2 * e + s, np.arange(2 * n + 1))
    return Links(starts, g, t, low[seen], high[seen], first[seen], last[seen], _coplanar(edges, e, g))


def _holds(run: tuple[Floats, Floats]) -> Bools:
    """True where a run is more than nothing."""
    return np.asarray(run[1] - run[0] > NARROW)


def _wedge_run(edges: EdgeTable, edge: Ints, other: Ints, face: Ints, slack: float) -> tuple[Floats, Floats]:
    """Places on an edge over one face of another edge and under the plane of its other face; none if high < low."""
    low, high, none = np.zeros(len(edge)), edges.length[edge].copy(), np.zeros(len(edge), dtype=bool)
    for which, sign in ((face, 1.0), (1 - face, -1.0)):
        a = sign * edges.over(which, other, edges.at(edge, low)) + slack
        b = sign * edges.over(which, other, edges.at(edge, high)) + slack
        cut = low + (high - low) * a / np.where(a == b, 1.0, a - b)
        low, high = np.where((a < 0.0) & (b >= 0.0), cut, low), np.where((b < 0.0) & (a >= 0.0), cut, high)
        none |= (a < 0.0) & (b < 0.0)
    return low, np.where(none, low - 1.0, high)


def _coplanar(edges: EdgeTable, e: Ints, g: Ints) -> Bools:
    """True where edge g lies in one half-plane that ends in the line of edge e."""
    start, end = edges.start[g], edges.at(g, edges.length[g])
    r = start - edges.at(e, edges.about(e, start)[0])
    s = end - edges.at(e, edges.about(e, end)[0])
    apart = np.linalg.norm(np.cross(r, s), axis=1)
    rr, ss = _dot(r, r), _dot(s, s)
    meet = np.minimum(rr, ss) < SLACK**2
    flat: Bools = meet | ((apart < 1e-10 * np.sqrt(rr * ss)) & (_dot(r, s) > 0.0))
    return flat
