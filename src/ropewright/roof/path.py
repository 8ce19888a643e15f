"""The taut rope: the shortest path from an anchor through the open space outside the building.

A shortest path is made of straight segments. It bends only on convex edges of the solid (see `RoofSolid`), where the
angles to the edge before and after the bend are equal, or at saddles; over a valley it runs through the air. The
compiled search finds every sequence of edges that may carry one; the least clear path over all of them is exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.errors import RoofError
from ropewright.roof.solid import RoofSolid
from ropewright.roof.surface import Roof

__all__ = ["TautPath", "TautPaths"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Windows there is room for at first, and the most that are tried.
_ROOM, _MOST = 2_000, 512_000


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
        If the anchor lies more than 1 cm inside the building.

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
        self._grow()

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
        lengths, bends, _ = self._query(self.solid.outside(points, "points"))
        return lengths, bends

    def path(self, point: ArrayLike) -> TautPath:
        """The taut rope to one point, shape (3,), with its bends."""
        goal = self.solid.outside(np.asarray(point, float)[None], "point")
        _, _, winners = self._query(goal)
        bends, edges = self._back_to_anchor(goal[0], int(winners[0]))
        points = np.array([self.anchor, *bends, goal[0]])
        legs = np.diff(points, axis=0)
        far = np.linalg.norm(legs, axis=1)
        cosine = np.einsum("ij,ij->i", legs[1:], legs[:-1]) / (far[1:] * far[:-1])
        return TautPath(points, tuple(edges), np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))), float(far.sum()))

    def _grow(self) -> None:
        """Find every window of this anchor."""
        from ropewright.roof.path_grow import FULL, grow

        solid, room = self.solid, _ROOM
        links, link_first = solid.links
        while True:
            self._whole = np.empty((room, 6), dtype=np.int64)
            self._real = np.empty((room, 10))
            self._sources = np.column_stack([np.vstack([self.anchor, solid.saddles]), np.zeros(1 + len(solid.saddles))])
            self._came = np.full(len(self._sources), -1, dtype=np.int64)
            count = grow(
                self._whole, self._real, solid.edge_rows, solid.creases, links, link_first, self._sources, self._came,
                solid.spots, solid.tops, solid.pieces.first, solid.pieces.halves, solid.pieces.give, solid.slack,
            )  # fmt: skip
            if count != FULL or room >= _MOST:
                break
            room *= 4
        if count < 0:
            raise RoofError("roof", f"{len(solid.edges)} convex edges", "give a roof with fewer facets: too many ways round it")
        keys = self._real[:count, 4]
        self._order = np.argsort(keys, kind="stable")[: int(np.isfinite(keys).sum())].astype(np.int64)

    def _query(self, points: Floats) -> tuple[Floats, Floats, Ints]:
        from ropewright.roof.path_kernel import query

        solid, n = self.solid, len(points)
        lengths, bends, winners = np.empty(n), np.empty((n, 3)), np.empty(n, dtype=np.int64)
        query(
            points, self._order, self._whole, self._real, solid.edge_rows, self._sources,
            solid.tops, solid.pieces.first, solid.pieces.halves, solid.pieces.give, lengths, bends, winners,
        )  # fmt: skip
        return lengths, bends, winners

    def _back_to_anchor(self, point: Floats, winner: int) -> tuple[list[Floats], list[str | None]]:
        """Bends from the anchor to the point, and the names of their edges."""
        from ropewright.roof.path_kernel import DEPTH, solve

        bends: list[Floats] = []
        names: list[str | None] = []
        places, goal = np.empty(DEPTH), point
        while True:
            n = winner
            source = -1 - winner if winner < 0 else int(self._whole[winner, 0])
            if winner >= 0:
                solve(winner, goal, self._whole, self._real, self.solid.edge_rows, places)
            k = 0
            while n >= 0:
                edge = self.solid.edges[self._whole[n, 2]]
                bends.append(edge.start + places[k] * edge.along)
                names.append(edge.name)
                n, k = int(self._whole[n, 1]), k + 1
            if source == 0:
                return bends[::-1], names[::-1]
            goal = self._sources[source, :3]
            bends.append(goal.copy())
            names.append(self._saddle_name(goal))
            winner = int(self._came[source])

    def _saddle_name(self, point: Floats) -> str | None:
        """Names of the convex edges that end at a saddle."""
        ends = {
            edge.name
            for edge in self.solid.edges
            if edge.name and min(np.linalg.norm(edge.start + t * edge.along - point) for t in (0.0, edge.length)) < 1e-4
        }
        return " / ".join(sorted(ends)) or None
