"""Places on a roof where an anchor could go: along lines of framing, clear of edges and of what stands there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.field.below import level_distance
from ropewright.roof import Roof
from ropewright.roof.height import roof_height

__all__ = ["Candidates", "along_line", "anchor_candidates"]

Floats = NDArray[np.float64]

#: Places nearer to each other than this are one. [m]
_SAME = 0.02


@dataclass(frozen=True)
class Candidates:
    """Places for anchors on a roof."""

    points: Floats  #: (m, 3) on the roof [m]
    on: tuple[str, ...]  #: (m,) name of the line each of them lies on


def along_line(points: Floats, spacing: float) -> Floats:
    """Places along a line of straight pieces, evenly apart, the same distance left over at both ends.

    Parameters
    ----------
    points : array, shape (k, d)
        Corners, at least two. [m]
    spacing : float
        Between neighbours, above 0. [m]

    Returns
    -------
    array, shape (n, d)
        At least one. [m]

    Examples
    --------
    >>> along_line(np.array([[0.0, 0.0], [2.5, 0.0]]), 1.0)
    array([[0.25, 0.  ],
           [1.25, 0.  ],
           [2.25, 0.  ]])
    """
    if not spacing > 0:
        raise ValueError(f"spacing must be above 0 m, got {spacing:g} m")
    way = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    count = int(way[-1] / spacing + 1e-9)
    at = (way[-1] - count * spacing) / 2 + spacing * np.arange(count + 1)
    return np.column_stack([np.interp(at, way, points[:, axis]) for axis in range(points.shape[1])])


def anchor_candidates(
    roof: Roof,
    lines: Sequence[tuple[str, Floats, float]],
    *,
    keep_off: float,
    off: Sequence[Floats] = (),
    forbidden: Sequence[Floats] = (),
) -> Candidates:
    """Places for anchors along some lines, as far as an anchor may stand there.

    Parameters
    ----------
    roof : Roof
    lines : sequence of (name, corners, spacing)
        Corners in plan, shape (k, 2) or (k, 3), of which only x and y count. [m]
    keep_off : float
        From fall edges, rims of openings and the shapes in `off`, in plan, 0 or more. [m]
    off, forbidden : sequence of arrays, shape (k, 2)
        Shapes in plan to keep off, and shapes in which no anchor may stand. [m]

    Returns
    -------
    Candidates
        In the order of the lines; where two lines meet, the place goes to the first.
    """
    names = [name for name, corners, spacing in lines for _ in along_line(corners, spacing)]
    plan = np.array([at[:2] for _, corners, spacing in lines for at in along_line(corners, spacing)]).reshape(-1, 2)
    points = np.column_stack([plan, roof_height(roof, plan)]) if len(plan) else np.empty((0, 3))
    free = np.isfinite(points[:, 2])
    for edge in roof.boundary:
        free &= _to_line(plan, np.array([edge.start[:2], edge.end[:2]])) >= keep_off - 1e-9
    for shape in (*(opening.ring[:, :2] for opening in roof.openings), *off):
        away = level_distance(plan, shape)
        free &= (away > 0) & (away >= keep_off - 1e-9)
    for shape in forbidden:
        free &= level_distance(plan, shape) > 0
    kept: list[int] = []
    for at in np.flatnonzero(free).tolist():
        if not kept or float(np.hypot(*(plan[kept] - plan[at]).T).min()) > _SAME:
            kept.append(at)
    return Candidates(points[kept], tuple(names[at] for at in kept))


def _to_line(plan: Floats, corners: Floats) -> Floats:
    """Level distance of each of n places to a line of straight pieces, shape (n,). [m]"""
    least = np.full(len(plan), np.inf)
    for start, end in pairwise(corners):
        run = end - start
        squared = float(run @ run)
        share = np.clip((plan - start) @ run / squared, 0.0, 1.0) if squared > 0 else np.zeros(len(plan))
        least = np.minimum(least, np.hypot(*(plan - start - share[:, None] * run).T))
    return least
