"""What an edge is called: its type from the facets beside it, its name from its type and the compass."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.outline_names import compass
from ropewright.roof.surface import EdgeType

__all__ = ["boundary_type", "compass_point", "crease_type", "unique_names"]

Points = NDArray[np.float64]

#: Pitched less than this a facet is flat: every outer edge of it is an eave. [deg]
FLAT = 2.0
#: A crease that turns by less than this is a break, whatever its shape. [deg]
SAME_PLANE = 2.0
#: An edge counts as level while it leaves the contour line of the flatter facet by less than this, measured in that
#: facet; a hip or a rake at right angles to the eave leaves it by 45 or more. [deg]
LEVEL_TURN = 15.0
#: An edge that slopes less than this is level whatever the facets. [deg]
LEVEL_SLOPE = 1.0


def boundary_type(normal: Points, run: Points) -> EdgeType:
    """Type of an outer edge of a facet.

    Parameters
    ----------
    normal : array, shape (3,)
        Upward unit normal of the facet.
    run : array, shape (3,)
        From start to end of the edge, the facet on the left seen from above. [m]

    Returns
    -------
    EdgeType
        An eave, a high eave or a rake.

    Examples
    --------
    >>> south_slope = np.array([0.0, -0.6, 0.8])
    >>> [boundary_type(south_slope, np.array(run)).value for run in ([1.0, 0, 0], [0, 0.8, 0.6], [-1, 0, 0])]
    ['eave', 'rake', 'high eave']
    """
    pitch = _pitch(normal)
    if pitch < FLAT:
        return EdgeType.EAVE
    if not _is_level(run, pitch):
        return EdgeType.RAKE
    return EdgeType.EAVE if _uphill(normal, run) > 0 else EdgeType.HIGH_EAVE


def crease_type(left: Points, right: Points, run: Points) -> EdgeType:
    """Type of an edge between two facets.

    Parameters
    ----------
    left, right : array, shape (3,)
        Upward unit normals of the facets on either side of the walk from start to end, seen from above.
    run : array, shape (3,)
        From start to end. [m]

    Returns
    -------
    EdgeType
        A ridge, hip, valley or break.

    Notes
    -----
    Level creases: both facets fall away, ridge; both rise, or one rises from a flat, valley; else one slope changes
    its pitch, break.  Sloping creases: convex, hip; concave, valley.

    Examples
    --------
    >>> south, north, east = np.array([[0, -0.6, 0.8], [0, 0.6, 0.8], [0.6, 0, 0.8]])
    >>> crease_type(south, north, np.array([-1.0, 0, 0])).value
    'ridge'
    >>> crease_type(south, east, np.array([-1.0, 1.0, 0.75])).value
    'hip'
    >>> crease_type(south, np.array([0, -0.8, 0.6]), np.array([-1.0, 0, 0])).value
    'break'
    """
    x, y, z = _cross(left, right)
    if math.degrees(math.atan2(math.hypot(x, y, z), float(left @ right))) < SAME_PLANE:
        return EdgeType.BREAK
    back = -run
    convex = float(left @ np.array(_cross(right, back))) < 0
    if not _is_level(run, min(_pitch(left), _pitch(right))):
        return EdgeType.HIP if convex else EdgeType.VALLEY
    rises = {_rise(left, run), _rise(right, back)}
    if rises == {-1}:
        return EdgeType.RIDGE
    return EdgeType.VALLEY if rises in ({1}, {0, 1}) else EdgeType.BREAK


def _cross(one: Points, other: Points) -> tuple[float, float, float]:
    (a, b, c), (x, y, z) = one.tolist(), other.tolist()
    return b * z - c * y, c * x - a * z, a * y - b * x


def _pitch(normal: Points) -> float:
    x, y, z = normal.tolist()
    return math.degrees(math.atan2(math.hypot(x, y), z))


def _is_level(run: Points, pitch: float) -> bool:
    x, y, z = run.tolist()
    length = math.hypot(x, y, z)
    steepest = math.sin(math.radians(pitch)) * math.sin(math.radians(LEVEL_TURN))
    return bool(abs(z) <= length * max(steepest, math.sin(math.radians(LEVEL_SLOPE))))


def _uphill(normal: Points, run: Points) -> float:
    """Height gained by walking from the edge into the facet on the left."""
    return _cross(normal, run)[2]


def _rise(normal: Points, run: Points) -> int:
    """1 where the facet on the left rises from the edge, -1 where it falls, 0 where it is flat."""
    if _pitch(normal) < FLAT:
        return 0
    return 1 if _uphill(normal, run) > 0 else -1


def compass_point(x: float, y: float) -> str:
    """Name of the nearest of eight compass points, +y being north; empty where there is no direction.

    Examples
    --------
    >>> compass_point(0.1, -2.0), compass_point(-1.0, 1.0), compass_point(0.0, 0.0)
    ('south', 'north-west', '')
    """
    if math.hypot(x, y) < 1e-6:
        return ""
    return compass(x, y)


def unique_names(names: Sequence[str], lengths: Sequence[float]) -> list[str]:
    """Names made unique by a number, the longest of its name left without one.

    Examples
    --------
    >>> unique_names(["south eave", "ridge", "south eave"], [2.0, 5.0, 7.0])
    ['south eave 2', 'ridge', 'south eave']
    """
    longest_first = sorted(range(len(names)), key=lambda i: -round(lengths[i], 3))
    count: Counter[str] = Counter()
    unique = list(names)
    for i in longest_first:
        count[names[i]] += 1
        if count[names[i]] > 1:
            unique[i] = f"{names[i]} {count[names[i]]}"
    return unique
