"""Corners of the walls that stand under a roof: upright lines on which a rope can bend below the rim."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, tau

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.mesh import SNAP, RoofMesh

__all__ = ["WallCorner", "wall_corners"]

Floats = NDArray[np.float64]

#: Walls that turn by less than this are one wall. [rad]
_TURN = 1e-7


@dataclass(frozen=True, slots=True)
class WallCorner:
    """An upright line at which walls meet and stand out.

    Parameters
    ----------
    top : array, shape (3,)
        [m]
    bottom : float
        Height of the facet it stands on; -inf where there is none. [m]
    first, second : array, shape (3,)
        Outward unit normals of the wall before the corner and of the one after it, walking with the building on the
        left.
    """

    top: Floats
    bottom: float
    first: Floats
    second: Floats


def wall_corners(mesh: RoofMesh) -> Iterator[WallCorner]:
    """Every corner of a wall that stands out, from the top of the lower of its walls down.

    Round each corner in plan the facets fill angles at their heights; at any level the solid is the angles of all
    facets above it. Where what is left free is more than half a turn, the walls stand out.
    """
    done: list[Floats] = []
    outlines = [mesh.corners[list(rings[0])][:, :2] for rings in mesh.rings]
    boxes = np.array([[0.5 * (o.max(0) + o.min(0)), 0.5 * np.ptp(o, axis=0) + SNAP] for o in outlines])
    for corner in mesh.corners:
        if any(np.hypot(*(corner - other)[:2]) < SNAP for other in done):
            continue
        done.append(corner)
        yield from _at(mesh, boxes, corner)


def _at(mesh: RoofMesh, boxes: Floats, corner: Floats) -> Iterator[WallCorner]:
    filled = sorted(_filled(mesh, boxes, corner), key=lambda part: -part[0])
    open_: list[WallCorner] = []
    for k, (height, _, _) in enumerate(filled):
        bottom = filled[k + 1][0] if k + 1 < len(filled) else -np.inf
        if height - bottom < SNAP:
            continue
        going = []
        for start, end in _free([(a, b) for _, a, b in filled[: k + 1]]):
            first, second = _level(start + 0.5 * pi), _level(end - 0.5 * pi)
            same = [
                c for c in open_ if np.allclose(c.first, first, 0, _TURN) and np.allclose(c.second, second, 0, _TURN)
            ]
            top = same[0].top if same else np.array([corner[0], corner[1], height])
            going.append(WallCorner(top, bottom, first, second))
        # corners that go on below with the same walls are one corner
        yield from (c for c in open_ if not any(c.top is g.top for g in going))
        open_ = going
    yield from open_


def _filled(mesh: RoofMesh, boxes: Floats, corner: Floats) -> Iterator[tuple[float, float, float]]:
    """Height of each facet at a plan point, and the angle it fills there: from, and to further left. [m], [rad]"""
    for facet in np.flatnonzero((np.abs(corner[:2] - boxes[:, 0]) <= boxes[:, 1]).all(axis=1)):
        height = float(mesh.planes[facet] @ [corner[0], corner[1], 1.0])
        inside = False
        for ring in mesh.rings[facet]:
            xy = mesh.corners[list(ring)][:, :2] - corner[:2]
            at = np.flatnonzero(np.hypot(*xy.T) < SNAP)
            on = _side_through(xy)
            for k in at:
                yield height, *_angle(xy[(k + 1) % len(xy)] - xy[k], xy[k - 1] - xy[k])
            if len(at) == 0 and on is not None:
                yield height, *_angle(on, -on)
            if len(at) or on is not None:
                break
            inside ^= _surrounds(xy)
        else:
            if inside:
                yield height, 0.0, tau


def _angle(start: Floats, end: Floats) -> tuple[float, float]:
    low = float(np.arctan2(start[1], start[0]))
    high = float(np.arctan2(end[1], end[0]))
    return low, high if high > low else high + tau


def _side_through(xy: Floats) -> Floats | None:
    """Direction of the side of a ring that passes through the origin, or None."""
    for a, b in zip(xy, np.roll(xy, -1, axis=0), strict=True):
        run = b - a
        share = -(a @ run) / (run @ run)
        if 0.0 < share < 1.0 and np.hypot(*(a + share * run)) < SNAP:
            direction: Floats = run
            return direction
    return None


def _surrounds(xy: Floats) -> bool:
    """True if a ring goes round the origin."""
    turn = np.arctan2(*np.roll(xy, -1, axis=0).T[::-1]) - np.arctan2(*xy.T[::-1])
    return bool(abs(np.sum((turn + pi) % tau - pi)) > pi)


def _free(filled: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Angles of more than half a turn that are left free: from, and to further left."""
    spans = sorted((low % tau, low % tau + high - low) for low, high in filled)
    at = spans[0][1]
    for low, high in [*spans[1:], (spans[0][0] + tau, 0.0)]:
        if low - at > pi + _TURN:
            yield at, low
        at = max(at, high)


def _level(angle: float) -> Floats:
    return np.array([np.cos(angle), np.sin(angle), 0.0])
