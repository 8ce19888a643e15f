"""One facet over a whole outline: flat and shed roofs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ropewright.roof.outline_names import compass, numbered
from ropewright.roof.outline_rings import Points
from ropewright.roof.surface import Edge, EdgeType, Facet

__all__ = ["single_slope"]

#: An edge that climbs less than this per metre is level. [-]
LEVEL = 1e-9


def single_slope(
    rings: Sequence[Points], up: tuple[float, float], rise: float, eave_height: float
) -> tuple[Facet, tuple[Edge, ...]]:
    """One facet over an outline with holes, rising along `up`, its lowest corner at the eave height.

    Parameters
    ----------
    rings : sequence of arrays, shape (n, 2)
        Outer ring counterclockwise, holes clockwise. [m]
    up : (float, float)
        Unit vector upslope; (0, 0) for a level roof. [-]
    rise : float
        Rise per metre along it. [-]
    eave_height : float
        [m]
    """
    lowest = float((rings[0] @ np.array(up)).min())
    lifted = [np.column_stack((ring, eave_height + rise * (ring @ np.array(up) - lowest))) for ring in rings]
    facet = Facet(compass(-up[0], -up[1]) if rise > 0.0 else "flat", lifted[0], tuple(lifted[1:]))
    ends = [
        (start, end, "courtyard " if k else "")
        for k, ring in enumerate(lifted)
        for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True)
    ]
    kinds = [_kind(start, end, up, rise) for start, end, _ in ends]
    names = numbered(
        [
            f"{place}{compass(end[1] - start[1], start[0] - end[0])} {kind}"
            for (start, end, place), kind in zip(ends, kinds, strict=True)
        ]
    )
    edges = tuple(
        Edge(name, kind, start, end, (facet.id,))
        for name, kind, (start, end, _) in zip(names, kinds, ends, strict=True)
    )
    return facet, edges


def _kind(start: Points, end: Points, up: tuple[float, float], rise: float) -> EdgeType:
    along = end - start
    size = float(np.hypot(along[0], along[1]))
    if rise * abs(along[0] * up[0] + along[1] * up[1]) > LEVEL * size:
        return EdgeType.RAKE
    is_high = rise > 0.0 and along[1] * up[0] - along[0] * up[1] > 0.0  # outward is upslope
    return EdgeType.HIGH_EAVE if is_high else EdgeType.EAVE
