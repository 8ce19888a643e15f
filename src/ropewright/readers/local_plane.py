"""Longitude and latitude as metres in a level plane near a place, as a surveyor would lay them out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["local_metres"]

Points = NDArray[np.float64]

#: Semi-major axis [m] and flattening [-] of the WGS 84 ellipsoid (NGA.STND.0036, table 3.1; from memory).
_AXIS, _FLATTENING = 6_378_137.0, 1.0 / 298.257223563


def local_metres(positions: ArrayLike, origin: ArrayLike) -> Points:
    """Plan coordinates of positions in the level plane that touches the earth at an origin.

    Parameters
    ----------
    positions : array, shape (n, 2)
        Longitude, -180 to 180, and latitude, -90 to 90, on WGS 84. [deg]
    origin : array, shape (2,)
        Longitude and latitude of the place where the plane touches. [deg]

    Returns
    -------
    array, shape (n, 2)
        x east, y north. [m]

    Notes
    -----
    Positions on the ellipsoid are put into earth-centred coordinates, and these are turned so that z is up at the
    origin; z is dropped.  Lengths come out short by their cube over six times the earth's radius squared: 0.004 mm at
    1 km.  Ground that lies high is larger than the ellipsoid below it, by 0.016 % per kilometre.
    Source: textbook geodesy (topocentric coordinates; from memory); held against PROJ in the tests.

    Examples
    --------
    A second of latitude at the equator:

    >>> local_metres([[0.0, 1 / 3600]], [0.0, 0.0]).round(3)
    array([[ 0.   , 30.715]])
    """
    here = np.asarray(origin, float)
    away = _earth_centred(np.asarray(positions, float)) - _earth_centred(here[None])
    lon, lat = np.radians(here)
    east = np.array([-np.sin(lon), np.cos(lon), 0.0])
    north = np.array([-np.sin(lat) * np.cos(lon), -np.sin(lat) * np.sin(lon), np.cos(lat)])
    plan: Points = away @ np.column_stack((east, north))
    return plan


def _earth_centred(positions: Points) -> Points:
    """Coordinates from the middle of the earth, z to the north pole. [m]"""
    lon, lat = np.radians(positions).T
    squared = _FLATTENING * (2.0 - _FLATTENING)
    radius = _AXIS / np.sqrt(1.0 - squared * np.sin(lat) ** 2)
    return np.column_stack(
        (
            radius * np.cos(lat) * np.cos(lon),
            radius * np.cos(lat) * np.sin(lon),
            radius * (1.0 - squared) * np.sin(lat),
        )
    )
