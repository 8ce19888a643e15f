"""The taut rope: the shortest path from an anchor through the open space outside the building.

A shortest path is made of straight segments. It bends only on convex edges of the solid (see `RoofSolid`), where the
angles to the edge before and after the bend are equal, or at saddles; over a valley it runs through the air. The
compiled search finds every sequence of edges that may carry one; the least clear path over all of them is exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.roof.solid import RoofSolid
from ropewright.roof.surface import Roof
from ropewright.roof.taut_reach import TautReach

__all__ = ["TautPath", "TautPaths"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TautPath:
    """The taut rope to one point.

    Parameters
    ----------
    points : array, shape (k, 3)
        From the anchor over each bend to the point. [m]
    edges : tuple of str or None
        Name of the edge each bend lies on; None where the roof gives it no name.
    turn_deg : array, shape (k - 2,)
        Angle by which the rope changes direction at each bend. [deg]
    length : float
        [m]
    """

    points: Floats
    edges: tuple[str | None, ...]
    turn_deg: Floats
    length: float


class TautPaths:
    """Taut ropes from one anchor to any points outside the building.

    Parameters
    ----------
    roof : Roof or RoofSolid
        Give the `RoofSolid` where several anchors share a roof: what belongs to the roof is then worked out once.
    anchor : array, shape (3,)
        On the roof or above it. [m]

    Raises
    ------
    RoofError
        If the anchor lies more than 1 cm inside the building; and where ropes are asked for, if there are more ways
        round the roof than can be kept.

    Examples
    --------
    Over the ridge of a gable whose slopes are 3-4-5 triangles, square to the ridge, 5 m up and 5 m down:

    >>> from ropewright.roof import Facet, Roof
    >>> south = Facet("south", np.array([[0.0, 0, 0], [10, 0, 0], [10, 4, 3], [0, 4, 3]]))
    >>> north = Facet("north", np.array([[0.0, 4, 3], [10, 4, 3], [10, 8, 0], [0, 8, 0]]))
    >>> paths = TautPaths(Roof((south, north), ()), [5.0, 0.0, 0.0])
    >>> paths.lengths([[5.0, 8.0, 0.0], [5.0, 8.0, -2.0]]).round(9)
    array([10., 12.])
    >>> paths.last_bends([[5.0, 8.0, -2.0]]).round(9)
    array([[5., 8., 0.]])
    """

    def __init__(self, roof: Roof | RoofSolid, anchor: ArrayLike) -> None:
        self.solid = roof if isinstance(roof, RoofSolid) else RoofSolid(roof)
        self.anchor: Floats = self.solid.outside(np.asarray(anchor, float)[None], "anchor")[0]
        self._found: TautReach | None = None

    def lengths(self, points: ArrayLike) -> Floats:
        """Length of the taut rope to each point, shape (n,). [m]

        Parameters
        ----------
        points : array, shape (n, 3)
            Outside the building; inside by 1 cm or less counts as on its surface. [m]

        Raises
        ------
        RoofError
            If a point lies deeper inside the building.
        """
        return self.reach(points)[0]

    def last_bends(self, points: ArrayLike) -> Floats:
        """Bend next to each point, or the anchor where the rope runs straight, shape (n, 3): it pulls toward it. [m]"""
        return self.reach(points)[1]

    def reach(self, points: ArrayLike) -> tuple[Floats, Floats]:
        """Lengths, shape (n,), and last bends, shape (n, 3), in one go. [m]"""
        goals = self.solid.outside(points, "points[{}]")
        found = self._reach_to(float(goals[:, 2].min(initial=self.anchor[2]))).answer(goals)
        return found.lengths, found.bends

    def path(self, point: ArrayLike) -> TautPath:
        """The taut rope to one point, shape (3,), with its bends."""
        goal = self.solid.outside(np.asarray(point, float)[None], "point")
        found = self._reach_to(min(float(goal[0, 2]), float(self.anchor[2])))
        bends, rows = found.bends(goal[0], int(found.answer(goal).by[0]))
        edges = [
            self._saddle_name(p) if k is None else self.solid.edges[k].name for p, k in zip(bends, rows, strict=True)
        ]
        points = np.array([self.anchor, *bends, goal[0]])
        legs = np.diff(points, axis=0)
        far = np.linalg.norm(legs, axis=1)
        cosine = np.einsum("ij,ij->i", legs[1:], legs[:-1]) / np.maximum(far[1:] * far[:-1], 1e-300)
        return TautPath(points, tuple(edges), np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))), float(far.sum()))

    def corners(self, points: ArrayLike) -> list[Floats]:
        """Anchor, bends and end of the taut rope to each of n points, shape (k, 3) each; all asked in one go. [m]"""
        goals = self.solid.outside(points, "points[{}]")
        found = self._reach_to(float(goals[:, 2].min(initial=self.anchor[2])))
        by = found.answer(goals).by.tolist()
        return [np.array([self.anchor, *found.bends(goal, k)[0], goal]) for goal, k in zip(goals, by, strict=True)]

    def _reach_to(self, lowest: float) -> TautReach:
        """What is reached down to a height; searched for when first asked for, and again where that is lower."""
        table = self.solid.taut_table(lowest)
        if self._found is None or table.floor < self._found.floor:
            self._found = TautReach(table, self.anchor)
        return self._found

    def _saddle_name(self, point: Floats) -> str | None:
        """Names of the convex edges that end at a saddle."""
        ends = {
            edge.name
            for edge in self.solid.edges
            if edge.name and min(np.linalg.norm(edge.start + t * edge.along - point) for t in (0.0, edge.length)) < 1e-4
        }
        return " / ".join(sorted(ends)) or None
