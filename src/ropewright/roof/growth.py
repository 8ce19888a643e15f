"""The search for every sequence of edges by which a shortest path from one anchor can run.

It grows windows edge by edge from the anchor. A window is given up only for reasons that hold for each path by it: it
would turn away from the edge, its angles can't be equal, a side of the surface blocks all of it, or a path known to be
clear is shorter wherever it reaches. When nothing is left to grow, the saddles that can't be reached by a shorter way
any more become sources in their turn.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof.links import NARROW, SLACK, EdgeTable
from ropewright.roof.solid import RoofSolid
from ropewright.roof.windows import BEYOND, Bends, Windows, bends_by, candidates, last_bends

__all__ = ["Reach", "clear_paths", "grown"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Most windows that are kept; a house has a hundred.
_MOST = 200_000
#: A leg shorter than this is a point. [m]
_POINT = 1e-6


@dataclass
class Reach:
    """What an anchor reaches: windows, and the saddles as further sources.

    ``points`` (s, 3), the anchor first; ``lengths`` (s,) of the paths to them, inf where there is none; ``came`` (s,)
    the window by which the path to a source ends, or -1 - k where it runs straight from source k.
    """

    solid: RoofSolid
    windows: Windows
    points: Floats
    lengths: Floats
    came: Ints


def clear_paths(reach: Reach, rows: Ints, x: Floats, bound: Floats) -> Bends:
    """Paths by windows to points, with infinite lengths unless clear and below a bound."""
    windows, edges = reach.windows, reach.solid.table
    bends = bends_by(windows, edges, reach.points, rows, x)
    # windows may hold a little more than is reached, where an image would see past the end of an edge
    outside = (bends.places < windows.low[rows] - BEYOND) | (bends.places > windows.high[rows] + BEYOND)
    bends.lengths[outside | (bends.lengths >= bound)] = np.inf
    ends, here = reach.points[windows.source[rows]], x
    for k in range(bends.rows.shape[1] + 1):
        on = np.isfinite(bends.lengths) & ((bends.rows[:, k - 1] >= 0) if k else True)
        if not on.any():
            break
        if k < bends.rows.shape[1]:
            there = np.where((bends.rows[:, k] >= 0)[:, None], bends.points[:, k], ends)
        else:
            there = ends
        tried = np.flatnonzero(on)
        bends.lengths[tried[~reach.solid.is_clear(here[tried], there[tried])]] = np.inf
        here = there
    return bends


def grown(solid: RoofSolid, anchor: Floats) -> Reach:
    """Everything that an anchor reaches.

    Raises
    ------
    RoofError
        If there are more ways round the roof than can be kept.
    """
    points = np.vstack([anchor, solid.saddles])
    lengths = np.full(len(points), np.inf)
    lengths[0] = 0.0
    growth = _Growth(Reach(solid, Windows.none(), points, lengths, np.full(len(points), -1, dtype=np.int64)))
    while growth.settle():
        pass
    return growth.reach


class _Growth:
    """One search under way."""

    def __init__(self, reach: Reach) -> None:
        self.reach = reach
        self.solid = reach.solid
        self.edges: EdgeTable = reach.solid.table
        #: Shortest clear lengths known to the marks on every edge.
        self.known = np.full(self.solid.marks.shape, np.inf)
        self.settled = np.zeros(len(reach.points), dtype=bool)

    def settle(self) -> bool:
        """Grow from every source whose length is final; False if there is none left."""
        reach, waiting = self.reach, np.flatnonzero(~self.settled & np.isfinite(self.reach.lengths))
        if not len(waiting):
            return False
        apart = np.linalg.norm(reach.points[waiting, None] - reach.points[None, waiting], axis=2)
        ready = waiting[reach.lengths[waiting] <= (reach.lengths[waiting][:, None] + apart).min(axis=0)]
        self.settled[ready] = True
        for source in ready:
            self._look(int(source))
        grown = self._from_sources(ready)
        while len(grown):
            self._to_saddles(grown)
            grown = self._onward(grown)
        return True

    def _look(self, source: int) -> None:
        """Straight ways from a source to marks and to other sources."""
        reach, marks = self.reach, self.solid.marks
        edge, mark = np.indices(marks.shape).reshape(2, -1)
        goals = np.vstack([self.edges.at(edge, marks.ravel()), reach.points])
        bound = np.concatenate([self.known.ravel(), np.where(self.settled, -np.inf, reach.lengths)])
        lengths = reach.lengths[source] + np.linalg.norm(goals - reach.points[source], axis=1)
        tried = np.flatnonzero(lengths < bound)
        start = np.broadcast_to(reach.points[source], (len(tried), 3))
        tried = tried[self.solid.is_clear(start, goals[tried])]
        bound[tried] = lengths[tried]
        self.known[edge, mark] = bound[: edge.size]
        new = tried[tried >= edge.size] - edge.size
        reach.lengths[new], reach.came[new] = lengths[new + edge.size], -1 - source

    def _from_sources(self, sources: Ints) -> Ints:
        """Rows of new windows seen straight from some sources."""
        count = len(self.edges.length)
        source, edge, sense = (k.ravel() for k in np.meshgrid(sources, np.arange(count), [0, 1], indexing="ij"))
        start, slack = self.reach.points[source], self.solid.slack
        p, q = self.edges.about(edge, start)
        keep = (q > SLACK) & (self.edges.over(sense, edge, start) >= -slack)
        keep &= self.edges.over(1 - sense, edge, start) <= slack
        source, edge, sense, p, q, start = (v[keep] for v in (source, edge, sense, p, q, start))
        low, high = self.solid.screen.seen(
            self.edges, start, start, edge, np.zeros(len(edge)), self.edges.length[edge].copy(), 4
        )
        alone, yes = np.full(len(edge), -1), np.ones(len(edge), dtype=bool)
        return self._add(source, alone, edge, sense, yes, self.reach.lengths[source], p, q, low, high)

    def _onward(self, rows: Ints) -> Ints:
        """Rows of new windows that follow some windows across their edges."""
        rows = self._trim(rows)
        windows, links = self.reach.windows, self.solid.links
        here = 2 * windows.edge[rows] + windows.sense[rows]
        many = links.first[here + 1] - links.first[here]
        row = np.repeat(rows, many)
        link = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many) + np.repeat(links.first[here], many)
        low = np.maximum(windows.low[row], links.low[link])
        high = np.minimum(windows.high[row], links.high[link])
        keep = (high - low > NARROW) & ~self._passed(row, links.next[link])
        row, link, low, high = row[keep], link[keep], low[keep], high[keep]
        first, last = self._cone_run(row, low, high, links.next[link], links.next_low[link], links.next_high[link])
        keep = last - first > NARROW
        row, link, low, high, first, last = (v[keep] for v in (row, link, low, high, first, last))
        keep = ~self._turns_away(row, links.next[link], first, last)
        row, link, low, high, first, last = (v[keep] for v in (row, link, low, high, first, last))
        e, g = windows.edge[row], links.next[link]
        first, last = self.solid.screen.seen(
            self.edges, self.edges.at(e, low), self.edges.at(e, high), g, first, last, 1
        )
        p, q = self._carried(row, g)
        return self._add(
            windows.source[row], row, g, links.next_sense[link], windows.exact[row] & links.coplanar[link],
            windows.offset[row], p, q, first, last,
        )  # fmt: skip

    def _passed(self, row: Ints, edge: Ints) -> Bools:
        """True where an edge is in the sequence already: a shortest path bends on no edge twice."""
        windows, passed = self.reach.windows, np.zeros(len(row), dtype=bool)
        while (row >= 0).any():
            passed |= (row >= 0) & (windows.edge[row] == edge)
            row = np.where(row >= 0, windows.parent[row], -1)
        return passed

    def _slopes(self, row: Ints, place: Floats, end: float = 0.0) -> tuple[Floats, Floats]:
        """Lengths to places on the windows' edges, and how fast they grow along them.

        Where two edges meet and the last leg is no longer than a point, its direction is noise: then `end`, -1 at the
        low end of a window and +1 at the high one, is a slope that is safe to reckon with.
        """
        windows = self.reach.windows
        p = place - windows.p[row]
        away = np.sqrt(p * p + windows.q[row] ** 2)
        length, slope = windows.offset[row] + away, p / np.maximum(away, SLACK)
        skew = np.flatnonzero(~windows.exact[row])
        if len(skew):
            edge, parent = windows.edge[row[skew]], windows.parent[row[skew]]
            x = self.edges.at(edge, place[skew])
            length[skew], before = last_bends(windows, self.edges, parent, x)
            leg = x - self.edges.at(windows.edge[parent], before)
            away = np.linalg.norm(leg, axis=1)
            slant = (leg * self.edges.along[edge]).sum(axis=1) / np.maximum(away, SLACK)
            slope[skew] = np.where(away < _POINT, end, slant)
        return length, slope

    def _cone_run(
        self, row: Ints, low: Floats, high: Floats, edge: Ints, first: Floats, last: Floats
    ) -> tuple[Floats, Floats]:
        """Part of first..last on the next edges that lies between the cones that leave the ends of the windows.

        Where a path leaves an edge it makes the angle it came by, so from each place it goes on along a cone round the
        edge; places beyond the cone of an end bend outside the window.
        """
        here = self.reach.windows.edge[row]
        for place, sign in ((low, 1.0), (high, -1.0)):
            slope = self._slopes(row, place, -sign)[1]
            a, b = _in_cone(self.edges, self.edges.at(here, place), here, slope, sign, edge, first, last)
            first, last = np.maximum(first, a), np.minimum(last, b)
        return first, last

    def _turns_away(self, row: Ints, edge: Ints, first: Floats, last: Floats) -> Bools:
        """True where every path would bend round the edge on the side that is open."""
        windows, edges = self.reach.windows, self.edges
        here, parent = windows.edge[row], windows.parent[row]
        start, along = edges.start[here], edges.along[here]
        source = self.reach.points[windows.source[row]]
        away = np.ones(len(row), dtype=bool)
        for end in (windows.low, windows.high):
            p = np.where((parent >= 0)[:, None], edges.at(windows.edge[parent], end[parent]), source) - start
            for place in (first, last):
                q = edges.at(edge, place) - start
                turn = (np.cross(p, q) * along).sum(axis=1)
                away &= np.where(windows.sense[row] == 0, turn, -turn) > SLACK
        return away

    def _carried(self, row: Ints, edge: Ints) -> tuple[Floats, Floats]:
        """Images of windows about edges that lie in one plane with theirs, on the far side."""
        windows, edges = self.reach.windows, self.edges
        a0, r0 = edges.about(windows.edge[row], edges.start[edge])
        a1, r1 = edges.about(windows.edge[row], edges.at(edge, edges.length[edge]))
        ux, uy = (a1 - a0) / edges.length[edge], (r1 - r0) / edges.length[edge]
        x, y = windows.p[row] - a0, -windows.q[row] - r0
        return x * ux + y * uy, np.abs(x * uy - y * ux)

    def _add(
        self, source: Ints, parent: Ints, edge: Ints, sense: Ints, exact: Bools, offset: Floats, p: Floats, q: Floats,
        low: Floats, high: Floats,
    ) -> Ints:  # fmt: skip
        """Open windows; returns the rows of those that are worth it."""
        low, high = np.maximum(low, 0.0), np.minimum(high, self.edges.length[edge])
        ends = np.zeros((len(edge), 2))
        new = Windows(source, parent, edge, sense, exact, offset, p, q, low, high, ends, ends.copy(), offset)
        new = new.take(high - low > NARROW)
        count = len(self.reach.windows)
        if count + len(new) > _MOST:
            raise RoofError("roof", f"{len(self.edges.length)} convex edges", "give a roof with fewer facets")
        self.reach.windows = self.reach.windows.joined(new)
        rows = np.arange(count, count + len(new))
        self._measure(rows)
        rows = self._trim(rows)
        # rows given up at once are dropped, so that they cost nothing later
        self.reach.windows = self.reach.windows.take(np.concatenate([np.arange(count), rows]))
        rows = np.arange(count, count + len(rows))
        self._set_keys(rows)
        self._mark(rows)
        return rows

    def _measure(self, rows: Ints) -> None:
        windows = self.reach.windows
        for k, place in enumerate((windows.low[rows], windows.high[rows])):
            windows.length[rows, k], windows.slope[rows, k] = self._slopes(rows, place, 2.0 * k - 1.0)

    def _trim(self, rows: Ints) -> Ints:
        """Cut from windows what a known path beats for certain; returns the rows that are left.

        Length along an edge changes no faster than the way walked on it: beside a mark the known path is at most the
        mark's length and the way, and the window's own path at least its length at the end less the way.
        """
        windows = self.reach.windows
        for _ in range(3):
            edge = windows.edge[rows]
            marks, known = self.solid.marks[edge], self.known[edge] + SLACK
            low, high = windows.low[rows][:, None], windows.high[rows][:, None]
            beaten = (marks > low) & (windows.length[rows, :1] > known + (marks - low))
            new_low = np.where(beaten, marks, low).max(axis=1)
            beaten = (marks < high) & (windows.length[rows, 1:] > known + (high - marks))
            new_high = np.where(beaten, marks, high).min(axis=1)
            cut = (new_low > low[:, 0]) | (new_high < high[:, 0])
            windows.low[rows], windows.high[rows] = new_low, new_high
            gone = new_high - new_low <= NARROW
            windows.key[rows[gone]] = np.inf
            again = rows[cut & ~gone]
            self._measure(again)
            rows = rows[~gone]
            if not len(again):
                break
        return rows

    def _set_keys(self, rows: Ints) -> None:
        """A length that no path by a window falls short of; and images, right near the middle, for skew windows."""
        windows = self.reach.windows
        low, high, length, slope = windows.low[rows], windows.high[rows], windows.length[rows], windows.slope[rows]
        turn = slope[:, 0] - slope[:, 1]
        meet = (length[:, 1] - length[:, 0] + slope[:, 0] * low - slope[:, 1] * high) / np.where(turn == 0.0, 1.0, turn)
        key = length[:, 0] + slope[:, 0] * (meet - low)  # where the tangents at both ends meet
        key = np.where(windows.exact[rows], windows.offset[rows] + windows.q[rows], key)
        windows.key[rows] = np.where(slope[:, 0] >= 0.0, length[:, 0], np.where(slope[:, 1] <= 0.0, length[:, 1], key))
        skew = rows[~windows.exact[rows]]
        if len(skew):
            middle = 0.5 * (windows.low[skew] + windows.high[skew])
            reached, slant = self._slopes(skew, middle)
            away = reached - windows.offset[skew]
            windows.p[skew] = middle - away * slant
            windows.q[skew] = away * np.sqrt(np.maximum(0.0, 1.0 - slant**2))

    def _mark(self, rows: Ints) -> None:
        """Shorten what is known of the marks that lie in some windows."""
        windows = self.reach.windows
        marks = self.solid.marks[windows.edge[rows]]
        inside = (marks >= windows.low[rows][:, None]) & (marks <= windows.high[rows][:, None])
        of, mark = np.nonzero(inside)
        row = rows[of]
        edge = windows.edge[row]
        goals, child = self.edges.at(edge, marks[of, mark]), windows.parent[row] >= 0
        row, goals, of = windows.parent[row[child]], goals[child], (edge[child], mark[child])
        np.minimum.at(self.known, of, clear_paths(self.reach, row, goals, self.known[of]).lengths)

    def _to_saddles(self, rows: Ints) -> None:
        """Shorten the ways to the sources that wait, by some windows."""
        reach, waiting = self.reach, np.flatnonzero(~self.settled)
        goals = reach.points[waiting]
        goal, of, least = candidates(
            reach.windows.take(rows), self.edges, goals, reach.lengths[waiting], self.solid.slack
        )
        order = np.argsort(least, kind="stable")
        goal, row = waiting[goal[order]], rows[of[order]]
        lengths = clear_paths(reach, row, reach.points[goal], reach.lengths[goal]).lengths
        for k in np.argsort(-lengths, kind="stable"):
            if lengths[k] < reach.lengths[goal[k]]:
                reach.lengths[goal[k]], reach.came[goal[k]] = lengths[k], row[k]


def _in_cone(
    edges: EdgeTable, apex: Floats, axis_of: Ints, c: Floats, sign: float, edge: Ints, low: Floats, high: Floats
) -> tuple[Floats, Floats]:
    """Least runs in low..high that hold all y on edges with ``sign * (cos(y - apex, axis) - c) >= 0``; high < low: none.

    At the ends of the run the condition holds or the line meets the cone, a quadratic in the place.
    """
    axis, v, y = edges.along[axis_of], edges.along[edge], edges.start[edge] - apex
    vu, yu, yv, yy = ((m * n).sum(axis=1) for m, n in ((v, axis), (y, axis), (y, v), (y, y)))
    first, last = high.copy(), low - 1.0
    for s in (low, high):
        inside = sign * (yu + s * vu - c * np.sqrt(np.maximum(0.0, yy + 2.0 * s * yv + s * s))) >= -SLACK
        first, last = np.where(inside, np.minimum(first, s), first), np.where(inside, np.maximum(last, s), last)
    qa, qb, qc = vu * vu - c * c, vu * yu - c * c * yv, yu * yu - c * c * yy
    root = np.sqrt(np.maximum(0.0, qb * qb - qa * qc))
    big = np.where(qb > 0.0, -qb - root, -qb + root)
    for over, under in ((big, qa), (qc, big)):
        s = over / np.where(under == 0.0, 1.0, under)
        inside = (under != 0.0) & (s >= low) & (s <= high) & ((yu + s * vu) * c >= -SLACK)
        first, last = np.where(inside, np.minimum(first, s), first), np.where(inside, np.maximum(last, s), last)
    return first - SLACK, last + SLACK
