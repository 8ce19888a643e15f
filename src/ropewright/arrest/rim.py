"""The boundary that a fall goes over: straight edges with the taut rope from one anchor to every point of them.

On a facet the taut rope to a place s of a straight edge is as long as ``offset + hypot(s - p, q)``: the anchor, or the
last corner that the rope bends on, laid into the plane of the facet, is a fixed image (p, q). A `Rim` keeps these
stretches of edge, or windows, in the order in which one walks round, with the roof on the left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.rim_windows import ACCURATE, Reach, Window, windows_along

__all__ = ["Reach", "Rim", "RimEdge", "Window"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Ends of edges this near are one corner; a wall that turns by less than this goes straight on. [m], [rad]
_SAME_CORNER, _STRAIGHT = 1e-3, 1e-6
#: An edge that lies this far above a facet's plane is not covered by that facet. [m]
_ABOVE = 1e-3
#: Stands for "no corner". [m]
_FAR = 1e9


@dataclass(frozen=True)
class RimEdge:
    """A straight edge with its facet on the left when walked from start to end, seen from above.

    Parameters
    ----------
    start, end : array, shape (3,)
        [m]
    up : array, shape (3,)
        Upward unit normal of the facet. [-]
    name : str
    """

    start: Floats
    end: Floats
    up: Floats
    name: str = ""

    @cached_property
    def length(self) -> float:
        """True length. [m]"""
        return float(np.linalg.norm(self.end - self.start))

    @cached_property
    def level_length(self) -> float:
        """Length in plan. [m]"""
        return float(np.hypot(*(self.end - self.start)[:2]))

    @cached_property
    def along(self) -> Floats:
        """Unit vector from start to end, shape (3,)."""
        unit: Floats = (self.end - self.start) / self.length
        return unit

    @cached_property
    def out(self) -> Floats:
        """Level unit vector outward, shape (3,)."""
        run = self.end - self.start
        return np.array([run[1], -run[0], 0.0]) / self.level_length

    @cached_property
    def across(self) -> Floats:
        """Unit vector up at right angles to `along` and `out`, shape (3,)."""
        unit: Floats = np.cross(self.out, self.along)
        return unit


class Rim:
    """Edges of a roof that one can fall over, with the rope from one anchor to them.

    Parameters
    ----------
    edges : sequence of RimEdge
        In any order; edges that meet end to start are one walk round.
    reach : callable, or one for each edge
        Points, shape (n, 3), to the length of the taut rope from the anchor to each, shape (n,), and the bend or
        anchor next to each, shape (n, 3). [m]
    spacing : float
        Distance at which the rope is looked at first, above 0; halved where the windows are off by more than
        `accuracy`. [m]
    accuracy : float
        [m]

    Raises
    ------
    ValueError
        If there is no edge, or one has no length in plan.

    Examples
    --------
    >>> anchor = np.array([3.0, 4.0, 0.0])
    >>> eave = RimEdge(np.zeros(3), np.array([10.0, 0, 0]), np.array([0.0, 0, 1]), "south eave")
    >>> rim = Rim([eave], lambda points: (np.linalg.norm(points - anchor, axis=1), np.tile(anchor, (len(points), 1))))
    >>> round(rim.length_to(0, 0.0), 9), round(rim.length_to(0, 3.0), 9)
    (5.0, 4.0)
    """

    def __init__(
        self,
        edges: Sequence[RimEdge],
        reach: Reach | Sequence[Reach],
        *,
        spacing: float = 0.5,
        accuracy: float = ACCURATE,
    ) -> None:
        self.edges = tuple(edges)
        if not self.edges or any(edge.level_length < _SAME_CORNER for edge in self.edges):
            raise ValueError("a rim needs edges, each with a length in plan")
        if not spacing > 0:
            raise ValueError(f"spacing must be above 0 m, got {spacing:g}")
        reaches = [reach] * len(self.edges) if callable(reach) else list(reach)
        found = [
            windows_along(e.start, e.along, e.length, e.out, e.across, one, spacing, accuracy)
            for e, one in zip(self.edges, reaches, strict=True)
        ]
        self.windows: tuple[Window, ...] = tuple(window for here in found for window in here)
        self.window_edge: Integers = np.repeat(np.arange(len(found)), [len(here) for here in found])
        self.after, self.before = self._neighbours()

    def length_to(self, edge: int, place: float) -> float:
        """Taut rope from the anchor to a place on an edge. [m]"""
        return float(self.windows[self._window_at(edge, place)].length_to(place))

    def _window_at(self, edge: int, place: float) -> int:
        mine = np.flatnonzero(self.window_edge == edge)
        ends = [self.windows[k].high for k in mine[:-1]]
        return int(mine[np.searchsorted(ends, place)])

    def _neighbours(self) -> tuple[Integers, Integers]:
        """Edge after and before each edge, -1 where the walk ends, each shape (n,)."""
        starts = np.array([edge.start for edge in self.edges])
        after = np.full(len(self.edges), -1)
        for k, edge in enumerate(self.edges):
            away = np.linalg.norm(starts - edge.end, axis=1)
            if away.min() < _SAME_CORNER:
                after[k] = int(away.argmin())
        before = np.full(len(self.edges), -1)
        before[after[after >= 0]] = np.flatnonzero(after >= 0)
        return after, before

    @cached_property
    def walks(self) -> Integers:
        """Number of the walk that each edge is on, shape (n,): edges that meet end to start are on one."""
        walks = np.full(len(self.edges), -1)
        for k in range(len(self.edges)):
            here = k
            while walks[here] < 0:
                walks[here] = k
                if self.after[here] < 0:
                    break
                here = int(self.after[here])
            if here != k and walks[here] not in (-1, k):  # ran into an earlier walk: it is the same one
                walks[walks == k] = walks[here]
        return walks

    @cached_property
    def turns(self) -> Floats:
        """Angle by which the wall turns left at the end of each edge, nan where the walk ends, shape (n,). [rad]"""
        turns = np.full(len(self.edges), np.nan)
        for k in np.flatnonzero(self.after >= 0):
            a, b = self.edges[k].out, self.edges[self.after[k]].out
            turns[k] = np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)
        return turns

    @cached_property
    def corners(self) -> Floats:
        """Level places along each edge's line where its wall's convex corners stand, shape (n, 2). [m]

        A wall goes on over edges in line with it, such as the two rakes of a gable; far away where there is no corner.
        """
        places = np.empty((len(self.edges), 2))
        for k in range(len(self.edges)):
            places[k] = -self._wall_to(k, -1), self._wall_to(k, 1) + self.edges[k].level_length
        return places

    def _wall_to(self, k: int, sense: int) -> float:
        """Level distance that the wall goes on beyond one end of edge k."""
        total = 0.0
        for _ in self.edges:
            corner = k if sense > 0 else self.before[k]
            k = int(self.after[k] if sense > 0 else self.before[k])
            if k < 0 or self.turns[corner] < -_STRAIGHT:
                return _FAR
            if self.turns[corner] > _STRAIGHT:
                return total
            total += self.edges[k].level_length
        return _FAR

    def run(self, edge: int) -> list[int]:
        """Edges one after the other round an edge whose walls all have that edge on or behind them.

        Their walls and facets bound a convex body, which near the edge is the building.
        """
        run = [edge]
        while self._joins(ahead := int(self.after[run[-1]]), self.turns[run[-1]], run):
            run.append(ahead)
        while self._joins(back := int(self.before[run[0]]), self.turns[back], run):
            run.insert(0, back)
        return run

    def _joins(self, other: int, turn: float, run: list[int]) -> bool:
        if other < 0 or other in run or turn < -_STRAIGHT:
            return False
        wall = self.edges[other]
        ends = [end for k in run for end in (self.edges[k].start, self.edges[k].end)]
        return all(wall.out @ (end - wall.start) < _ABOVE for end in ends)

    def surfaces(self, edge: int) -> tuple[Floats, Floats]:
        """Walls and facets that bound the body of the building behind an edge.

        Returns
        -------
        tuple of array, shape (k, 3), and array, shape (f, 4)
            Outward normal in plan and its product with a point of the wall; upward normal and the like. A facet that
            lies below the edge (beyond a valley) is left out.
        """
        run = [self.edges[k] for k in self.run(edge)]
        middle = 0.5 * (self.edges[edge].start + self.edges[edge].end)
        walls = [[*one.out[:2], one.out @ one.start] for one in run]
        facets = [[*one.up, one.up @ one.start] for one in run if one.up @ (middle - one.start) < _ABOVE]
        return np.unique(np.round(walls, 12), axis=0), np.unique(np.round(facets, 12), axis=0)

    def others(self, edge: int) -> list[int]:
        """Edges of the same walk whose walls do not belong to the run of an edge: a body can run into them."""
        run = set(self.run(edge))
        return [k for k in np.flatnonzero(self.walks == self.walks[edge]).tolist() if k not in run]
