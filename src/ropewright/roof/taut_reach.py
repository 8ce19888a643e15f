"""What one anchor reaches: the search from it, and ropes to points by what it found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof import taut_rows as r
from ropewright.roof.taut_chain import image_place, length_by, lie_beside
from ropewright.roof.taut_compile import code_for, plain

if TYPE_CHECKING:
    from ropewright.roof.taut_table import RoofTable

__all__ = ["Answers", "TautReach"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Most windows that are kept; a house has a hundred, a block of 18 wings 4,000.
_MOST = 100_000
#: Seconds that plain Python takes, about: a search, times the cube of the roof's edges; a rope, times the edges.
_SEARCH, _ROPE = 4e-6, 4e-6


#: Points in a run, about; as few as that are asked for one by one.
_TOGETHER, _ALONE = 12, 4


@dataclass(frozen=True)
class Answers:
    """Shortest paths to n points: lengths (n,), last bends (n, 3), and the window, or less the source if straight."""

    lengths: Floats
    bends: Floats
    by: Ints


class TautReach:
    """The windows from an anchor.

    Parameters
    ----------
    table : RoofTable
    anchor : array, shape (3,)
        [m]

    Raises
    ------
    RoofError
        If there are more ways round the roof than can be kept.
    """

    def __init__(self, table: RoofTable, anchor: Floats) -> None:
        self.edge_count, self.floor, self._edges = int(table.n[r.EDGE_COUNT]), table.floor, table.edges
        code = code_for("search", _SEARCH * self.edge_count**3)
        room = _room(self.edge_count)
        while True:
            d, n = _with_room(table, anchor, room)
            self._call(code, "search", d, n)
            if not n[r.FULL]:
                break
            room *= 4
            if room > _MOST:
                raise RoofError("roof", f"{self.edge_count} convex edges", "give a roof with fewer facets")
        self.d, self.n = d, n
        self._list_used(len(d) - room)

    @staticmethod
    def _call(code: dict[str, Any], name: str, d: Floats, n: Ints, *more: Any) -> None:
        """Call a function of the kernel; plain Python is some four times as fast on lists of its own numbers."""
        if code is not plain():
            code[name](d, n, *more)
            return
        lists = [table.tolist() if isinstance(table, np.ndarray) else table for table in (d, n, *more)]
        code[name](*lists)
        for table, values in zip((d, n, *more), lists, strict=True):
            if isinstance(table, np.ndarray):
                table[:] = values

    def _list_used(self, at: int) -> None:
        """List the windows in use by edge and sense at the end of the table."""
        d, n = self.d, self.n
        edges = d[n[r.EDGES] : n[r.EDGES] + self.edge_count * r.EDGE_ROW].reshape(-1, r.EDGE_ROW)
        windows = d[n[r.WINDOWS] : n[r.NEXT]].reshape(-1, r.WINDOW_ROW)
        used = np.flatnonzero(np.isfinite(windows[:, r.KEY]))
        edge = (windows[used, r.EDGE].astype(np.int64) - n[r.EDGES]) // r.EDGE_ROW
        side = 2 * edge + windows[used, r.SENSE].astype(np.int64)
        order = np.argsort(side, kind="stable")
        d[at : at + len(used)] = n[r.WINDOWS] + r.WINDOW_ROW * used[order]
        first = at + np.searchsorted(side[order], np.arange(2 * self.edge_count + 1))
        edges[:, r.USED], edges[:, r.USED + 1], edges[:, r.USED + 2] = first[:-1:2], first[1::2], first[2::2]
        edges[:, r.USED_KEY] = np.inf
        np.minimum.at(edges[:, r.USED_KEY], edge, windows[used, r.KEY])

    def answer(self, points: Floats) -> Answers:
        """Shortest paths to points, shape (n, 3), that lie outside the building and not below the table's floor."""
        count = len(points)
        order, runs = _runs(points)
        answers = np.zeros((count, r.ANSWER_ROW))
        code = code_for("answer", _ROPE * count * self.edge_count)
        goals = np.ascontiguousarray(points[order]).ravel()
        self._call(code, "answer", self.d, self.n, goals, answers.reshape(-1), runs, len(runs) - 1)
        told = np.empty_like(answers)
        told[order] = answers
        return Answers(told[:, 0], told[:, 1:4], told[:, r.ANSWER_BY].astype(np.int64))

    def bends(self, point: Floats, by: int) -> tuple[list[Floats], list[int | None]]:
        """Bends on the path to a point from the anchor on, and the number of the edge each is on, None at a saddle."""
        d, n = self.d, self.n
        points: list[Floats] = []
        edges: list[int | None] = []
        here = point
        while True:
            source = -by
            if by > 0:
                source = int(d[by + r.SOURCE])
                for spot, edge in self._over(here, by):
                    points.append(spot)
                    edges.append(edge)
            if source == n[r.SOURCES]:
                return points[::-1], edges[::-1]
            here = d[source : source + 3].copy()
            points.append(here)
            edges.append(None)
            by = int(d[source + r.CAME])

    def _over(self, point: Floats, w: int) -> list[tuple[Floats, int]]:
        """Bends of the path by a window to a point, the last one first."""
        d, n = self.d, self.n
        d[r.GOAL : r.GOAL + 3] = point
        length_by(d, n, w)
        known = [float(d[n[r.WORK] + r.BEND_ROW * k + r.PLACE]) for k in range(int(n[r.BENDS]))]
        found: list[tuple[Floats, int]] = []
        d[r.HERE : r.HERE + 3] = point
        while w > 0:
            e = int(d[w + r.EDGE])
            if len(found) < len(known):
                place = known[len(found)]
            else:
                a, out = lie_beside(d, r.HERE, e)
                place = float(np.clip(image_place(d[w + r.P], d[w + r.Q], a, out), 0.0, d[e + r.SPAN]))
            spot = d[e : e + 3] + place * d[e + r.ALONG : e + r.ALONG + 3]
            found.append((spot, int(self._edges[(e - int(n[r.EDGES])) // r.EDGE_ROW])))
            d[r.HERE : r.HERE + 3] = spot
            w = int(d[w + r.PARENT])
        return found


def _runs(points: Floats) -> tuple[Ints, Ints]:
    """Order in which neighbours in plan follow each other, and where each run of them begins, with the end."""
    count = len(points)
    if count <= _ALONE:
        return np.arange(count), np.arange(count + 1)
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    size = max(float(np.sqrt((high - low).prod() * _TOGETHER / count)), float((high - low).max()) / count, 1e-6)
    x, y = ((points[:, :2] - low) / size).astype(np.int64).T
    cell = x * (int(y.max()) + 1) + y
    order = np.argsort(cell, kind="stable")
    starts = np.flatnonzero(np.diff(cell[order], prepend=-1))
    return order, np.append(starts, count)


def _room(edges: int) -> int:
    """Windows to make room for at first."""
    return 200 + edges**2 // 6


def _with_room(table: RoofTable, anchor: Floats, room: int) -> tuple[Floats, Ints]:
    """A copy of a table with an anchor and room for windows, for what waits, and for the list of what is in use."""
    n = table.n.copy()
    start, sources = len(table.d), int(n[r.SOURCE_COUNT])
    n[r.NEXT] = n[r.WINDOWS]
    n[r.END] = n[r.HEAP] = start + room * r.WINDOW_ROW
    n[r.HEAP_END] = n[r.HEAP] + (3 * room + 4 * sources) * r.EVENT_ROW
    d = np.zeros(n[r.HEAP_END] + room)
    d[:start] = table.d
    d[n[r.SOURCES] : n[r.SOURCES] + 3] = anchor
    return d, n
