"""The edges of a joined of facets: creases where two meet, outer edges by what lies beyond them, rims of holes."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.facets import area_vector
from ropewright.roof.mending.beside import Beside, Neighbours, Stretch
from ropewright.roof.mending.checks import ring_width
from ropewright.roof.mending.edge_types import boundary_type, compass_point, crease_type, unique_names
from ropewright.roof.mending.joining import JoinedFacets
from ropewright.roof.mending.notes import Mendings
from ropewright.roof.surface import Edge, EdgeType, Facet, Opening, Roof

__all__ = ["edged"]

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Side:
    """One side of a ring: from corner `start` to corner `end`, its facet on the left."""

    facet: int
    ring: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class _Draft:
    """An edge before it has a name; `head` leads the name of the rim of an opening."""

    type: EdgeType
    start: Points
    end: Points
    facets: tuple[int, ...]
    head: str = ""


def edged(joined: JoinedFacets, origin: Points, *, opening_min_size: float, notes: Mendings) -> Roof:
    """Roof with typed and named edges from a joined joined.

    Parameters
    ----------
    joined : JoinedFacets
        Its points are taken from `origin`. Changed in place: holes may be closed and corners added.
    origin : array, shape (3,)
        [m]
    opening_min_size : float
        Empty holes narrower than this are closed. [m]
    notes : Mendings
        What is mended and found is noted here; the roof's notes are left to the caller.
    """
    finder = _EdgeFinder(joined, notes)
    openings = finder.settle_holes(opening_min_size)
    drafts = list(finder.drafts(openings))
    facets = tuple(_facet(joined, index, origin, openings) for index in joined.roofs)
    edges = _named(drafts, finder.normals, joined.ids, origin)
    rims = tuple(
        Opening(name, joined.ids[facet], joined.points[joined.rings[facet][ring]][::-1] + origin)
        for (facet, ring), name in openings.items()
    )
    return Roof(facets, edges, rims)


def _facet(joined: JoinedFacets, index: int, origin: Points, openings: Container[tuple[int, int]]) -> Facet:
    """Facet with its holes; an opening is no hole of it, as it is cut out once only."""
    outline, *holes = joined.rings[index]
    cut = [hole for ring, hole in enumerate(holes, 1) if hole and (index, ring) not in openings]
    points = joined.points + origin
    return Facet(joined.ids[index], points[outline], tuple(points[hole] for hole in cut))


class _EdgeFinder:
    """Finds which sides of the rings meet and what lies beyond those that don't."""

    def __init__(self, joined: JoinedFacets, notes: Mendings) -> None:
        self._joined, self._notes = joined, notes
        self._roofs = list(joined.roofs)
        vectors = [area_vector(joined.points[rings[0]]) for rings in joined.rings]
        self.normals = [vector / math.hypot(*vector.tolist()) for vector in vectors]
        self._creases: dict[_Side, _Side] = {}
        self._outer: dict[_Side, tuple[Stretch, ...]] = {}
        self._pair_sides()
        self._look_beyond()

    def _sides(self, facet: int) -> Iterator[_Side]:
        for number, ring in enumerate(self._joined.rings[facet]):
            for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
                yield _Side(facet, number, a, b)

    def _run(self, side: _Side) -> Points:
        run: Points = self._joined.points[side.end] - self._joined.points[side.start]
        return run

    def _pair_sides(self) -> None:
        """Sort all sides into creases, seams of one facet with itself (no edge at all) and outer sides."""
        meeting: defaultdict[tuple[int, int], list[_Side]] = defaultdict(list)
        for facet in self._roofs:
            for side in self._sides(facet):
                meeting[min(side.start, side.end), max(side.start, side.end)].append(side)
        for (low, _), sides in meeting.items():
            there = self._topmost([side for side in sides if side.start == low])
            back = self._topmost([side for side in sides if side.start != low])
            if there and back:
                if there.facet != back.facet:
                    self._creases[there] = back
            elif outer := there or back:
                self._outer[outer] = ()

    def _topmost(self, sides: Sequence[_Side]) -> _Side | None:
        """Of facets that lie over each other beside one edge, the one that lies on top."""
        if len(sides) < 2:
            return sides[0] if sides else None
        for side in sides:
            self._notes.find("facets that lie over each other at an edge", self._joined.ids[side.facet])
        return max(sides, key=self._slope_inward)

    def _slope_inward(self, side: _Side) -> float:
        a, b, _ = self._plane(side.facet)
        run = self._run(side)
        return float(b * run[0] - a * run[1]) / max(math.hypot(run[0], run[1]), 1e-12)

    def _plane(self, facet: int) -> tuple[float, float, float]:
        x, y, z = self.normals[facet].tolist()
        mean = self._joined.points[self._joined.rings[facet][0]].mean(axis=0).tolist()
        return -x / z, -y / z, mean[2] + (x * mean[0] + y * mean[1]) / z

    def _look_beyond(self) -> None:
        outlines = [self._joined.ring_points(facet) for facet in self._roofs]
        planes = np.array([self._plane(facet) for facet in self._roofs])
        neighbours = Neighbours(outlines, planes)
        rising = self._rising_walls()
        points, outer = self._joined.points, list(self._outer)
        starts, ends = points[[side.start for side in outer]], points[[side.end for side in outer]]
        for side, stretches in zip(outer, neighbours.along(starts, ends), strict=True):
            if frozenset((side.start, side.end)) in rising:
                self._outer[side] = (Stretch(0.0, 1.0, Beside.WALL, -1),)
                continue
            self._outer[side] = tuple(
                replace(stretch, facet=self._roofs[stretch.facet] if stretch.facet >= 0 else -1)
                for stretch in stretches
            )

    def _rising_walls(self) -> set[frozenset[int]]:
        """Sides of surfaces set aside as walls, from which these go up."""
        rising = set()
        for facet, steep in enumerate(self._joined.steep):
            if steep:
                middle = self._joined.points[self._joined.rings[facet][0], 2].mean()
                for side in self._sides(facet):
                    if self._joined.points[[side.start, side.end], 2].max() < middle:
                        rising.add(frozenset((side.start, side.end)))
        return rising

    def settle_holes(self, smallest: float) -> dict[tuple[int, int], str]:
        """Close small empty holes; names of the openings that large ones make, by facet and ring."""
        found = [hole for hole in self._empty_holes() if not self._is_closed(*hole, smallest)]
        names = unique_names(["opening"] * len(found), [0.0] * len(found))
        for (facet, _), name in zip(found, names, strict=True):
            what = f"hole without anything in it, taken as an unguarded opening ({name})"
            self._notes.find(what, self._joined.ids[facet])
        return dict(zip(found, names, strict=True))

    def _empty_holes(self) -> list[tuple[int, int]]:
        holes = [(f, r) for f in self._roofs for r in range(1, len(self._joined.rings[f]))]
        return [hole for hole in holes if self._is_empty(*hole)]

    def _is_empty(self, facet: int, ring: int) -> bool:
        sides = [side for side in self._sides(facet) if side.ring == ring]
        # a slot so narrow that the same facet lies beyond it is as empty as one with nothing beyond
        return all(
            side in self._outer and all(s.beside is Beside.OPEN or s.facet == facet for s in self._outer[side])
            for side in sides
        )

    def _is_closed(self, facet: int, ring: int, smallest: float) -> bool:
        """Close a hole that is too small to fall or step into."""
        if ring_width(self._joined.points[self._joined.rings[facet][ring]]) >= smallest:
            return False
        for side in [side for side in self._outer if (side.facet, side.ring) == (facet, ring)]:
            del self._outer[side]
        self._joined.rings[facet][ring] = []
        self._notes.mend(f"holes narrower than {smallest:g} m closed", self._joined.ids[facet])
        return True

    def drafts(self, openings: dict[tuple[int, int], str]) -> Iterator[_Draft]:
        """Every edge once, in the order in which one walks round the facets; corners are added where edges split."""
        for facet in self._roofs:
            for side in list(self._sides(facet)):
                if side in self._creases:
                    yield self._crease(side, self._creases[side].facet)
                elif side in self._outer:
                    yield from self._outer_edges(side, openings.get((side.facet, side.ring), ""))

    def _crease(self, side: _Side, other: int) -> _Draft:
        kind = crease_type(self.normals[side.facet], self.normals[other], self._run(side))
        points = self._joined.points
        return _Draft(kind, points[side.start], points[side.end], (side.facet, other))

    def _outer_edges(self, side: _Side, opening: str) -> Iterator[_Draft]:
        """Edges of one side, cut where what lies beyond makes it another type."""
        if opening:
            parts: list[tuple[float, EdgeType, tuple[int, ...]]] = [(1.0, EdgeType.OPENING, (side.facet,))]
        else:
            parts = []
            for stretch in self._outer[side]:
                kind, facets = self._type_beyond(side, stretch)
                if parts and parts[-1][1:] == (kind, facets):
                    parts.pop()
                parts.append((stretch.end, kind, facets))
        corners = self._split(side, [end for end, _, _ in parts[:-1]])
        for (_, kind, facets), start, end in zip(parts, corners[:-1], corners[1:], strict=True):
            yield _Draft(kind, start, end, facets, opening)

    def _type_beyond(self, side: _Side, stretch: Stretch) -> tuple[EdgeType, tuple[int, ...]]:
        if stretch.beside is Beside.WALL:
            return EdgeType.WALL, (side.facet,)
        if stretch.beside is Beside.MEETS:
            note = "edges that lie on a neighbour without sharing its corners"
            self._notes.find(note, self._joined.ids[side.facet])
            kind = crease_type(self.normals[side.facet], self.normals[stretch.facet], self._run(side))
            return kind, tuple(dict.fromkeys((side.facet, stretch.facet)))
        if stretch.under:
            what = "edges under another facet kept as fall edges, as no wall can be seen there"
            self._notes.find(what, self._joined.ids[side.facet])
        return boundary_type(self.normals[side.facet], self._run(side)), (side.facet,)

    def _split(self, side: _Side, shares: Sequence[float]) -> list[Points]:
        """Corners along a side, with new ones put into its ring at the given shares of its length."""
        points = self._joined.points
        start, end = points[side.start], points[side.end]
        fresh = [start + share * (end - start) for share in shares]
        if fresh:
            ring = self._joined.rings[side.facet][side.ring]
            at = next(i for i, c in enumerate(ring) if c == side.start and ring[(i + 1) % len(ring)] == side.end)
            ring[at + 1 : at + 1] = range(len(points), len(points) + len(fresh))
            self._joined.points = np.vstack([points, *fresh])
        return [start, *fresh, end]


def _named(drafts: Sequence[_Draft], normals: Sequence[Points], ids: Sequence[str], origin: Points) -> tuple[Edge, ...]:
    lengths = [math.dist(draft.start, draft.end) for draft in drafts]
    names = unique_names([_plain_name(draft, normals) for draft in drafts], lengths)
    return tuple(
        Edge(name, draft.type, draft.start + origin, draft.end + origin, tuple(ids[facet] for facet in draft.facets))
        for name, draft in zip(names, drafts, strict=True)
    )


def _plain_name(draft: _Draft, normals: Sequence[Points]) -> str:
    if draft.type is EdgeType.RIDGE:
        return "ridge"
    x, y, _ = draft.end - draft.start
    if draft.type in (EdgeType.HIP, EdgeType.VALLEY, EdgeType.BREAK):
        toward = compass_point(*(sum(float(normals[facet][axis]) for facet in draft.facets) for axis in (0, 1)))
    elif draft.type is EdgeType.OPENING:
        toward = compass_point(-y, x)  # the north rim is the one to the north of the hole
    else:
        toward = compass_point(y, -x)
    word = "rim" if draft.type is EdgeType.OPENING else draft.type.value
    return " ".join(part for part in (draft.head, toward, word) if part)
