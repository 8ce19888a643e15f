"""Typed and named edges of a roof of several parts, from the lines in plan that part its facets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
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

    def climb(self, surface: int, along: Points) -> float:
        """Rise of a surface per metre in a level direction. [-]"""
        return float(self.planes[surface, :2] @ along)

    def way(self, line: Line) -> Points:
        """Level unit vector along a line."""
        run = self.nodes[line.end] - self.nodes[line.start]
        way: Points = run / np.hypot(*run)
        return way


@dataclass(frozen=True)
class _Draft:
    """An edge before its name is made unique; `side` tells rakes of one gable apart."""

    edge: Edge
    side: str = ""


def union_edges(surfaces: Surfaces, borders: Sequence[Border], owner: Owner) -> tuple[Edge, ...]:
    """Edges over the borders of all facets.

    Parameters
    ----------
    surfaces : Surfaces
    borders : sequence of Border
    owner : mapping
        Id of the facet by its surface and the nodes of a directed line that it lies to the left of.
    """
    makers = {Meeting.FALL: _fall_edge, Meeting.FOOT: _foot, Meeting.CREASE: _crease}
    drafts = [makers[border.meeting](surfaces, border, owner) for border in borders]
    names = [draft.edge.name for draft in drafts]
    told = [
        f"{name} ({draft.side} side)" if draft.side and names.count(name) > 1 else name
        for name, draft in zip(names, drafts, strict=True)
    ]
    final = numbered(_main_first(told, drafts))
    return tuple(replace(draft.edge, name=name) for name, draft in zip(final, drafts, strict=True))


def _fall_edge(surfaces: Surfaces, line: Border, owner: Owner) -> _Draft:
    facet, prefix = owner[line.left, line.start, line.end], surfaces.prefixes[line.left]
    along = surfaces.way(line)
    out = np.array([along[1], -along[0]])
    kind = EdgeType.EAVE
    if abs(surfaces.climb(line.left, along)) > LEVEL:
        kind = EdgeType.RAKE
    elif surfaces.climb(line.left, out) > LEVEL:
        kind = EdgeType.HIGH_EAVE
    is_slope = float(np.hypot(*surfaces.planes[line.left, :2])) > LEVEL
    name = f"{facet} {kind}" if kind is EdgeType.EAVE and is_slope else _joined(prefix, compass(*out), kind)
    start, end = surfaces.point(line.start, line.left), surfaces.point(line.end, line.left)
    side = facet.removeprefix(prefix).strip() if kind is EdgeType.RAKE else ""
    return _Draft(Edge(name, kind, start, end, (facet,)), side)


def _foot(surfaces: Surfaces, line: Border, owner: Owner) -> _Draft:
    """Edge of the lower surface, on the left, at the foot of the wall under the higher one."""
    along = surfaces.way(line)
    name = _joined(surfaces.prefixes[line.right], compass(-along[1], along[0]), EdgeType.WALL)
    start, end = surfaces.point(line.start, line.left), surfaces.point(line.end, line.left)
    return _Draft(Edge(name, EdgeType.WALL, start, end, (owner[line.left, line.start, line.end],)))


def _crease(surfaces: Surfaces, line: Border, owner: Owner) -> _Draft:
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
    return _Draft(
        Edge(name, kind, start, end, (owner[line.left, line.start, line.end], owner[line.right, line.end, line.start]))
    )


def _joined(*words: str) -> str:
    return " ".join(filter(None, words))


def _main_first(names: list[str], drafts: Sequence[_Draft]) -> list[str]:
    """Names with the highest (then longest) nameless ridge as the main one."""
    ridges = [i for i, name in enumerate(names) if name == "ridge"]
    edges = [draft.edge for draft in drafts]
    ridges.sort(key=lambda i: (-round(float(edges[i].start[2]), 6), -edges[i].length))
    for rank, i in enumerate(ridges):
        names[i] = "main ridge" if rank == 0 else f"ridge {rank + 1}"
    return names
