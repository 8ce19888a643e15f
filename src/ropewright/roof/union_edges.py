"""Typed and named edges of a roof of several parts, from the lines in plan that part its facets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.outline_names import compass, numbered
from ropewright.roof.surface import Edge, EdgeType

__all__ = ["STEP", "Border", "Line", "Meeting", "Surfaces", "union_edges"]

Points = NDArray[np.float64]
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
    known : sequence of Edge
        The edges that the parts had, under the names that they keep.
    """

    nodes: Points
    planes: Points
    prefixes: Sequence[str]
    known: Sequence[Edge]

    @cached_property
    def _known_lines(self) -> tuple[Points, Points]:
        """Starts and runs of the known edges, shape (n, 3) each. [m]"""
        starts = np.array([edge.start for edge in self.known]).reshape(-1, 3)
        return starts, np.array([edge.end for edge in self.known]).reshape(-1, 3) - starts

    def point(self, node: int, surface: int) -> Points:
        """A place on a surface, shape (3,). [m]"""
        x, y = self.nodes[node].tolist()
        a, b, c = self.planes[surface].tolist()
        return np.array([x, y, a * x + b * y + c])

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

    def known_name(self, start: Points, end: Points, kind: EdgeType) -> str:
        """Name of the known edge of a kind that a new one is a part of; empty if there is none."""
        starts, runs = self._known_lines
        if not len(starts):
            return ""
        away = np.array([start, end, (start + end) / 2])[:, None] - starts
        share = (away * runs).sum(axis=2) / (runs * runs).sum(axis=1)
        off = np.linalg.norm(away - share[..., None] * runs, axis=2).max(axis=0)
        on_it = (off < SAME_EDGE) & (share[2] > 0.0) & (share[2] < 1.0)
        return next((self.known[i].name for i in np.flatnonzero(on_it).tolist() if self.known[i].type is kind), "")

    def climb(self, surface: int, along: Points) -> float:
        """Rise of a surface per metre in a level direction. [-]"""
        return float(self.planes[surface, :2] @ along)

    def way(self, line: Line) -> Points:
        """Level unit vector along a line."""
        run = self.nodes[line.end] - self.nodes[line.start]
        way: Points = run / np.hypot(*run)
        return way


def union_edges(surfaces: Surfaces, borders: Sequence[Border], owner: Owner) -> tuple[Edge, ...]:
    """Edges over the borders of all facets.

    Parameters
    ----------
    surfaces : Surfaces
    borders : sequence of Border
    owner : mapping
        Id of the facet by its surface and the nodes of a directed line that it lies to the left of.
    """
    makers = {Meeting.FALL: _fall_edge, Meeting.CREASE: _crease, Meeting.FOOT: _foot}
    order = list(makers)
    borders = sorted(borders, key=lambda border: (order.index(border.meeting), border.left))
    drafts = [makers[border.meeting](surfaces, border, owner) for border in borders]
    names = [surfaces.known_name(edge.start, edge.end, edge.type) or edge.name for edge in drafts]
    while len(set(names)) < len(names):
        names = numbered(names)
    return tuple(replace(edge, name=name) for name, edge in zip(names, drafts, strict=True))


def _fall_edge(surfaces: Surfaces, line: Border, owner: Owner) -> Edge:
    facet, prefix = owner[line.left, line.start, line.end], surfaces.prefixes[line.left]
    along = surfaces.way(line)
    out = np.array([along[1], -along[0]])
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
    left = np.array([-along[1], along[0]])
    climb_left, climb_right = surfaces.climb(line.left, left), surfaces.climb(line.right, -left)
    climb = surfaces.climb(line.left, along)
    if abs(climb) > LEVEL:
        kind = EdgeType.HIP if climb_left + climb_right < 0.0 else EdgeType.VALLEY
    elif max(climb_left, climb_right) < -LEVEL:
        kind = EdgeType.RIDGE
    else:
        kind = EdgeType.VALLEY if min(climb_left, climb_right) > LEVEL else EdgeType.BREAK
    one, other = surfaces.prefixes[line.left], surfaces.prefixes[line.right]
    fall = compass(*(-along if climb > 0.0 else along)) if abs(climb) > LEVEL else ""
    name = _joined(one if one == other else other or one, fall, kind)
    points = [(surfaces.point(node, line.left), surfaces.point(node, line.right)) for node in (line.start, line.end)]
    start, end = (max(pair, key=lambda point: float(point[2])) for pair in points)
    facets = (owner[line.left, line.start, line.end], owner[line.right, line.end, line.start])
    return Edge(name, kind, start, end, facets)


def _joined(*words: str) -> str:
    return " ".join(filter(None, words))
