"""Measures of one facet: which way it faces, how steep it is, how large, and the plane it lies in."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.roof.surface import Facet

__all__ = [
    "LEVEL_PITCH",
    "area_vector",
    "facet_area",
    "facet_azimuth",
    "facet_normal",
    "facet_pitch",
    "facet_plane",
    "ring_area",
]

Points = NDArray[np.float64]

#: Below this pitch a facet has no downslope direction worth naming. [deg]
LEVEL_PITCH = 0.5


def area_vector(ring: ArrayLike) -> Points:
    """Vector at right angles to a ring, as long as the ring's area is large.

    Parameters
    ----------
    ring : array, shape (n, 3)
        Corners in order, the first not repeated. [m]

    Returns
    -------
    array, shape (3,)
        Points to the side from which the corners run counterclockwise. [m2]

    Notes
    -----
    Newell's sum of cross products, taken from the first corner, so that large map coordinates cost no digits. In
    plain Python: on rings of a few corners numpy costs five times as much.

    Examples
    --------
    >>> area_vector([[0, 0, 5], [2, 0, 5], [2, 3, 5], [0, 3, 5]])
    array([0., 0., 6.])
    """
    (x0, y0, z0), *corners = np.asarray(ring, float).tolist()
    across_x = across_y = across_z = 0.0
    ax = ay = az = 0.0
    for x, y, z in corners:
        bx, by, bz = x - x0, y - y0, z - z0
        across_x += ay * bz - az * by
        across_y += az * bx - ax * bz
        across_z += ax * by - ay * bx
        ax, ay, az = bx, by, bz
    return 0.5 * np.array([across_x, across_y, across_z])


def ring_area(ring: ArrayLike) -> float:
    """Area [m2] inside a ring in space, shape (n, 3).

    Examples
    --------
    >>> ring_area([[0, 0, 0], [3, 0, 0], [3, 0, 2]])
    3.0
    """
    return math.hypot(*area_vector(ring).tolist())


def facet_normal(facet: Facet) -> Points:
    """Direction at right angles to a facet, upward for corners that run counterclockwise seen from above.

    Parameters
    ----------
    facet : Facet

    Returns
    -------
    array, shape (3,)
        Unit vector. [-]

    Raises
    ------
    ValueError
        If the facet has no area.

    Examples
    --------
    >>> facet_normal(Facet("a", np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0]])))
    array([0., 0., 1.])
    """
    vector = area_vector(facet.ring)
    size = math.hypot(*vector.tolist())
    if not size > 0:
        raise ValueError(f"facet {facet.id!r} has no area")
    normal: Points = vector / size
    return normal


def facet_pitch(facet: Facet) -> float:
    """Angle [deg] of a facet from level, 0 to 180; above 90 it faces down.

    Raises
    ------
    ValueError
        If the facet has no area.

    Examples
    --------
    >>> round(facet_pitch(Facet("a", np.array([[0.0, 0, 0], [4, 0, 0], [4, 3, 3], [0, 3, 3]]))), 9)
    45.0
    """
    x, y, z = facet_normal(facet).tolist()
    return math.degrees(math.atan2(math.hypot(x, y), z))


def facet_azimuth(facet: Facet) -> float:
    """Downslope direction [deg] of a facet, clockwise from +y, 0 up to 360; nan where it is level.

    Raises
    ------
    ValueError
        If the facet has no area.

    Notes
    -----
    Level means pitched less than 0.5 deg: of such a facet the direction is noise.

    Examples
    --------
    >>> round(facet_azimuth(Facet("a", np.array([[0.0, 0, 0], [4, 0, 0], [4, 3, 3], [0, 3, 3]]))), 9)
    180.0
    >>> facet_azimuth(Facet("a", np.array([[0.0, 0, 0], [4, 0, 0], [4, 3, 0]])))
    nan
    """
    if facet_pitch(facet) < LEVEL_PITCH:
        return math.nan
    x, y, _ = facet_normal(facet).tolist()
    return math.degrees(math.atan2(x, y)) % 360.0


def facet_area(facet: Facet) -> float:
    """Area [m2] of a facet in its own plane, its holes taken off.

    Examples
    --------
    >>> facet_area(Facet("a", np.array([[0.0, 0, 0], [4, 0, 0], [4, 3, 4], [0, 3, 4]])))
    20.0
    """
    return ring_area(facet.ring) - sum(ring_area(hole) for hole in facet.holes)


def facet_plane(facet: Facet) -> tuple[float, float, float]:
    """Numbers a, b, c of the plane z = a x + b y + c through a facet.

    Parameters
    ----------
    facet : Facet

    Returns
    -------
    tuple of float
        a, b [-], c [m]. The plane goes through the mean of the corners.

    Raises
    ------
    ValueError
        If the facet has no area or stands plumb.

    Examples
    --------
    >>> facet_plane(Facet("a", np.array([[0.0, 0, 1], [4, 0, 1], [4, 4, 3], [0, 4, 3]])))
    (0.0, 0.5, 1.0)
    """
    x, y, z = facet_normal(facet).tolist()
    if abs(z) < 1e-9:
        raise ValueError(f"facet {facet.id!r} stands plumb")
    a, b = 0.0 - x / z, 0.0 - y / z
    mean = facet.ring.mean(axis=0).tolist()
    return a, b, mean[2] - a * mean[0] - b * mean[1]
