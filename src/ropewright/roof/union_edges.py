"""Typed and named edges of a roof of several parts, from the lines in plan that part its facets."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.outline_names import compass, numbered
from ropewright.roof.surface import Edge, EdgeType

__all__ = ["STEP", "Border", "KnownEdges", "Line", "Meeting", "Surfaces", "union_edges"]

Points = NDArray[np.float64]
Way = tuple[float, float]
Owner = Mapping[tuple[int, int, int], str]

#: Two parts that differ by less in height along an edge go on there. The least dimension that makes a gap a hole:
#: 29 CFR 1926.500(b), 2 in (5.1 cm), from memory; rounded down. [m]
STEP = 0.05
#: An edge this near a known one all along is a part of it. [m]
SAME_EDGE = 1e-4
#: An edge that climbs less than this per metre is level; planes of two parts meet in lines less sharp than corners. [-]
LEVEL = 1e-7


class Meeting(Enum):
    """How what lies on the left of a line meets what lies on its right."""

    FALL = "it ends there, and what is on the right is lower or nothing"
    FOOT = "it ends at the foot of a wall under what is on the right"
    CREASE = "it goes on there"


@dataclass(frozen=True, slots=True)
class Line:
    """A line in plan from node to node, with the surface on its left and that on its right; -1 is none."""

    start: int
    end: int
    left: int
    right: int

    @property
    def turned(self) -> Self:
        """The same line walked the other way."""
        return replace(self, start=self.end, end=self.start, left=self.right, right=self.left)


@dataclass(frozen=True, slots=True)
class Border(Line):
    """A line as part of the border of the surface on its left; of a crease, of that on its right as well.

    What lies below is no matter to a fall edge: its right is -1.
    """

    meeting: Meeting


@dataclass(frozen=True)
class Surfaces:
    """Places in plan, and the planes over them.

    Parameters
    ----------
    nodes : array, shape (m, 2)
        [m]
    planes : array, shape (f, 3)
        a, b and c of z = a x + b y + c.
    prefixes : sequence of str
        Name of the part of each plane.
    """

    nodes: Points
    planes: Points
    prefixes: Sequence[str]

    @cached_property
    def _points(self) -> Points:
        """Every node on every surface, shape (f, m, 3)."""
        plan = np.broadcast_to(self.nodes, (len(self.planes), *self.nodes.shape))
        return np.dstack((plan, self.planes[:, :2] @ self.nodes.T + self.planes[:, 2:]))

    def point(self, node: int, surface: int) -> Points:
        """A place on a surface, shape (3,). [m]"""
        place: Points = self._points[surface, node]
        return place

    def rise(self, line: Line) -> tuple[float, float]:
        """Height of the left surface over the right one at both ends of a line. [m]"""
        a, b, c = (self.planes[line.left] - self.planes[line.right]).tolist()
        (x0, y0), (x1, y1) = self.nodes[line.start].tolist(), self.nodes[line.end].tolist()
        return a * x0 + b * y0 + c, a * x1 + b * y1 + c

    def borders(self, line: Line) -> list[Border]:
        """What a line is to the surfaces beside it: one crease, one fall edge, or one with the foot below it."""
        if line.right < 0 or line.left < 0:
            outer = line if line.right < 0 else line.turned
            return [Border(outer.start, outer.end, outer.left, -1, Meeting.FALL)]
        low, high = sorted(self.rise(line))
        if max(high, -low) <= STEP:
            return [Border(line.start, line.end, line.left, line.right, Meeting.CREASE)]
        upper = line if low + high > 0.0 else line.turned
        return [
            Border(upper.start, upper.end, upper.left, -1, Meeting.FALL),
            Border(upper.end, upper.start, upper.right, upper.left, Meeting.FOOT),
        ]

    @cached_property
    def _slopes(self) -> list[list[float]]:
        return self.planes[:, :2].tolist()  # type: ignore[no-any-return]

    def climb(self, surface: int, way: Way) -> float:
        """Rise of a surface per metre in a level direction. [-]"""
        a, b = self._slopes[surface]
        return a * way[0] + b * way[1]

    def way(self, line: Line) -> Way:
        """Level unit vector along a line."""
        (x0, y0), (x1, y1) = self.nodes[[line.start, line.end]].tolist()
        size = math.hypot(x1 - x0, y1 - y0)
        return (x1 - x0) / size, (y1 - y0) / size


class KnownEdges:
    """Edges under the names they have, to be looked up by place.

    Parameters
    ----------
    edges : sequence of Edge
    """

    def __init__(self, edges: Sequence[Edge]) -> None:
        self._edges = edges
        self._whole = {place: edge.name for place, edge in zip(_places(edges), edges, strict=True)}
        self._starts = np.array([edge.start for edge in edges]).reshape(-1, 3)
        self._runs = np.array([edge.end for edge in edges]).reshape(-1, 3) - self._starts
        self._squares = (self._runs * self._runs).sum(axis=1)

    def names(self, edges: Sequence[Edge]) -> list[str]:
        """Name of the edge of its kind that each one is, or is a part of; empty where there is none."""
        places = _places(edges)
        return [self._whole.get(place, "") or self._part(edge) for place, edge in zip(places, edges, strict=True)]

    def _part(self, edge: Edge) -> str:
        away = np.array([edge.start, edge.end, (edge.start + edge.end) / 2])[:, None] - self._starts
        share = (away * self._runs).sum(axis=2) / self._squares
        off = away - share[..., None] * self._runs
        near = (off * off).sum(axis=2).max(axis=0) < SAME_EDGE**2
        on_it = np.flatnonzero(near & (share[2] > 0.0) & (share[2] < 1.0)).tolist()
        return next((self._edges[i].name for i in on_it if self._edges[i].type is edge.type), "")


def _places(edges: Sequence[Edge]) -> list[tuple[EdgeType, tuple[float, ...], tuple[float, ...]]]:
    """Kind of each edge with its ends to 0.1 mm, whichever way it runs."""
    ends = np.array([(edge.start, edge.end) for edge in edges]).reshape(-1, 2, 3).round(4).tolist()
    return [
        (edge.type, *sorted((tuple(one), tuple(other))))  # type: ignore[misc]
        for edge, (one, other) in zip(edges, ends, strict=True)
    ]


def union_edges(surfaces: Surfaces, borders: Sequence[Border], owner: Owner, known: KnownEdges) -> tuple[Edge, ...]:
    """Edges over the borders of all facets.

    Parameters
    ----------
    surfaces : Surfaces
    borders : sequence of Border
    owner : mapping
        Id of the facet by its surface and the nodes of a directed line that it lies to the left of.
    known : KnownEdges
        The edges that the parts had, under the names that they keep.
    """
    makers = {Meeting.FALL: _fall_edge, Meeting.CREASE: _crease, Meeting.FOOT: _foot}
    order = list(makers)
    borders = sorted(borders, key=lambda border: (order.index(border.meeting), border.left))
    drafts = [makers[border.meeting](surfaces, border, owner) for border in borders]
    names = [name or edge.name for name, edge in zip(known.names(drafts), drafts, strict=True)]
    while len(set(names)) < len(names):
        names = numbered(names)
    return tuple(Edge(name, e.type, e.start, e.end, e.facets) for name, e in zip(names, drafts, strict=True))


def _fall_edge(surfaces: Surfaces, line: Border, owner: Owner) -> Edge:
    facet, prefix = owner[line.left, line.start, line.end], surfaces.prefixes[line.left]
    along = surfaces.way(line)
    out = (along[1], -along[0])
    kind = EdgeType.EAVE
    if abs(surfaces.climb(line.left, along)) > LEVEL:
        kind = EdgeType.RAKE
    elif surfaces.climb(line.left, out) > LEVEL:
        kind = EdgeType.HIGH_EAVE
    name = _joined(prefix, compass(*out), kind)
    start, end = surfaces.point(line.start, line.left), surfaces.point(line.end, line.left)
    return Edge(name, kind, start, end, (facet,))


def _foot(surfaces: Surfaces, line: Border, owner: Owner) -> Edge:
    """Edge of the lower surface, on the left, at the foot of the wall under the higher one."""
    along = surfaces.way(line)
    name = _joined(surfaces.prefixes[line.right], compass(-along[1], along[0]), EdgeType.WALL)
    start, end = surfaces.point(line.start, line.left), surfaces.point(line.end, line.left)
    return Edge(name, EdgeType.WALL, start, end, (owner[line.left, line.start, line.end],))


def _crease(surfaces: Surfaces, line: Border, owner: Owner) -> Edge:
    along = surfaces.way(line)
    x, y = along
    climb_left, climb_right = surfaces.climb(line.left, (-y, x)), surfaces.climb(line.right, (y, -x))
    climb = surfaces.climb(line.left, along)
    if abs(climb) > LEVEL:
        kind = EdgeType.HIP if climb_left + climb_right < 0.0 else EdgeType.VALLEY
    elif max(climb_left, climb_right) < -LEVEL:
        kind = EdgeType.RIDGE
    else:
        kind = EdgeType.VALLEY if min(climb_left, climb_right) > LEVEL else EdgeType.BREAK
    one, other = surfaces.prefixes[line.left], surfaces.prefixes[line.right]
    fall = compass(*((-x, -y) if climb > 0.0 else along)) if abs(climb) > LEVEL else ""
    name = _joined(one if one == other else other or one, fall, kind)
    start, end = (
        max(surfaces.point(node, line.left), surfaces.point(node, line.right), key=lambda point: float(point[2]))
        for node in (line.start, line.end)
    )
    facets = (owner[line.left, line.start, line.end], owner[line.right, line.end, line.start])
    return Edge(name, kind, start, end, facets)


def _joined(*words: str) -> str:
    return " ".join(filter(None, words))
