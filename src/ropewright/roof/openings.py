"""Skylights, hatches and holes laid onto a roof."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_normal, facet_plane
from ropewright.roof.height import facet_at
from ropewright.roof.outline_names import compass, numbered
from ropewright.roof.outline_rings import Points, corner_text, first_crossing, inside_ring, signed_area
from ropewright.roof.surface import Edge, EdgeType, Facet, Opening, Roof

__all__ = ["GUARDS", "OpeningSpec", "with_openings"]

#: What can stand between a person and an opening.
GUARDS = ("none", "cover", "guardrail")
#: Below this sine of the pitch a facet is level, and "along the eave" means along x. [-]
LEVEL = 1e-6
#: A rim with less area than this is no opening. [m2]
LEAST_AREA = 1e-6
#: How far a rim may lie outside its facet, so that one drawn along the edge is not refused. [m]
OUTSIDE = 1e-9


@dataclass(frozen=True, slots=True)
class OpeningSpec:
    """An opening as a person describes it: by its middle and size, or by its outline in plan.

    Parameters
    ----------
    name : str
        Unique on the roof.
    center : (float, float), optional
        Middle in plan. [m]
    size : (float, float), optional
        Width along the eave and length up the slope, both as a tape lies on the roof. On a level facet along x and y.
        [m]
    outline : array, shape (n, 2), optional
        Corners in plan, either way round, instead of `center` and `size`. [m]
    guard : str
        One of `GUARDS`.
    cover_capacity : float, optional
        Load the cover carries; None: not known. [N]
    cover_fixed, cover_marked : bool, optional
        None: not known, which is taken as no.
    """

    name: str
    center: tuple[float, float] | None = None
    size: tuple[float, float] | None = None
    outline: Points | Sequence[tuple[float, float]] | None = None
    guard: str = "none"
    cover_capacity: float | None = None
    cover_fixed: bool | None = None
    cover_marked: bool | None = None


def with_openings(roof: Roof, openings: Sequence[OpeningSpec]) -> Roof:
    """Roof with openings in it and a fall edge along every side of their rims.

    Parameters
    ----------
    roof : Roof
    openings : sequence of OpeningSpec
        Each is laid on the facet under its middle and lies wholly within it.

    Returns
    -------
    Roof
        `Opening.ring` runs counterclockwise seen from above; the edges of the rim (``skylight rim south``) run the
        other way, so that the roof is on their left as along every fall edge.

    Raises
    ------
    RoofError
        If an opening is not on the roof, or not wholly on one facet; has no area; crosses itself or another opening;
        a name comes up twice; or neither or both of size and outline are given.

    Examples
    --------
    >>> from ropewright.roof.outline import roof_from_outline
    >>> roof = roof_from_outline([(0, 0), (10, 0), (10, 6), (0, 6)], form="gable", pitches=[60], eave_height=3)
    >>> lit = with_openings(roof, [OpeningSpec("skylight", center=(5.0, 1.5), size=(0.8, 1.2))])
    >>> lit.openings[0].facet, lit.openings[0].ring[:, :2].round(3).tolist()
    ('south', [[4.6, 1.2], [5.4, 1.2], [5.4, 1.8], [4.6, 1.8]])
    >>> [edge.name for edge in lit.edges][-4:]
    ['skylight rim north', 'skylight rim east', 'skylight rim south', 'skylight rim west']
    """
    taken = [opening.name for opening in roof.openings]
    made, rims = list(roof.openings), list(roof.edges)
    for i, spec in enumerate(openings):
        if not spec.name or spec.name in taken:
            raise RoofError(f"openings[{i}].name", spec.name, "give each opening a name of its own")
        opening = _laid(f"openings[{i}]", spec, roof)
        _check_clear(f"openings[{i}]", opening, made)
        taken.append(spec.name)
        made.append(opening)
        rims += _rim(opening, {edge.name for edge in rims})
    return replace(roof, openings=tuple(made), edges=tuple(rims))


def _laid(field: str, spec: OpeningSpec, roof: Roof) -> Opening:
    if spec.guard not in GUARDS:
        raise RoofError(f"{field}.guard", spec.guard, f"give one of {', '.join(GUARDS)}")
    if (spec.outline is None) == (spec.center is None or spec.size is None):
        raise RoofError(field, spec.name, "give its center and its size (along the eave, up the slope), or its outline")
    ring_field = f"{field}.center" if spec.outline is None else f"{field}.outline"
    if spec.outline is None:
        middle = _numbers(ring_field, spec.center, (2,))
        size = _numbers(f"{field}.size", spec.size, (2,))
        if not (size > 0.0).all():
            raise RoofError(f"{field}.size", spec.size, "give two lengths above 0")
    else:
        plan = _plan_ring(ring_field, spec.outline)
        middle = _middle(plan)
    index = int(facet_at(roof, middle[None, :])[0])
    if index < 0:
        raise RoofError(ring_field, corner_text(middle), f"move {spec.name!r} onto the roof: there is none under it")
    facet = roof.facets[index]
    ring = _rectangle(facet, middle, size) if spec.outline is None else _lifted(facet, plan)
    beyond = _beyond(facet, ring)
    if beyond is not None:
        found = f"{spec.name!r}, whose rim leaves the facet {facet.id!r} near {corner_text(beyond)}"
        raise RoofError(ring_field, found, "move it or make it smaller, so that it lies within one facet")
    return Opening(spec.name, facet.id, ring, spec.guard, spec.cover_capacity, spec.cover_fixed, spec.cover_marked)


def _numbers(field: str, given: object, shape: tuple[int, ...]) -> Points:
    try:
        numbers = np.array(given, float)
    except (TypeError, ValueError) as error:
        raise RoofError(field, given, "give lengths") from error
    if numbers.shape != shape or not np.isfinite(numbers).all():
        raise RoofError(field, given, f"give {shape[0]} lengths" if len(shape) == 1 else "give a pair of lengths each")
    return numbers


def _plan_ring(field: str, outline: Points | Sequence[tuple[float, float]]) -> Points:
    """Outline of an opening in plan, counterclockwise."""
    plan = _numbers(field, outline, (len(outline), 2))
    if len(plan) < 3:
        raise RoofError(field, f"{len(plan)} corners", "give three corners or more")
    if (np.abs(plan - np.roll(plan, 1, axis=0)).max(axis=1) < OUTSIDE).any():
        raise RoofError(field, "a corner twice running", "give each corner once")
    crossing = first_crossing([plan])
    if crossing is not None:
        found = f"sides that cross near {corner_text(crossing[2])}"
        raise RoofError(field, found, "give corners in the order in which one walks round")
    area = signed_area(plan)
    if abs(area) < LEAST_AREA:
        raise RoofError(field, "corners that enclose no area", "give the corners of the opening")
    return plan if area > 0.0 else plan[::-1]


def _middle(plan: Points) -> Points:
    """Centroid of a ring; of one that bends round its centroid, the middle of its first side."""
    x, y = (plan - plan[0]).T
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    middle: Points = plan[0] + np.array(
        [((x + np.roll(x, -1)) * cross).sum(), ((y + np.roll(y, -1)) * cross).sum()]
    ) / (3.0 * cross.sum())
    return middle if inside_ring(plan, middle[None, :])[0] else (plan[0] + plan[1]) / 2


def _rectangle(facet: Facet, middle: Points, size: Points) -> Points:
    """Rectangle that lies on a facet, its first side along the eave and lowest."""
    normal = facet_normal(facet)
    steep = float(np.hypot(normal[0], normal[1]))
    along = np.array((1.0, 0.0, 0.0)) if steep < LEVEL else np.array((-normal[1], normal[0], 0.0)) / steep
    up = np.cross(normal, along)
    centre = _lifted(facet, middle[None, :])[0]
    corners = ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))
    return np.array([centre + a * size[0] * along + b * size[1] * up for a, b in corners])


def _lifted(facet: Facet, plan: Points) -> Points:
    """Points of the plan put up onto the plane of a facet."""
    a, b, c = facet_plane(facet)
    return np.column_stack((plan, plan @ np.array((a, b)) + c))


def _beyond(facet: Facet, ring: Points) -> tuple[float, float] | None:
    """Point where a rim leaves its facet, None if it does not: no corner outside, and no side across a side."""
    plan = ring[:, :2]
    for rim in (facet.ring[:, :2], *(hole[:, :2] for hole in facet.holes)):
        is_hole = signed_area(rim) < 0.0
        after = np.roll(rim, -1, axis=0)
        for start, end in zip(plan, np.roll(plan, -1, axis=0), strict=True):
            shares = _crossed(start, end, rim, after)
            # every stretch between two crossings lies wholly on one side of the rim
            for low, high in pairwise(shares):
                spot = start + (low + high) / 2 * (end - start)
                if inside_ring(rim, spot[None, :])[0] == is_hole and _distance(rim, after, spot) > OUTSIDE:
                    return float(spot[0]), float(spot[1])
        if is_hole and inside_ring(plan, rim[:1])[0]:
            return float(rim[0][0]), float(rim[0][1])
    return None


def _crossed(start: Points, end: Points, rim: Points, after: Points) -> list[float]:
    """Shares of the way from start to end at which lines of a rim are crossed, with 0 and 1."""
    along, sides = end - start, after - rim
    sine = along[0] * sides[:, 1] - along[1] * sides[:, 0]
    away = rim - start
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (away[:, 0] * sides[:, 1] - away[:, 1] * sides[:, 0]) / sine
    return sorted({0.0, 1.0, *share[(share > 0.0) & (share < 1.0)].tolist()})


def _distance(rim: Points, after: Points, spot: Points) -> float:
    """Distance of a point from the nearest side of a ring, in metres."""
    sides = after - rim
    share = np.clip(((spot - rim) * sides).sum(axis=1) / (sides * sides).sum(axis=1), 0.0, 1.0)
    return float(np.linalg.norm(rim + share[:, None] * sides - spot, axis=1).min())


def _check_clear(field: str, opening: Opening, others: Sequence[Opening]) -> None:
    """Refuse an opening that meets another on the same facet."""
    plan = opening.ring[:, :2]
    for other in others:
        if other.facet != opening.facet:
            continue
        rim = other.ring[:, :2]
        if first_crossing([plan, rim]) is not None or inside_ring(rim, plan[:1])[0] or inside_ring(plan, rim[:1])[0]:
            found = f"{opening.name!r}, which meets {other.name!r}"
            raise RoofError(field, found, "move one of them, or give both as one opening")


def _rim(opening: Opening, taken: set[str]) -> list[Edge]:
    """Edges of the rim with the roof on their left, named by the side of the opening on which they lie."""
    ring = opening.ring[::-1]
    ends = [(ring[i], ring[(i + 1) % len(ring)]) for i in range(len(ring))]
    sides = [compass(start[1] - end[1], end[0] - start[0]) for start, end in ends]  # the roof lies that way
    names = numbered([f"{opening.name} rim {side}" for side in sides])
    return [
        Edge(name if name not in taken else f"{name} (opening)", EdgeType.OPENING, start, end, (opening.facet,))
        for name, (start, end) in zip(names, ends, strict=True)
    ]
