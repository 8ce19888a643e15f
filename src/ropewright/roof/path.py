"""The taut rope: the shortest path from an anchor through the open space outside the building.

A shortest path is made of straight segments. It bends only on convex edges of the solid (see `RoofSolid`), where the
angles to the edge before and after the bend are equal, or at saddles; over a valley it runs through the air. The
compiled search finds every sequence of edges that may carry one; the least clear path over all of them is exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.roof.search import clear_paths, reach_of
from ropewright.roof.solid import RoofSolid
from ropewright.roof.surface import Roof
from ropewright.roof.windows import bends_by, candidates, last_bends

__all__ = ["TautPath", "TautPaths"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


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


@dataclass(frozen=True)
class _Found:
    """Best so far for each of n points: length, last bend, and the window, or -1 - k if straight from source k."""

    lengths: Floats
    bends: Floats
    winners: Ints


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
        self._reach = reach_of(self.solid, self.anchor)

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
        lengths, bends, _ = self._query(self.solid.outside(points, "points[{}]"))
        return lengths, bends

    def path(self, point: ArrayLike) -> TautPath:
        """The taut rope to one point, shape (3,), with its bends."""
        goal = self.solid.outside(np.asarray(point, float)[None], "point")
        _, _, winners = self._query(goal)
        bends, edges = self._back_to_anchor(goal[0], int(winners[0]))
        points = np.array([self.anchor, *bends, goal[0]])
        legs = np.diff(points, axis=0)
        far = np.linalg.norm(legs, axis=1)
        cosine = np.einsum("ij,ij->i", legs[1:], legs[:-1]) / np.maximum(far[1:] * far[:-1], 1e-300)
        return TautPath(points, tuple(edges), np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))), float(far.sum()))

    def _query(self, points: Floats) -> tuple[Floats, Floats, Ints]:
        """Lengths, last bends, and the windows that won, or -1 - k where the path runs straight from source k."""
        reach, table, n = self._reach, self.solid.table, len(points)
        found = _Found(np.full(n, np.inf), np.tile(self.anchor, (n, 1)), np.full(n, -1, dtype=np.int64))
        away = np.linalg.norm(points - self.anchor, axis=1)
        self._try(points, found, np.arange(n), np.full(n, -1), away)
        point, row, least = candidates(reach.windows, table, points, found.lengths, self.solid.slack)
        exact = reach.windows.exact[row]
        goal, source = np.nonzero(np.isfinite(found.lengths)[:, None] < np.isfinite(reach.lengths))
        straight = reach.lengths[source] + np.linalg.norm(points[goal] - reach.sources[source], axis=1)
        self._try(
            points, found, np.concatenate([point[exact], goal]), np.concatenate([row[exact], -1 - source]),
            np.concatenate([least[exact], straight]),
        )  # fmt: skip
        point, row = (v[~exact & (least < found.lengths[point])] for v in (point, row))
        self._try(points, found, point, row, last_bends(reach.windows, table, row, points[point])[0])
        return found.lengths, found.bends, found.winners

    def _try(self, points: Floats, found: _Found, point: Ints, row: Ints, length: Floats) -> None:
        """Look through paths of known length for the shortest clear one to each point, shortest first.

        Each round takes twice as many paths to each point that has none yet as the round before.
        """
        order = np.lexsort((length, point))
        point, row, length = point[order], row[order], length[order]
        share = 1
        while True:
            keep = length < found.lengths[point]
            point, row, length = point[keep], row[keep], length[keep]
            if not len(point):
                break
            rank = np.arange(len(point)) - np.searchsorted(point, point)
            now = rank < share
            self._take_clear(points, found, point[now], row[now])
            point, row, length, share = point[~now], row[~now], length[~now], 2 * share

    def _take_clear(self, points: Floats, found: _Found, point: Ints, row: Ints) -> None:
        """Note those of some paths that are clear and shorter than any found before."""
        reach, straight = self._reach, row < 0
        goals, source = points[point], -1 - row[straight]
        lengths, bends = np.full(len(point), np.inf), np.empty((len(point), 3))
        bends[straight] = reach.sources[source]
        away = reach.lengths[source] + np.linalg.norm(goals[straight] - bends[straight], axis=1)
        lengths[straight] = np.where(self.solid.is_clear(bends[straight], goals[straight]), away, np.inf)
        if not straight.all():
            paths = clear_paths(reach, row[~straight], goals[~straight], found.lengths[point[~straight]])
            lengths[~straight], bends[~straight] = paths.lengths, paths.points[:, 0]
        order = np.lexsort((lengths, point))
        best = order[np.append(True, point[order][1:] != point[order][:-1])]
        best = best[lengths[best] < found.lengths[point[best]]]
        at = point[best]
        found.lengths[at], found.bends[at], found.winners[at] = lengths[best], bends[best], row[best]

    def _back_to_anchor(self, point: Floats, winner: int) -> tuple[list[Floats], list[str | None]]:
        """Bends from the anchor to the point, and the names of their edges."""
        reach = self._reach
        bends: list[Floats] = []
        names: list[str | None] = []
        while True:
            source = -1 - winner
            if winner >= 0:
                source = int(reach.windows.source[winner])
                path = bends_by(reach.windows, self.solid.table, reach.sources, np.array([winner]), point[None])
                bends += list(path.points[0])
                names += [self.solid.edges[reach.windows.edge[row]].name for row in path.rows[0]]
            if source == 0:
                return bends[::-1], names[::-1]
            point = reach.sources[source]
            bends.append(point)
            names.append(self._saddle_name(point))
            winner = int(reach.came[source])

    def _saddle_name(self, point: Floats) -> str | None:
        """Names of the convex edges that end at a saddle."""
        ends = {
            edge.name
            for edge in self.solid.edges
            if edge.name and min(np.linalg.norm(edge.start + t * edge.along - point) for t in (0.0, edge.length)) < 1e-4
        }
        return " / ".join(sorted(ends)) or None
