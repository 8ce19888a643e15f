"""What belongs to a roof alone, laid out as the table that searches for taut ropes copy and work on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof import taut_rows as r
from ropewright.roof.links import SLACK, EdgeTable, Links, links_between
from ropewright.roof.taut_compile import code_for
from ropewright.roof.taut_sift import PARTS

if TYPE_CHECKING:
    from ropewright.roof.solid import RoofSolid

__all__ = ["RoofTable", "table_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Marks on an edge are at most this far apart, and stretches between them at least so many. [m]
_APART, _STRETCHES = 0.8, 8
#: Down a wall's corner each stretch is this much longer than the one above it.
_GROWTH, _FIRST_STRETCH = 1.3, 0.5
#: Convex edges that ropes are followed round at most: a block of 18 wings has 172.
MOST_EDGES = 600
#: Of more sources each is looked at from each only where a search needs it.
_LOOKED_AT = 200
#: Seconds that plain Python takes to look from all saddles, about, times the cube of the roof's edges.
_LOOK = 5e-6


@dataclass(frozen=True)
class RoofTable:
    """Table ``d`` and places and counts ``n``, as in `ropewright.roof.taut_rows`, without an anchor.

    It serves an anchor and points that lie no lower than ``floor``: a shortest path between two of them never goes
    below the lower one, since above a place outside the building all is outside. ``edges``: which of the solid's edges
    its edges are.
    """

    d: Floats
    n: Ints
    floor: float
    edges: Ints


def table_of(solid: RoofSolid, floor: float, *, above: float = -np.inf) -> RoofTable:
    """Table of a roof.

    Parameters
    ----------
    solid : RoofSolid
    floor : float
        How low a rope may be asked for. [m]
    above : float
        Edges and saddles that reach no higher are left out. [m]

    Raises
    ------
    RoofError
        If there are too many edges, whose pairs would fill the memory.
    """
    ends = solid.table.start[:, 2], solid.table.at(np.arange(len(solid.edges)), solid.table.length)[:, 2]
    which = np.flatnonzero(np.maximum(*ends) > max(above, floor))
    if len(which) > MOST_EDGES:
        told = f"give a roof with fewer facets; ropes are followed round {MOST_EDGES} convex edges at most"
        raise RoofError("roof", f"{len(which)} convex edges", told)
    edges = _down_to(solid.table.some(which), floor)
    saddles = solid.saddles[solid.saddles[:, 2] > above]
    layout = _Layout(solid, edges, saddles, links_between(edges, solid.screen, solid.slack))
    code = code_for("search", _LOOK * len(edges.length) ** 3)
    d, n = layout.filled()
    for row in range(n[r.LINKS], n[r.LINKS] + len(layout.links.low) * r.LINK_ROW, r.LINK_ROW):
        d[r.HULL : r.HULL + 12] = layout.hulls[(row - n[r.LINKS]) // r.LINK_ROW]
        d[row + r.IN_SIGHT] = bool(d[row + r.IN_SIGHT]) or code["is_hull_open"](d, n)
    for source in range(1, n[r.SOURCE_COUNT]):
        code["look"](d, n, n[r.SOURCES] + source * r.SOURCE_ROW)
    return RoofTable(d, n, floor, which)


def _down_to(edges: EdgeTable, floor: float) -> EdgeTable:
    """The edges, with wall corners that go on below the floor cut there."""
    deep = edges.start[:, 2] + edges.length * edges.along[:, 2] < floor
    return replace(edges, length=np.where(deep, edges.start[:, 2] - floor, edges.length))


class _Layout:
    """Where each table of a roof stands, and what it is filled with."""

    def __init__(self, solid: RoofSolid, edges: EdgeTable, saddles: Floats, links: Links) -> None:
        self.solid, self.edges, self.saddles, self.links = solid, edges, saddles, links
        self.marks = _marks(edges)
        self.sources = len(saddles) + 1
        edge = np.repeat(np.arange(len(links.first) - 1), np.diff(links.first)) // 2
        ends = [(edge, links.low), (edge, links.high), (links.next, links.next_low), (links.next, links.next_high)]
        self.hulls: Floats = np.column_stack([edges.at(*end) for end in ends])

    def filled(self) -> tuple[Floats, Ints]:
        """All tables."""
        solid, count, marks = self.solid, len(self.edges.length), sum(map(len, self.marks))
        pieces, screen = solid.pieces, solid.screen
        sizes = {
            r.EDGES: count * r.EDGE_ROW, r.ALL_MARKS: marks * r.MARK_ROW, r.LINKS: len(self.links.low) * r.LINK_ROW,
            r.SIDES: len(screen.length) * r.SIDE_ROW, r.PIECES: len(pieces.planes) * r.PIECE_ROW + pieces.halves.size,
            r.SOURCES: self.sources * r.SOURCE_ROW, r.SEES: self.sources * (self.sources + marks * r.VIEW_ROW),
            r.WORK: (count + 2) * r.BEND_ROW, r.LAID: 6 * (count + 3) + 3 * PARTS,
        }  # fmt: skip
        starts = np.cumsum([r.SCRATCH, *sizes.values()])
        n, d = np.zeros(r.COUNTS, dtype=np.int64), np.zeros(starts[-1])
        n[list(sizes)], n[r.WINDOWS] = starts[:-1], starts[-1]
        n[r.EDGE_COUNT], n[r.SIDE_COUNT] = count, len(screen.length)
        n[r.PIECE_COUNT], n[r.SOURCE_COUNT] = len(pieces.planes), self.sources
        n[r.CONVEX], n[r.LAID_ROOM] = self._is_convex(), 3 * (count + 3)
        # what touches a wall, rounded to its inside, is outside of the building, and to be reached
        d[r.TOUCH], d[r.DEPTH], d[r.ON_FACE] = pieces.give, screen.depth, pieces.give + SLACK
        part = {which: d[n[which] : n[which] + size] for which, size in sizes.items()}
        self._edges(part[r.EDGES].reshape(-1, r.EDGE_ROW), n)
        self._marks(part[r.ALL_MARKS].reshape(-1, r.MARK_ROW))
        self._links(part[r.LINKS].reshape(-1, r.LINK_ROW), n)
        self._pieces(part[r.PIECES], int(n[r.PIECES]))
        self._sides(part[r.SIDES].reshape(-1, r.SIDE_ROW))
        self._sources(part[r.SOURCES].reshape(-1, r.SOURCE_ROW), part[r.SEES], n, marks)
        return d, n

    def _is_convex(self) -> bool:
        """True if the building lies under or behind the face of every edge."""
        corners, edges = self.solid.mesh.corners, self.edges
        over = [corners @ face.T - np.einsum("ei,ei->e", edges.start, face) for face in edges.faces]
        return self.sources == 1 and bool(np.max(over, initial=-np.inf) <= self.solid.pieces.give)

    def _edges(self, rows: Floats, n: Ints) -> None:
        edges, first = self.edges, n[r.LINKS] + r.LINK_ROW * self.links.first
        rows[:, : r.SPAN] = np.column_stack([edges.start, edges.along, edges.faces[0], edges.faces[1]])
        rows[:, r.SPAN], rows[:, r.MOST] = edges.length, np.inf
        last = np.cumsum([len(marks) for marks in self.marks])
        rows[:, r.FIRST_MARK] = n[r.ALL_MARKS] + r.MARK_ROW * np.concatenate([[0], last[:-1]])
        rows[:, r.LAST_MARK] = n[r.ALL_MARKS] + r.MARK_ROW * (last - 1)
        rows[:, r.LINKED], rows[:, r.LINKED + 1], rows[:, r.LINKED + 2] = first[:-1:2], first[1::2], first[2::2]

    def _marks(self, rows: Floats) -> None:
        rows[:, 0] = np.concatenate([np.zeros(0), *self.marks])
        rows[:, r.KNOWN : r.CHORD + 2] = np.inf

    def _links(self, rows: Floats, n: Ints) -> None:
        links, ends = self.links, self.hulls.reshape(-1, 4, 3).transpose(1, 0, 2)
        rows[:, r.FROM_LOW], rows[:, r.FROM_HIGH] = links.low, links.high
        rows[:, r.TO_LOW], rows[:, r.TO_HIGH] = links.next_low, links.next_high
        rows[:, r.APART], rows[:, r.COPLANAR] = _least_apart(*ends), links.coplanar
        rows[:, r.IN_SIGHT] = n[r.CONVEX]
        rows[:, r.TO], rows[:, r.TO_SENSE] = n[r.EDGES] + r.EDGE_ROW * links.next, links.next_sense

    def _sides(self, rows: Floats) -> None:
        screen = self.solid.screen
        ends = np.array(
            [screen.start, screen.start + screen.length[:, None] * np.column_stack([screen.run, screen.rise])]
        )
        low, high = ends.min(axis=0), ends.max(axis=0)
        box = [low[:, 0], high[:, 0], low[:, 1], high[:, 1], high[:, 2]]
        rows[:] = np.column_stack([screen.start, screen.run, screen.length, screen.rise, *box])

    def _pieces(self, flat: Floats, start: int) -> None:
        pieces = self.solid.pieces
        rows = len(pieces.planes) * r.PIECE_ROW
        flat[rows:] = pieces.halves.ravel()
        halves = start + rows + 3 * pieces.first
        flat[:rows].reshape(-1, r.PIECE_ROW)[:] = np.column_stack(
            [pieces.planes, pieces.boxes, halves[:-1], halves[1:]]
        )

    def _sources(self, rows: Floats, views: Floats, n: Ints, marks: int) -> None:
        """Sources but the anchor, that stands first, and what they see of each other."""
        saddles, count = self.saddles, self.sources
        rows[1:, :3] = saddles
        rows[:, r.FAR], rows[:, r.CAME] = np.inf, -n[r.SOURCES]
        rows[:, r.OTHERS] = n[r.SEES] + count * np.arange(count)
        rows[:, r.VIEW] = n[r.SEES] + count * count + marks * r.VIEW_ROW * np.arange(count)
        sees = views[: count * count].reshape(count, count)
        sees[:] = -1.0  # not looked at yet
        if count <= _LOOKED_AT:
            one, other = np.triu_indices(count - 1, 1)
            clear = self.solid.is_clear(saddles[one], saddles[other])
            sees[1 + one, 1 + other], sees[1 + other, 1 + one] = clear, clear


def _marks(edges: EdgeTable) -> list[Floats]:
    """Places on every edge at which a search keeps the shortest length it knows, from 0 to its length. [m]"""
    return [
        _down(float(length)) if along[2] == -1.0 else np.linspace(0.0, length, _stretches(float(length)) + 1)
        for length, along in zip(edges.length, edges.along, strict=True)
    ]


def _stretches(length: float) -> int:
    return max(_STRETCHES, int(np.ceil(length / _APART)))


def _down(length: float) -> Floats:
    """Marks ever further apart: far down a wall's corner ropes hang nearly plumb, and lengths change evenly."""
    places = [0.0]
    while places[-1] < length:
        places.append(min(places[-1] * _GROWTH + _FIRST_STRETCH, length))
    return np.array(places)


def _least_apart(a: Floats, b: Floats, c: Floats, d: Floats) -> Floats:
    """Least distance between segments a-b and c-d, shape (n, 3) each. [m]"""
    u, v, w = b - a, d - c, a - c
    uu, uv, vv, uw, vw = (np.einsum("ij,ij->i", m, n) for m, n in ((u, u), (u, v), (v, v), (u, w), (v, w)))
    det = uu * vv - uv * uv
    askew = det > 1e-12 * uu * vv
    det = np.where(askew, det, 1.0)
    s, t = (uv * vw - vv * uw) / det, (uu * vw - uv * uw) / det
    inner = askew & (s >= 0.0) & (s <= 1.0) & (t >= 0.0) & (t <= 1.0)
    lines = np.linalg.norm(w + s[:, None] * u - t[:, None] * v, axis=1)
    ends = np.min([_to(a, c, d), _to(b, c, d), _to(c, a, b), _to(d, a, b)], axis=0)
    least: Floats = np.where(inner, np.minimum(lines, ends), ends)
    return least


def _to(point: Floats, a: Floats, b: Floats) -> Floats:
    """Distance from points to segments."""
    run = b - a
    share = np.einsum("ij,ij->i", point - a, run) / np.maximum(np.einsum("ij,ij->i", run, run), 1e-300)
    distance: Floats = np.linalg.norm(a + np.clip(share, 0.0, 1.0)[:, None] * run - point, axis=1)
    return distance
