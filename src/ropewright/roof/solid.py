"""The building as a solid under its roof: what a taut rope can't pass through, and the edges it can bend on.

The solid is every point below the roof's surface, straight down without end. Walls therefore stand under the roof's
rim and soffits are left out: a rope or a body under an overhang is not followed in below it. Openings are shafts.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.errors import RoofError
from ropewright.roof.bends import DEEP, BendEdge, bend_edges, saddles
from ropewright.roof.clear import ClearTest
from ropewright.roof.links import NARROW, SLACK, EdgeTable, Screen
from ropewright.roof.mesh import RoofMesh
from ropewright.roof.pieces import GIVE, Pieces, pieces_of
from ropewright.roof.steps import steps_of
from ropewright.roof.surface import Roof
from ropewright.roof.taut_table import RoofTable, table_of

__all__ = ["LIFT", "RoofSolid"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: A point this far inside the solid, or less, is taken to be meant on its surface. [m]
LIFT = 0.01
#: How far below the roof's lowest corner ropes are searched for unless they go further. [m]
_BELOW = 10.0


class RoofSolid:
    """What belongs to the roof alone; make it once and share it between anchors.

    Parameters
    ----------
    roof : Roof

    Raises
    ------
    RoofError
        If no facet has an area in plan, or a facet's rings cross.

    Attributes
    ----------
    roof : Roof
    mesh : RoofMesh
    pieces : Pieces
        The surface in convex pieces.
    edges : tuple of BendEdge
        Convex edges: ridges, hips, breaks, the rim, rims of openings, and the corners of the walls below the rim.
    saddles : array, shape (v, 3)
        Points off the inside of convex edges at which a rope can bend: ends of valleys, inner corners. [m]
    """

    def __init__(self, roof: Roof) -> None:
        self.roof = roof
        self.mesh = RoofMesh.from_roof(roof)
        steps = steps_of(self.mesh)
        self.pieces: Pieces = pieces_of(self.mesh, steps)
        self.edges: tuple[BendEdge, ...] = bend_edges(self.mesh, self.pieces, steps, roof)
        self.saddles: Floats = saddles(self.mesh, self.pieces, self.edges)

    def heights(self, xy: ArrayLike) -> Floats:
        """Height of the roof's surface, the upper one at a step; -inf beside the building and in openings. [m]

        Parameters
        ----------
        xy : array, shape (n, 2)
            Plan points. [m]
        """
        return self.pieces.heights(np.asarray(xy, float))

    def outside(self, points: ArrayLike, field: str) -> Floats:
        """The points, those inside the solid by `LIFT` or less moved to its surface. [m]

        Parameters
        ----------
        points : array, shape (n, 3)
            [m]
        field : str
            What they are, for the message, with ``{}`` for the number of the point.

        Raises
        ------
        RoofError
            If a point lies deeper.
        ValueError
            If a coordinate is not a finite number or the shape is another.

        Examples
        --------
        >>> from ropewright.roof import Facet, Roof
        >>> square = np.array([[0.0, 0, 3], [4, 0, 3], [4, 4, 3], [0, 4, 3]])
        >>> solid = RoofSolid(Roof((Facet("flat", square),), ()))
        >>> solid.outside([[1.0, 1.0, 2.995], [2.0, 0.004, 1.0]], "points[{}]").round(6)
        array([[1., 1., 3.],
               [2., 0., 1.]])
        """
        points = np.array(points, dtype=float)
        if points.ndim != 2 or points.shape[1] != 3 or not np.isfinite(points).all():
            raise ValueError(
                f"{field.removesuffix('[{}]')} must be finite numbers of shape (n, 3), got shape {points.shape}"
            )
        depth = self.heights(points[:, :2]) - points[:, 2]
        points[:, 2] += np.where((depth > 0.0) & (depth <= LIFT), depth, 0.0)
        for k in np.flatnonzero(depth > LIFT):
            points[k, :2] = self._beside(points[k], field.format(k))
        return points

    def _beside(self, point: Floats, field: str) -> Floats:
        """The nearest plan point on a wall, for a point deep under the surface but near a wall."""
        pieces, best, away = self.pieces, point[:2], LIFT
        for first, last in zip(pieces.first[:-1], pieces.first[1:], strict=True):
            for a, b, c in pieces.halves[first:last]:
                inside = a * point[0] + b * point[1] + c
                moved = point[:2] - (inside + GIVE) * np.array([a, b])
                if 0.0 < inside <= away and self.heights(moved[None])[0] <= point[2]:
                    best, away = moved, inside
        if (best == point[:2]).all():
            depth = float(self.heights(point[None, :2])[0] - point[2])
            place = tuple(round(float(v), 4) for v in point)
            raise RoofError(field, place, f"it lies {depth:.3f} m below the roof; give a point outside")
        return best

    @cached_property
    def table(self) -> EdgeTable:
        """The edges as arrays."""
        return EdgeTable.of(self.edges)

    @cached_property
    def is_clear(self) -> ClearTest:
        """Tells which segments stay outside."""
        return ClearTest(self.pieces)

    @cached_property
    def screen(self) -> Screen:
        """Every side of the surface once."""
        ends = sorted({(min(side.i, side.j), max(side.i, side.j)) for side in self.mesh.sides})
        start = self.mesh.corners[[i for i, _ in ends]]
        along = self.mesh.corners[[j for _, j in ends]] - start
        length = np.hypot(along[:, 0], along[:, 1])
        return Screen(start, along[:, :2] / length[:, None], length, along[:, 2] / length, self.pieces.give + GIVE)

    def taut_table(self, lowest: float) -> RoofTable:
        """Table for searches for taut ropes none of whose ends lies below a height; it knows of nothing lower. [m]"""
        if lowest >= self.lowest - GIVE and self.mesh.roughness <= GIVE:  # of rough ones the lowest part is not level
            return self._upper
        return self._shallow if lowest >= self._shallow.floor else self._deep

    @cached_property
    def lowest(self) -> float:
        """Height of the roof's lowest corner. [m]"""
        return float(self.mesh.corners[:, 2].min())

    @cached_property
    def _upper(self) -> RoofTable:
        return table_of(self, self.lowest - GIVE, above=self.lowest + NARROW)

    @cached_property
    def _shallow(self) -> RoofTable:
        return table_of(self, self.lowest - _BELOW)

    @cached_property
    def _deep(self) -> RoofTable:
        return table_of(self, self.lowest - DEEP)

    @property
    def slack(self) -> float:
        """Height over a face's plane that still counts as on it. [m]"""
        return self.pieces.give - GIVE + SLACK
