"""Proof that a roof made from an outline is one: planar facets that cover the plan once."""

from __future__ import annotations

import math

import numpy as np

from ropewright.errors import RoofError
from ropewright.roof.facets import area_vector
from ropewright.roof.outline_rings import Points, corner_text, signed_area
from ropewright.roof.surface import EdgeType, Facet, Roof

__all__ = ["prove_roof"]

#: Greatest distance of a corner from the plane of its facet, and of creases that cross. [m]
OFF_PLANE = 1e-6


def prove_roof(roof: Roof) -> None:
    """Refuse a roof with a facet out of plane or turned over, or creases that cross.

    The wavefront works in floating point; sides that meet almost, but not quite, in one point could mislead it. A
    wrong roof must never come out, so what came out is checked by other means.

    Raises
    ------
    RoofError
        Naming the facet.
    """
    wanted = "move a corner by a few millimetres, or change a pitch a little: the roof could not be worked out"
    for facet in roof.facets:
        if signed_area(facet.ring) <= 0.0:
            raise RoofError("outline", f"a facet {facet.id!r} without area at {corner_text(facet.ring[0])}", wanted)
        off = _off_plane(facet)
        if off > OFF_PLANE * max(1.0, float(np.ptp(facet.ring, axis=0).max()) / 100.0):
            raise RoofError("outline", f"a facet {facet.id!r} that is {off:.2g} m out of plane", wanted)
    crossing = _crossing(roof)
    if crossing is not None:
        raise RoofError("outline", f"edges that cross: {crossing[0]!r} and {crossing[1]!r}", wanted)


def _off_plane(facet: Facet) -> float:
    vector = area_vector(facet.ring)
    corners = facet.ring if not facet.holes else np.vstack([facet.ring, *facet.holes])
    offsets = (corners - facet.ring[0]) @ (vector / math.hypot(*vector.tolist()))
    return float(offsets.max() - offsets.min()) / 2


def _crossing(roof: Roof) -> tuple[str, str] | None:
    """Two edges that cross in plan, each by more than the tolerance; those over plumb walls lie on each other."""
    edges = [edge for edge in roof.edges if edge.type is not EdgeType.WALL]
    starts = np.array([edge.start[:2] for edge in edges])
    ends = np.array([edge.end[:2] for edge in edges])
    along = ends - starts
    unit = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    one, two = _offsets(unit, starts, starts), _offsets(unit, starts, ends)
    parted = (np.minimum(one, two) < -OFF_PLANE) & (np.maximum(one, two) > OFF_PLANE)
    pairs = np.argwhere(parted & parted.T)
    return None if len(pairs) == 0 else (edges[pairs[0][0]].name, edges[pairs[0][1]].name)


def _offsets(unit: Points, origin: Points, points: Points) -> Points:
    """Offset of each point (second index) to the left of each line (first index), in metres."""
    away = points[None, :, :] - origin[:, None, :]
    offsets: Points = unit[:, None, 0] * away[:, :, 1] - unit[:, None, 1] * away[:, :, 0]
    return offsets
