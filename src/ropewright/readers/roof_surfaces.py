"""Which surfaces of a building are its roof: by their meaning, or, where none is given, by their slope."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.readers.city_geometry import Geometry, Surface
from ropewright.roof.facets import area_vector
from ropewright.roof.measured import STEEP_PITCH, is_degenerate
from ropewright.roof.mending.plan import inside, interior_point, segments

__all__ = ["roof_by_meaning", "roof_by_slope", "uncovered"]

Points = NDArray[np.float64]

#: Among more faces than this no roof is looked for. [-]
_MOST_FACES = 3_000
#: Meanings that are no roof; what has none may be one.
_NO_ROOF = frozenset(
    {
        "WallSurface",
        "GroundSurface",
        "OuterCeilingSurface",
        "OuterFloorSurface",
        "ClosureSurface",
        "InteriorWallSurface",
        "CeilingSurface",
        "FloorSurface",
        "Window",
        "Door",
    }
)


def roof_by_meaning(geometries: Sequence[Geometry]) -> list[Surface]:
    """Surfaces that the file calls roof."""
    return [s for geometry in geometries for s in geometry.surfaces if s.meaning == "RoofSurface"]


def roof_by_slope(geometries: Sequence[Geometry], vertices: Points) -> list[Surface]:
    """Surfaces that face up and have nothing over them, of those whose meaning the file does not tell.

    Notes
    -----
    A closed body is turned inside out if its highest surface faces down: some writers have it so.
    """
    roof = []
    for geometry in geometries:
        unnamed = [s for s in geometry.surfaces if s.meaning not in _NO_ROOF]
        roof += _facing_up(unnamed, vertices, closed=geometry.solid)
    return roof


def _facing_up(surfaces: Sequence[Surface], vertices: Points, *, closed: bool) -> list[Surface]:
    lying = []
    for surface in surfaces:
        rings = [vertices[list(ring)] for ring in surface.rings]
        ring = rings[0]
        if is_degenerate(ring):
            continue
        vector = area_vector(ring)
        upward = float(vector[2]) / max(math.hypot(*vector.tolist()), 1e-12)
        if abs(upward) >= math.cos(math.radians(STEEP_PITCH)):
            lying.append((surface, [ring, *(hole for hole in rings[1:] if not is_degenerate(hole))], upward))
    if not lying:
        return []
    if closed:
        sign = math.copysign(1.0, max(lying, key=lambda one: float(one[1][0][:, 2].max()))[2])
        lying = [one for one in lying if one[2] * sign > 0]
    return [lying[i][0] for i in uncovered([one[1] for one in lying])]


def uncovered(faces: Sequence[Sequence[Points]], *, within: float = math.inf) -> list[int]:
    """Numbers of the faces whose inside has no higher face over it.

    Parameters
    ----------
    faces : sequence of rings, shape (n, 3) each
        Outline of each face, less steep than a wall, and the holes in it. [m]
    within : float
        A face farther above than this is another roof, and covers nothing. [m]

    Raises
    ------
    RoofError
        If there are more than can be looked at in a moment: the work grows with their square.
    """
    if len(faces) > _MOST_FACES:
        raise RoofError("roof", f"{len(faces)} faces that one could stand on", f"give at most {_MOST_FACES}")
    if not faces:
        return []
    lows = np.array([rings[0][:, :2].min(axis=0) for rings in faces])
    highs = np.array([rings[0][:, :2].max(axis=0) for rings in faces])
    found = []
    for number, rings in enumerate(faces):
        spot = interior_point(rings)
        height = _height(rings[0], spot)
        # looking at extents first keeps a church of hundreds of surfaces quick
        near = np.flatnonzero(((lows <= spot) & (highs >= spot)).all(axis=1))
        over = (faces[i] for i in near.tolist() if i != number)
        if not any(
            0.01 < _height(one[0], spot) - height <= within and inside(segments(one), spot[None])[0] for one in over
        ):
            found.append(number)
    return found


def _height(ring: Points, spot: Points) -> float:
    x, y, z = area_vector(ring).tolist()
    middle = ring.mean(axis=0)
    return float(middle[2] - ((spot[0] - middle[0]) * x + (spot[1] - middle[1]) * y) / z)
