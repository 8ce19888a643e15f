"""Facets made planar again after their corners were joined."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.mending.checks import best_plane, off_plane
from ropewright.roof.mending.joining import JoinedFacets
from ropewright.roof.mending.notes import Mendings

__all__ = ["flatten"]

Points = NDArray[np.float64]

#: Facets this near their plane are left as they are: what a file that keeps millimetres can tell. [m]
_FLAT = 1e-3
#: Where the moving stops. [m]
_ENOUGH = 2e-4
_ROUNDS = 400
#: Weight of staying put against lying in the planes; holds corners between planes that are nearly one.
_STAY = 1e-3


def flatten(joined: JoinedFacets, *, tolerance: float, notes: Mendings) -> None:
    """Move corners until every facet is planar, each by the least that does it.

    Parameters
    ----------
    joined : JoinedFacets
        Changed in place, unless it can't be done by moving corners less than twice the tolerance.
    tolerance : float
        [m]
    notes : Mendings

    Notes
    -----
    Planes are fitted to the corners, then corners are moved onto the planes they belong to, and again until both
    agree.  A corner of three facets ends where the three planes meet.
    """
    corners = [[c for ring in rings for c in ring] for rings in joined.rings]
    warped = [i for i, member in enumerate(corners) if off_plane(joined.points[member], _FLAT) > _FLAT]
    if not warped:
        return
    members = [np.array(sorted(set(some))) for some in corners]
    points, left = _settled(joined.points, members)
    moved = float(np.sqrt(((points - joined.points) ** 2).sum(axis=1)).max())
    if moved > 2 * tolerance or left > _FLAT:
        worst = max(off_plane(joined.points[corners[i]], _FLAT) for i in warped)
        for i in warped:
            notes.find(f"not quite planar, up to {worst:.3f} m off", joined.ids[i])
        return
    joined.points = points
    for i in warped:
        notes.mend(f"corners moved by up to {moved:.3f} m to make facets planar", joined.ids[i])


def _settled(points: Points, members: list[NDArray[np.int64]]) -> tuple[Points, float]:
    """Corners after the moving, and how far off its plane the farthest still is."""
    left = np.inf
    for _ in range(_ROUNDS):
        pull = np.tile(_STAY * np.eye(3), (len(points), 1, 1))
        aim = np.zeros_like(points)
        left = 0.0
        for member in members:
            centre, normal, off = best_plane(points[member])
            left = max(left, off)
            pull[member] += np.outer(normal, normal)
            aim[member] += np.outer((centre - points[member]) @ normal, normal)
        if left <= _ENOUGH:
            break
        points = points + np.linalg.solve(pull, aim[..., None])[..., 0]
    return points, left
