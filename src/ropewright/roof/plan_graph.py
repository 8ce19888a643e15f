"""Lines in plan cut where they meet, and the fields between them: what a roof of several parts is traced on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["SAME_PLACE", "PlanGraph", "plan_graph"]

Points = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Places nearer than this are one; a place this near a line is on it. [m]
SAME_PLACE = 1e-6
#: How far off a link the field beside it is looked at, the widest that fits first. [m]
_LOOKS = (0.03, 3e-3, 3e-4, 3e-5, 4e-6)


class PlanGraph:
    """Nodes, the links between them, and the fields that the links enclose.

    Parameters
    ----------
    nodes : array, shape (m, 2)
        [m]
    links : sequence of (int, int)
        Nodes at both ends of each; none twice, none across another.

    Attributes
    ----------
    fields : array of int, shape (k, 2)
        For each link the field on its left and that on its right.
    spots : array, shape (f, 2)
        A place in each field, as far from its links as could be found; nan in a field too narrow for one. [m]

    Examples
    --------
    >>> graph = plan_graph(np.array([[[0, 0], [2, 0]], [[2, 0], [2, 2]], [[2, 2], [0, 0]]], float))
    >>> len(graph.nodes), len(graph.links), len(graph.spots)
    (3, 3, 2)
    """

    def __init__(self, nodes: Points, links: Sequence[tuple[int, int]]) -> None:
        self.nodes = nodes
        self.links = list(links)
        ends = np.array(self.links)
        self._starts = np.concatenate((nodes[ends[:, 0]], nodes[ends[:, 1]]))  # every link there, then every link back
        self._runs = np.concatenate((nodes[ends[:, 1]], nodes[ends[:, 0]])) - self._starts
        number = self._numbered_fields()
        self.fields: Integers = np.column_stack((number[: len(ends)], number[len(ends) :]))
        self.spots: Points = self._spots(number)

    def beside(self, field: int) -> int:
        """The field across the longest link of a field."""
        ways = np.flatnonzero((self.fields == field).any(axis=1))
        longest = ways[np.argmax(np.hypot(*self._runs[ways].T))]
        left, right = self.fields[longest].tolist()
        return int(right if left == field else left)

    def _numbered_fields(self) -> Integers:
        """Number of the field on the left of every link, there and back."""
        count = len(self.links)
        leaving: dict[int, list[int]] = {}
        for k, (i, j) in enumerate(self.links):
            leaving.setdefault(i, []).append(k)
            leaving.setdefault(j, []).append(k + count)
        angles = np.arctan2(self._runs[:, 1], self._runs[:, 0]).tolist()
        following = [0] * (2 * count)
        for ways in leaving.values():
            ways.sort(key=angles.__getitem__)
            for place, way in enumerate(ways):
                back = way + count if way < count else way - count
                following[back] = ways[place - 1]  # the first clockwise from the way back bounds the same field
        number, fields = [-1] * (2 * count), 0
        for first in range(2 * count):
            if number[first] >= 0:
                continue
            way = first
            while number[way] < 0:
                number[way] = fields
                way = following[way]
            fields += 1
        return np.array(number)

    def _spots(self, number: Integers) -> Points:
        """One place in each field, looked for beside its longest links first."""
        spots = np.full((int(number.max()) + 1, 2), np.nan)
        length = np.hypot(self._runs[:, 0], self._runs[:, 1])
        aside = np.column_stack((-self._runs[:, 1], self._runs[:, 0])) / length[:, None]
        middle = self._starts + self._runs / 2
        order = np.argsort(-length, kind="stable")
        _, first = np.unique(number[order], return_index=True)
        for ways in (order[np.sort(first)], order):  # the longest of each field does for nearly all
            for look in _LOOKS:
                left = ways[np.isnan(spots[number[ways], 0])]
                if not len(left):
                    return spots
                at = middle[left] + look * aside[left]
                # its own link is the nearest: whatever lay between the two would be nearer
                is_clear = self._distances(at).min(axis=1) > (1.0 - 1e-6) * look
                spots[number[left[is_clear]][::-1]] = at[is_clear][::-1]
        return spots

    def _distances(self, points: Points) -> Points:
        """Distance of points from every link, shape (n, k), in metres."""
        count = len(self.links)
        starts, runs = self._starts[None, :count], self._runs[None, :count]
        away = points[:, None] - starts
        share = np.clip((away * runs).sum(axis=2) / (runs * runs).sum(axis=2), 0.0, 1.0)
        off: Points = away - share[..., None] * runs
        distances: Points = np.hypot(off[..., 0], off[..., 1])
        return distances


def plan_graph(segments: Points) -> PlanGraph:
    """Graph of segments in plan, cut where they cross, touch or lie on each other.

    Parameters
    ----------
    segments : array, shape (n, 2, 2)
        Start and end of each; those shorter than `SAME_PLACE` are left out. [m]

    Examples
    --------
    >>> plan_graph(np.array([[[0.0, 1.0], [2.0, 1.0]], [[1.0, 0.0], [1.0, 2.0]]])).nodes.tolist()
    [[0.0, 1.0], [1.0, 0.0], [2.0, 1.0], [1.0, 2.0], [1.0, 1.0]]
    """
    segments = segments[_once(segments)]
    runs = segments[:, 1] - segments[:, 0]
    length = np.hypot(runs[:, 0], runs[:, 1])
    segments, runs, length = (part[length > SAME_PLACE] for part in (segments, runs, length))
    ends = np.concatenate((segments[:, 0], segments[:, 1]))
    nodes = _distinct(np.concatenate((ends, _crossings(segments[:, 0], runs, length))))
    return PlanGraph(nodes, _cut(segments[:, 0], runs / length[:, None], length, nodes))


def _once(segments: Points) -> Integers:
    """Index of every segment but those that repeat an earlier one, there or back."""
    seen: dict[frozenset[tuple[float, ...]], int] = {}
    for number, (start, end) in enumerate(segments.round(9).tolist()):
        seen.setdefault(frozenset((tuple(start), tuple(end))), number)
    return np.array(list(seen.values()))


def _crossings(starts: Points, runs: Points, length: Points) -> Points:
    """Places where two segments cross."""
    i, j = np.triu_indices(len(starts), 1)
    sine = runs[i, 0] * runs[j, 1] - runs[i, 1] * runs[j, 0]
    away = starts[j] - starts[i]
    is_turn = np.abs(sine) > 1e-9 * length[i] * length[j]
    i, j, sine, away = (part[is_turn] for part in (i, j, sine, away))
    one = (away[:, 0] * runs[j, 1] - away[:, 1] * runs[j, 0]) / sine
    two = (away[:, 0] * runs[i, 1] - away[:, 1] * runs[i, 0]) / sine
    on_both = np.ones(len(i), bool)
    for share, size in ((one, length[i]), (two, length[j])):
        slack = SAME_PLACE / size
        on_both &= (share > -slack) & (share < 1.0 + slack)
    placed: Points = starts[i[on_both]] + np.clip(one[on_both], 0.0, 1.0)[:, None] * runs[i[on_both]]
    return placed


def _distinct(points: Points) -> Points:
    """Points in their order, without those that lie where an earlier one does."""
    order = np.argsort(points[:, 0], kind="stable")
    xs, ys = points[order].T
    first = np.searchsorted(xs, xs - SAME_PLACE)
    count = np.arange(len(points)) - first  # how many before it in x may be the same
    after = np.repeat(np.arange(len(points)), count)
    before = np.arange(len(after)) - np.repeat(np.cumsum(count) - count, count) + np.repeat(first, count)
    same = np.abs(ys[after] - ys[before]) <= SAME_PLACE
    keep = np.ones(len(points), bool)
    keep[np.maximum(order[after[same]], order[before[same]])] = False
    return points[keep]


def _cut(starts: Points, units: Points, length: Points, nodes: Points) -> list[tuple[int, int]]:
    """Each stretch of the segments between two nodes once, from the lower number to the higher."""
    away = nodes[None] - starts[:, None]
    station = (away * units[:, None]).sum(axis=2)
    aside = np.abs(away[..., 0] * units[:, None, 1] - away[..., 1] * units[:, None, 0])
    is_on = (aside <= 2 * SAME_PLACE) & (station >= -2 * SAME_PLACE) & (station <= length[:, None] + 2 * SAME_PLACE)
    segment, stop = np.nonzero(is_on)
    order = np.lexsort((station[segment, stop], segment))
    segment, stop = segment[order], stop[order]
    ends = np.sort(np.column_stack((stop[:-1], stop[1:]))[segment[1:] == segment[:-1]], axis=1)
    return [(i, j) for i, j in np.unique(ends, axis=0).tolist()]
