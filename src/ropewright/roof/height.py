"""What lies where on a roof, seen from above: facet, height, points of a grid, and the roof's outline."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_normal, facet_plane
from ropewright.roof.outline_rings import Points, corner_text, inside_ring
from ropewright.roof.skeleton import SkeletonError, trace_rings
from ropewright.roof.surface import EdgeType, Facet, Roof

__all__ = ["facet_at", "grid_on", "plan_outline", "roof_height"]

#: Points this near an edge are on the roof. [m]
ON_EDGE = 1e-9
#: Corners of the boundary this near each other in plan are one. [m]
SAME_PLACE = 1e-6
#: A facet that faces up less than this is a wall and covers nothing in plan (cosine of 89.9 deg). [-]
PLUMB = 1.7e-3


def roof_height(roof: Roof, xy: ArrayLike) -> Points:
    """Height of the roof's top surface; nan beside the roof and in a facet's holes.

    Parameters
    ----------
    roof : Roof
    xy : array, shape (n, 2)
        Points in plan. [m]

    Returns
    -------
    array, shape (n,)
        Where facets lie over each other, of the highest. Openings count as closed. [m]

    Raises
    ------
    ValueError
        If the points are not pairs of numbers.

    Examples
    --------
    >>> from ropewright.roof.outline import roof_from_outline
    >>> walls = [(0, 0), (8, 0), (8, 4), (0, 4)]
    >>> shed = roof_from_outline(walls, form="shed", pitches=[45], eave_height=3, high_side=2)
    >>> roof_height(shed, [[1, 0], [1, 2], [1, 5]]).round(9)
    array([ 3.,  5., nan])
    """
    return _top(roof, _pairs(xy))[1]


def facet_at(roof: Roof, xy: ArrayLike) -> NDArray[np.int64]:
    """Index in `roof.facets` of the top facet at each point; -1 beside the roof and in a facet's holes.

    Parameters
    ----------
    roof : Roof
    xy : array, shape (n, 2)
        Points in plan; those within 1e-9 m of an edge are on the facet, on a shared edge on the first of its facets.
        [m]

    Returns
    -------
    array of int, shape (n,)

    Raises
    ------
    ValueError
        If the points are not pairs of numbers.

    Examples
    --------
    >>> from ropewright.roof.outline import roof_from_outline
    >>> roof = roof_from_outline([(0, 0), (8, 0), (8, 4), (0, 4)], form="gable", pitches=[45], eave_height=3)
    >>> facet_at(roof, [[1, 1], [1, 3], [1, 2], [9, 1]])
    array([ 0,  1,  0, -1])
    """
    return _top(roof, _pairs(xy))[0]


def grid_on(roof: Roof, step: float) -> Points:
    """Points on the roof over a square grid in plan.

    Parameters
    ----------
    roof : Roof
    step : float
        Distance of neighbours in plan, above 0. The grid lies in the middle of the roof's extent, no farther than half
        a step from its ends. [m]

    Returns
    -------
    array, shape (m, 3)
        Row by row from the south, on the top surface. [m]

    Raises
    ------
    ValueError
        If the step is not above 0.

    Examples
    --------
    >>> from ropewright.roof.outline import roof_from_outline
    >>> grid_on(roof_from_outline([(0, 0), (2, 0), (2, 1), (0, 1)], form="flat", pitches=[0], eave_height=3), 1.0)
    array([[0.5, 0.5, 3. ],
           [1.5, 0.5, 3. ]])
    """
    if not 0.0 < step < math.inf:
        raise ValueError(f"step must be above 0 m, got {step:g} m")
    corners = np.vstack([facet.ring[:, :2] for facet in roof.facets])
    low, high = corners.min(axis=0), corners.max(axis=0)
    axes = []
    for start, end in zip(low, high, strict=True):
        count = max(1, math.ceil((end - start) / step - 1e-9))
        axes.append((start + end) / 2 + step * (np.arange(count) - (count - 1) / 2))
    xy = np.array([(x, y) for y in axes[1] for x in axes[0]])
    heights = roof_height(roof, xy)
    on_roof = np.isfinite(heights)
    return np.column_stack((xy, heights))[on_roof]


def _pairs(xy: ArrayLike) -> Points:
    points = np.asarray(xy, float)
    if points.ndim != 2 or points.shape[1] != 2:
        raise ValueError(f"points must have shape (n, 2), got {points.shape}")
    return points


def _top(roof: Roof, xy: Points) -> tuple[NDArray[np.int64], Points]:
    """Index and height of the highest facet at each point, -1 and nan where there is none."""
    index = np.full(len(xy), -1)
    height = np.full(len(xy), np.nan)
    for number, facet in enumerate(roof.facets):
        if facet_normal(facet)[2] < PLUMB:
            continue
        near = np.flatnonzero(_in_box(facet.ring, xy))
        near = near[_on_facet(facet, xy[near])]
        a, b, c = facet_plane(facet)
        here = a * xy[near, 0] + b * xy[near, 1] + c
        higher = ~(here <= height[near] + ON_EDGE)  # also true against nan
        index[near[higher]] = number
        height[near[higher]] = here[higher]
    return index, height


def _in_box(ring: Points, xy: Points) -> NDArray[np.bool_]:
    low, high = ring[:, :2].min(axis=0) - ON_EDGE, ring[:, :2].max(axis=0) + ON_EDGE
    return np.asarray(((xy >= low) & (xy <= high)).all(axis=1))


def _on_facet(facet: Facet, xy: Points) -> NDArray[np.bool_]:
    found = inside_ring(facet.ring[:, :2], xy)
    for hole in facet.holes:
        found &= ~inside_ring(hole[:, :2], xy)
    for ring in (facet.ring, *facet.holes):
        found |= _on_ring(ring[:, :2], xy)
    return found


def _on_ring(ring: Points, xy: Points) -> NDArray[np.bool_]:
    """Which points lie on the sides of a ring."""
    found = np.zeros(len(xy), bool)
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        along = end - start
        length = float(np.hypot(*along))
        if length == 0.0:
            continue
        unit = along / length
        away = xy - start
        station = np.clip(away @ unit, 0.0, length)
        found |= np.hypot(*(away - station[:, None] * unit).T) <= ON_EDGE
    return found


def plan_outline(roof: Roof) -> tuple[Points, ...]:
    """Rings of the roof's outline in plan, chained from its fall edges and walls; openings are left out.

    Parameters
    ----------
    roof : Roof

    Returns
    -------
    tuple of arrays, shape (n, 2)
        The roof on the left: outer rings counterclockwise, courtyards and shafts clockwise; the ring with the largest
        extent first. Where the roof steps from one level to another, both edges run along the same line in plan and
        cancel. [m]

    Raises
    ------
    RoofError
        If the edges don't close.

    Examples
    --------
    >>> from ropewright.roof.outline import roof_from_outline
    >>> roof = roof_from_outline([(0, 0), (8, 0), (8, 4), (0, 4)], form="gable", pitches=[45], eave_height=3)
    >>> [ring.tolist() for ring in plan_outline(roof)]
    [[[0.0, 0.0], [8.0, 0.0], [8.0, 4.0], [0.0, 4.0]]]
    """
    edges = [
        edge
        for edge in roof.edges
        if edge.type is EdgeType.WALL or (edge.type.is_boundary and edge.type is not EdgeType.OPENING)
    ]
    ends, nodes = _shared_places(np.array([point[:2] for edge in edges for point in (edge.start, edge.end)]))
    links: dict[tuple[int, int], int] = {}
    for start, end in zip(ends[::2], ends[1::2], strict=True):
        stops = _stops(nodes, start, end)
        for one, other in pairwise(stops):
            if links.get((other, one), 0):
                links[other, one] -= 1
            else:
                links[one, other] = links.get((one, other), 0) + 1
    try:
        rings = trace_rings(
            [link for link, often in links.items() for _ in range(often)], [(float(x), float(y)) for x, y in nodes]
        )
    except SkeletonError as error:
        place = "" if error.point is None else f" at {corner_text(error.point)}"
        raise RoofError("roof", f"fall edges that don't close{place}", "give facets whose edges meet") from error
    plain = [_without_straight(nodes[list(ring)]) for ring in rings]
    return tuple(sorted(plain, key=lambda ring: -float(np.ptp(ring, axis=0).sum())))


def _shared_places(points: Points) -> tuple[list[int], Points]:
    """Index of the place of each point, and the places, points nearer than the tolerance being one."""
    places: list[Points] = []
    indices = []
    for point in points:
        gaps = [float(np.abs(point - place).max()) for place in places]
        index = int(np.argmin(gaps)) if gaps and min(gaps) < SAME_PLACE else len(places)
        if index == len(places):
            places.append(point)
        indices.append(index)
    return indices, np.array(places)


def _stops(nodes: Points, start: int, end: int) -> list[int]:
    """Nodes on the way from start to end, both of them among these."""
    along = nodes[end] - nodes[start]
    length = float(np.hypot(*along))
    if length == 0.0:
        return [start]
    away = nodes - nodes[start]
    station = away @ along / length
    aside = np.abs(away[:, 0] * along[1] - away[:, 1] * along[0]) / length
    on_way = np.flatnonzero((aside < SAME_PLACE) & (station > SAME_PLACE) & (station < length - SAME_PLACE))
    return [start, *on_way[np.argsort(station[on_way])].tolist(), end]


def _without_straight(ring: Points) -> Points:
    """Ring without the corners that lie on a straight stretch."""
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turn = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    size = np.hypot(*before.T) * np.hypot(*after.T)
    kept: Points = ring[turn > 1e-9 * size]
    return kept
