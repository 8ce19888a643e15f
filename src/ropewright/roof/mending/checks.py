"""Checks and mends of a single measured ring, before its neighbours are looked at."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.errors import RoofError
from ropewright.roof.facets import area_vector, ring_area
from ropewright.roof.mending.notes import Mendings
from ropewright.roof.mending.plan import distance_outside, self_crossing

__all__ = [
    "STEEP_PITCH",
    "Piece",
    "best_plane",
    "checked_piece",
    "is_degenerate",
    "is_narrow",
    "off_plane",
    "ring_width",
]

Points = NDArray[np.float64]

#: Steeper than this a surface is a wall: nobody stands on it, and its plan is a line. [deg]
STEEP_PITCH = 80.0
#: Farther from its origin than this no map puts a house: web maps end at 2e7 m. [m]
_FARTHEST = 1e8
#: Thinner than this a ring has no plane to speak of. [m]
_NO_WIDTH = 1e-6
#: Smaller than this an area has no direction. [m2]
_NO_AREA = 1e-9
#: Outlines that cross by less than this touch. [m]
_TOUCH = 1e-3


@dataclass
class Piece:
    """A checked facet: its outer ring first (counterclockwise in plan), then its holes (clockwise)."""

    id: str
    rings: list[Points]
    steep: bool = False
    turned: bool = False  #: it faced down as given


def is_degenerate(ring: ArrayLike) -> bool:
    """Tell whether a ring has no area: too few distinct corners, all in one line, or there and back the same way.

    Examples
    --------
    >>> is_degenerate([[0, 0, 0], [1, 0, 0], [2, 0, 0]]), is_degenerate([[0, 0, 0], [1, 0, 0], [2, 1, 0]])
    (True, False)
    """
    corners = np.asarray(ring, float)
    return len(corners) < 3 or ring_area(corners) <= _NO_AREA or is_narrow(corners, _NO_WIDTH)


def is_narrow(ring: Points, limit: float) -> bool:
    """Tell whether a ring, shape (n, 3), is no wider than `limit` [m]."""
    runs = np.concatenate((ring[1:], ring[:1])) - ring
    round_it = float(np.sqrt((runs * runs).sum(axis=1)).sum())
    # no ring is narrower than twice its area over its girth: most are told by that alone, at a third of the time
    return 2.0 * ring_area(ring) <= limit * round_it and ring_width(ring) <= limit


def ring_width(ring: Points) -> float:
    """Least width [m] of a flat ring, shape (n, 3), over the directions of its edges.

    Examples
    --------
    >>> ring_width(np.array([[0.0, 0, 0], [4, 0, 0], [4, 0, 3], [0, 0, 3]]))
    3.0
    """
    runs = np.concatenate((ring[1:], ring[:1])) - ring
    lengths = np.sqrt((runs * runs).sum(axis=1))
    real = lengths > 0
    if not real.any():
        return 0.0
    vector = area_vector(ring)
    size = math.hypot(*vector.tolist())
    # an outline that crosses itself can have no area and yet a width
    normal = vector / size if size > _NO_AREA else best_plane(ring)[1]
    across = _across(normal, runs[real] / lengths[real, None])
    reach = (ring - ring[0]) @ across.T
    return float((reach.max(axis=0) - reach.min(axis=0)).min())


def _across(normal: Points, runs: Points) -> Points:
    """Directions in the plane at right angles to each run: `numpy.cross` without its overhead."""
    nx, ny, nz = normal.tolist()
    x, y, z = runs.T
    return np.column_stack((ny * z - nz * y, nz * x - nx * z, nx * y - ny * x))


def best_plane(points: Points) -> tuple[Points, Points, float]:
    """Plane that fits points best in the sense of least squares.

    Parameters
    ----------
    points : array, shape (n, 3)
        [m]

    Returns
    -------
    centre : array, shape (3,)
    normal : array, shape (3,)
        Unit vector.
    off : float
        Greatest distance of a point from the plane. [m]
    """
    centre = points.mean(axis=0)
    away = points - centre
    normal = np.linalg.eigh(away.T @ away)[1][:, 0]
    return centre, normal, float(np.abs(away @ normal).max())


def off_plane(points: Points, within: float) -> float:
    """Greatest distance [m] of points, shape (n, 3), in ring order, from a plane, no matter which if it is in `within`.

    The best plane is looked for only where the plane at right angles to the area vector is not near enough already.
    """
    if len(points) < 4:
        return 0.0
    vector = area_vector(points)
    size = math.hypot(*vector.tolist())
    if size > _NO_AREA:
        heights = points @ (vector / size)
        # a plane half-way between the farthest two is as good as any
        off = 0.5 * float(heights.max() - heights.min())
        if off <= within:
            return off
    return best_plane(points)[2]


def checked_piece(
    name: str,
    ring: ArrayLike,
    holes: Sequence[ArrayLike],
    *,
    plane_tolerance: float,
    notes: Mendings,
) -> Piece:
    """Check one facet by itself and turn its rings the right way round.

    Raises
    ------
    RoofError
        If it has fewer than three corners or no area, is out of plane beyond the tolerance, crosses itself or has a
        hole outside its outline.
    """
    outer = _corners(name, ring, notes)
    if is_narrow(outer, _NO_WIDTH):
        raise RoofError(f"facet {name}", _shown(outer[0]), "give three corners or more that don't stand in one line")
    cut = [_corners(f"{name}, hole {i + 1}", hole, notes) for i, hole in enumerate(holes)]
    _check_plane(name, np.vstack([outer, *cut]), plane_tolerance)
    vector = area_vector(outer)
    steep = abs(vector[2]) < math.hypot(*vector.tolist()) * math.cos(math.radians(STEEP_PITCH))
    if steep:
        return Piece(name, [outer, *cut], steep=True)
    turned = bool(vector[2] < 0)
    if turned:
        outer = outer[::-1]
    open_holes = [hole if area_vector(hole)[2] < 0 else hole[::-1] for hole in cut if not is_degenerate(hole)]
    if len(open_holes) < len(cut):
        notes.mend("holes without area closed", name)
    _check_outline(name, outer, open_holes)
    if ring_area(outer) <= _NO_AREA:
        raise RoofError(f"facet {name}", _shown(outer[0]), "give corners that enclose an area")
    return Piece(name, [outer, *open_holes], turned=turned)


def _corners(name: str, ring: ArrayLike, notes: Mendings) -> Points:
    """Ring as an array without corners that repeat the one before."""
    try:
        corners = np.asarray(ring, float)
    except (TypeError, ValueError) as error:
        raise RoofError(f"facet {name}", ring, "give three numbers for each corner") from error
    if corners.ndim != 2 or corners.shape[1] != 3 or len(corners) < 3:
        raise RoofError(f"facet {name}", corners.shape, "give three corners or more, of three numbers each")
    if not (np.abs(corners) <= _FARTHEST).all():  # also catches nan
        raise RoofError(f"facet {name}", "a corner that is no place on a map", "give coordinates in metres")
    kept = corners[(corners != np.roll(corners, 1, axis=0)).any(axis=1)]
    if len(kept) < len(corners):
        notes.mend("corners that stood twice removed", name)
    return kept if len(kept) else corners[:1]


def _shown(corner: Points) -> str:
    return f"({', '.join(f'{number:.3f}' for number in corner)})"


def _check_plane(name: str, corners: Points, tolerance: float) -> None:
    off = off_plane(corners - corners[0], tolerance)
    if off > tolerance:
        wanted = f"give corners within {tolerance:g} m of one plane, or split the facet"
        raise RoofError(f"facet {name}", f"a corner {off:.3f} m off its plane", wanted)


def _check_outline(name: str, outer: Points, holes: Sequence[Points]) -> None:
    for ring in (outer, *holes):
        crossing = self_crossing(ring[:, :2], touch=_TOUCH) if len(ring) > 3 else None
        if crossing is not None:
            place = f"an outline that crosses itself near ({crossing[0]:.3f}, {crossing[1]:.3f})"
            raise RoofError(f"facet {name}", place, "give corners in the order in which one walks round")
    for hole in holes:
        if distance_outside(outer[:, :2], hole[:, :2]) > _TOUCH:
            raise RoofError(f"facet {name}", "a hole outside its outline", "give holes that lie inside the facet")
