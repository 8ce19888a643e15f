"""The search for every sequence of edges by which a shortest path from a source can run.

It grows windows edge by edge, for all sources at once. A window is given up only for reasons that hold for each path
by it: it would turn away from the edge, its angles can't be equal, a side of the surface blocks all of it, or a path
known to be clear is shorter wherever it reaches.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof.links import NARROW, SLACK, EdgeTable
from ropewright.roof.windows import BEYOND, Bends, Windows, bends_by, candidates, last_bends

if TYPE_CHECKING:
    from ropewright.roof.solid import RoofSolid

__all__ = ["Reach", "clear_paths", "reach_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Most windows that are kept; a house has a hundred.
_MOST = 200_000
#: A leg shorter than this is a point. [m]
_POINT = 1e-6


@dataclass
class Reach:
    """What an anchor reaches: windows, from the anchor itself and from the saddles as further sources.

    ``sources`` (s, 3), the anchor first; ``lengths`` (s,) of the paths to them, inf where there is none; ``came`` (s,)
    the window by which the path to a source ends, or -1 - k where it runs straight from source k. Windows that were
    given up have an infinite key.
    """

    solid: RoofSolid
    sources: Floats
    lengths: Floats
    came: Ints
    windows: Windows


def reach_of(solid: RoofSolid, anchor: Floats) -> Reach:
    """Everything that an anchor, shape (3,), reaches.

    Raises
    ------
    RoofError
        If there are more ways round the roof than can be kept.
    """
    sources = np.vstack([anchor, solid.saddles])
    lengths = np.full(len(sources), np.inf)
    lengths[0] = 0.0
    reach = Reach(solid, sources, lengths, np.full(len(sources), -1, dtype=np.int64), Windows.none())
    search = _Search(reach)
    while search.grow():
        pass
    return reach


def clear_paths(reach: Reach, rows: Ints, x: Floats, bound: Floats) -> Bends:
    """Paths by windows to points, with infinite lengths unless clear and below a bound."""
    solid, windows, sources = reach.solid, reach.windows, reach.sources
    bends = bends_by(windows, solid.table, sources, rows, x)
    # windows may hold a little more than is reached, where an image would see past the end of an edge
    outside = (bends.places < windows.low[rows] - BEYOND) | (bends.places > windows.high[rows] + BEYOND)
    bends.lengths[outside | (bends.lengths >= bound)] = np.inf
    here, on = x, np.flatnonzero(np.isfinite(bends.lengths))
    for k in range(bends.rows.shape[1] + 1):
        there = sources[windows.source[rows]]
        if k < bends.rows.shape[1]:
            there = np.where((bends.rows[:, k] >= 0)[:, None], bends.points[:, k], there)
        clear = solid.is_clear(here[on], there[on])
        bends.lengths[on[~clear]] = np.inf
        on = on[clear]
        on = on[bends.rows[on, k] >= 0] if k < bends.rows.shape[1] else on[:0]
        here = there
    return bends


@dataclass(frozen=True)
class _Steps:
    """Ways on from windows: bent between low and high on their edge, toward first to last on the next edge."""

    row: Ints
    edge: Ints
    link: Ints
    low: Floats
    high: Floats
    first: Floats
    last: Floats

    def take(self, rows: Bools) -> _Steps:
        return _Steps(*(getattr(self, f.name)[rows] for f in fields(self)))


class _Search:
    """One search under way."""

    def __init__(self, reach: Reach) -> None:
        self.reach = reach
        self.solid = reach.solid
        self.edges: EdgeTable = reach.solid.table
        #: Shortest clear lengths found to the marks on every edge.
        self.known = np.full(self.solid.marks.shape, np.inf)
        #: Lengths to the sources with which they were last grown.
        self.grown = np.full(len(reach.lengths), np.inf)

    def grow(self) -> bool:
        """Grow from every source that a shorter way was found to; False if there is none."""
        reach = self.reach
        ready = np.flatnonzero(reach.lengths < self.grown)
        if not len(ready):
            return False
        reach.windows.key[np.isin(reach.windows.source, ready)] = np.inf
        self.grown[ready] = reach.lengths[ready]
        for source in ready[np.argsort(reach.lengths[ready], kind="stable")]:
            self._look(int(source))
        rows = self._from_sources(ready)
        while len(rows):
            self._to_saddles(rows)
            rows = self._onward(rows)
        return True

    def _look(self, source: int) -> None:
        """Straight ways from a source to marks and to other sources."""
        reach, marks = self.reach, self.solid.marks
        edge = np.repeat(np.arange(len(marks)), marks.shape[1])
        goals = np.vstack([self.edges.at(edge, marks.ravel()), reach.sources])
        best = np.concatenate([self.known.ravel(), reach.lengths])
        lengths = reach.lengths[source] + np.linalg.norm(goals - reach.sources[source], axis=1)
        tried = np.flatnonzero(lengths < best - SLACK)
        start = np.broadcast_to(reach.sources[source], (len(tried), 3))
        tried = tried[self.solid.is_clear(start, goals[tried])]
        best[tried] = lengths[tried]
        self.known = best[: marks.size].reshape(marks.shape)
        reach.lengths[:] = best[marks.size :]
        reach.came[tried[tried >= marks.size] - marks.size] = -1 - source

    def _from_sources(self, sources: Ints) -> Ints:
        """Rows of new windows seen straight from some sources."""
        count, edges, slack = len(self.edges.length), self.edges, self.solid.slack
        which, edge, sense = (k.ravel() for k in np.indices((len(sources), count, 2)))
        source = sources[which]
        start = self.reach.sources[source]
        keep = (edges.over(sense, edge, start) >= -slack) & (edges.over(1 - sense, edge, start) <= slack)
        source, edge, sense, start = source[keep], edge[keep], sense[keep], start[keep]
        p, q = edges.about(edge, start)
        low, high = self.solid.screen.seen(edges, start, start, edge, np.zeros(len(edge)), edges.length[edge].copy(), 4)
        low = np.where(q > SLACK, low, high)  # no bend on an edge that starts at the source or points at it
        alone, yes = np.full(len(edge), -1), np.ones(len(edge), dtype=bool)
        return self._add(source, alone, edge, sense, yes, p, q, low, high)

    def _onward(self, rows: Ints) -> Ints:
        """Rows of new windows that follow some windows across their edges."""
        rows = self._trim(rows)
        windows, links = self.reach.windows, self.solid.links
        here = 2 * windows.edge[rows] + windows.sense[rows]
        many = links.first[here + 1] - links.first[here]
        row = np.repeat(rows, many)
        link = np.arange(len(row)) + np.repeat(links.first[here] - np.cumsum(many) + many, many)
        low = np.maximum(windows.low[row], links.low[link])
        high = np.minimum(windows.high[row], links.high[link])
        steps = _Steps(row, links.next[link], link, low, high, links.next_low[link], links.next_high[link])
        steps = steps.take((high - low > NARROW) & ~self._passed(steps.row, steps.edge))
        steps = self._between_cones(steps)
        steps = steps.take(~self._turns_away(steps))
        e, edges = windows.edge[steps.row], self.edges
        first, last = self.solid.screen.seen(
            edges, edges.at(e, steps.low), edges.at(e, steps.high), steps.edge, steps.first, steps.last, 1
        )
        exact = windows.exact[steps.row] & links.coplanar[steps.link]
        p, q = self._carried(steps.row, steps.edge)
        sense = links.next_sense[steps.link]
        return self._add(windows.source[steps.row], steps.row, steps.edge, sense, exact, p, q, first, last)

    def _passed(self, row: Ints, edge: Ints) -> Bools:
        """True where an edge is in the sequence already: a shortest path bends on no edge twice."""
        windows, passed = self.reach.windows, np.zeros(len(row), dtype=bool)
        while (row >= 0).any():
            passed |= (row >= 0) & (windows.edge[row] == edge)
            row = np.where(row >= 0, windows.parent[row], -1)
        return passed

    def _slopes(self, row: Ints, place: Floats, end: Floats) -> tuple[Floats, Floats]:
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
            slope[skew] = np.where(away < _POINT, end[skew], slant)
        return length, slope

    def _between_cones(self, steps: _Steps) -> _Steps:
        """Steps cut to what lies between the cones that leave the ends of their windows.

        Where a path leaves an edge it makes the angle it came by, so from each place it goes on along a cone round the
        edge; places beyond the cone of an end bend outside the window.
        """
        here, n = self.reach.windows.edge[steps.row], len(steps.row)
        places, ends = np.concatenate([steps.low, steps.high]), np.repeat([-1.0, 1.0], n)
        slopes = self._slopes(np.concatenate([steps.row, steps.row]), places, ends)[1].reshape(2, n)
        first, last = steps.first, steps.last
        for place, slope, sign in ((steps.low, slopes[0], 1.0), (steps.high, slopes[1], -1.0)):
            apex = self.edges.at(here, place)
            a, b = _in_cone(self.edges, apex, here, slope, sign, steps.edge, first, last)
            first, last = np.maximum(first, a), np.minimum(last, b)
        return replace(steps, first=first, last=last).take(last - first > NARROW)

    def _turns_away(self, steps: _Steps) -> Bools:
        """True where every path would bend round the edge on the side that is open."""
        windows, edges, row = self.reach.windows, self.edges, steps.row
        here, parent = windows.edge[row], windows.parent[row]
        start, along = edges.start[here], edges.along[here]
        source = self.reach.sources[windows.source[row]]
        away = np.ones(len(row), dtype=bool)
        for end in (windows.low, windows.high):
            p = np.where((parent >= 0)[:, None], edges.at(windows.edge[parent], end[parent]), source) - start
            for place in (steps.first, steps.last):
                turn = _triple(p, edges.at(steps.edge, place) - start, along)
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
        self, source: Ints, parent: Ints, edge: Ints, sense: Ints, exact: Bools, p: Floats, q: Floats,
        low: Floats, high: Floats,
    ) -> Ints:  # fmt: skip
        """Open windows; returns the rows of those that are worth it."""
        low, high = np.maximum(low, 0.0), np.minimum(high, self.edges.length[edge])
        offset, ends = self.reach.lengths[source], np.zeros((len(edge), 2))
        new = Windows(source, parent, edge, sense, exact, offset, p, q, low, high, ends, ends, offset)
        count, new = len(self.reach.windows), new.take(high - low > NARROW)
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
        """Work out lengths and slopes at both ends of windows."""
        windows, n = self.reach.windows, len(rows)
        places, ends = np.concatenate([windows.low[rows], windows.high[rows]]), np.repeat([-1.0, 1.0], n)
        lengths, slopes = self._slopes(np.concatenate([rows, rows]), places, ends)
        windows.length[rows] = lengths.reshape(2, n).T
        windows.slope[rows] = slopes.reshape(2, n).T

    def _trim(self, rows: Ints) -> Ints:
        """Cut from windows what a known path beats for certain; returns the rows that are left."""
        windows = self.reach.windows
        low, high = windows.low[rows], windows.high[rows]
        new_low, new_high = windows.unbeaten(rows, self.solid.marks, self.known)
        gone = new_high - new_low <= NARROW
        windows.key[rows[gone]] = np.inf
        cut = rows[((new_low > low) | (new_high < high)) & ~gone]
        windows.low[rows], windows.high[rows] = new_low, new_high
        self._measure(cut)
        return rows[~gone]

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
            reached, slant = self._slopes(skew, middle, np.zeros(len(skew)))
            away = reached - windows.offset[skew]
            windows.p[skew] = middle - away * slant
            windows.q[skew] = away * np.sqrt(np.maximum(0.0, 1.0 - slant**2))

    def _mark(self, rows: Ints) -> None:
        """Shorten what is known of the marks that lie in some windows, by the paths of their parents."""
        windows = self.reach.windows
        rows = rows[windows.parent[rows] >= 0]
        marks = self.solid.marks[windows.edge[rows]]
        inside = (marks >= windows.low[rows][:, None]) & (marks <= windows.high[rows][:, None])
        of, mark = np.nonzero(inside)
        row = rows[of]
        at = (windows.edge[row], mark)
        goals = self.edges.at(windows.edge[row], marks[of, mark])
        np.minimum.at(self.known, at, self._clear(windows.parent[row], goals, self.known[at]))

    def _to_saddles(self, rows: Ints) -> None:
        """Shorten the ways to saddles by some windows."""
        reach = self.reach
        goal, of, _ = candidates(reach.windows.take(rows), self.edges, reach.sources, reach.lengths, self.solid.slack)
        row = rows[of]
        lengths = self._clear(row, reach.sources[goal], reach.lengths[goal] - SLACK)
        for k in np.argsort(-lengths, kind="stable"):
            if lengths[k] < reach.lengths[goal[k]]:
                reach.lengths[goal[k]], reach.came[goal[k]] = lengths[k], row[k]

    def _clear(self, rows: Ints, goals: Floats, bound: Floats) -> Floats:
        return clear_paths(self.reach, rows, goals, bound).lengths


def _triple(a: Floats, b: Floats, c: Floats) -> Floats:
    """Volume spanned by rows of vectors."""
    x = (a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]) * c[:, 0]
    y = (a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]) * c[:, 1]
    volume: Floats = x + y + (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) * c[:, 2]
    return volume


def _in_cone(
    edges: EdgeTable, apex: Floats, axis_of: Ints, c: Floats, sign: float, edge: Ints, low: Floats, high: Floats
) -> tuple[Floats, Floats]:
    """Least runs in low..high that hold all y on edges with ``sign * (cos(y - apex, axis) - c) >= 0``.

    Where nothing does, the run's end is below its start.
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
