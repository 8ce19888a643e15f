"""Facets of a roof with shared corners, their planes, and which side meets which."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof.convex import signed_area
from ropewright.roof.surface import Roof

__all__ = ["SNAP", "RoofMesh", "Side"]

Floats = NDArray[np.float64]

#: Corners nearer than this are one corner; a corner nearer than this to a side stands on it. [m]
SNAP = 1e-4
#: Facets steeper than this (upward part of the unit normal) are walls and carry nothing. [-]
_STEEP = 1e-3


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a facet's ring, from corner `i` to corner `j` with its facet on the left.

    ``across`` is the index of the facet that shares it, -1 where the roof ends or steps.
    """

    facet: int
    i: int
    j: int
    across: int = -1


@dataclass(frozen=True)
class RoofMesh:
    """A roof's facets on shared corners.

    Parameters
    ----------
    ids : tuple of str
        Facets, vertical ones left out.
    corners : array, shape (m, 3)
        Each corner once. [m]
    rings : tuple of tuple of tuple of int
        Per facet its rings by corner: the outline counterclockwise, then holes and openings clockwise. A corner of
        another facet that stands on a side is part of the ring.
    normals : array, shape (n, 3)
        Upward unit normals.
    planes : array, shape (n, 3)
        ``z = planes[i] @ (x, y, 1)``.
    sides : tuple of Side
    roughness : float
        Greatest distance of a corner from the plane of its facet. [m]
    """

    ids: tuple[str, ...]
    corners: Floats
    rings: tuple[tuple[tuple[int, ...], ...], ...]
    normals: Floats
    planes: Floats
    sides: tuple[Side, ...]
    roughness: float

    @classmethod
    def from_roof(cls, roof: Roof) -> RoofMesh:
        """Mesh of a roof; openings become holes.

        Raises
        ------
        RoofError
            If no facet has an area in plan.
        """
        ids, loops = _loops(roof)
        if not ids:
            raise RoofError("roof", "no facet that slopes less than a wall", "give at least one facet seen from above")
        corners, rings = _on_shared_corners(loops)
        rings = _with_standing_corners(corners, rings)
        normals = np.array([_normal(corners[list(facet[0])]) for facet in rings])
        centres = np.array([corners[list(facet[0])].mean(axis=0) for facet in rings])
        slopes = -normals[:, :2] / normals[:, 2:]
        planes = np.column_stack([slopes, centres[:, 2] - np.einsum("ij,ij->i", slopes, centres[:, :2])])
        off = [np.abs((corners[list(f[0])] - c) @ n).max() for f, c, n in zip(rings, centres, normals, strict=True)]
        return cls(ids, corners, rings, normals, planes, _sides(rings), float(max(off)))


def _loops(roof: Roof) -> tuple[tuple[str, ...], list[list[Floats]]]:
    """Rings of every facet that is no wall: outline counterclockwise, holes and openings clockwise."""
    cut: dict[str, list[Floats]] = defaultdict(list)
    for opening in roof.openings:
        cut[opening.facet].append(np.asarray(opening.ring, float))
    ids, loops = [], []
    for facet in roof.facets:
        outline = np.asarray(facet.ring, float)
        if abs(_normal(outline)[2]) < _STEEP:
            continue
        holes = [np.asarray(hole, float) for hole in facet.holes] + cut[facet.id]
        ids.append(facet.id)
        loops.append([_turned(outline, +1)] + [_turned(hole, -1) for hole in holes])
    return tuple(ids), loops


def _turned(ring: Floats, sense: int) -> Floats:
    return ring if signed_area(ring) * sense > 0 else ring[::-1]


def _normal(ring: Floats) -> Floats:
    """Unit normal of a ring by its area vector, which no single bad corner spoils."""
    centred = ring - ring.mean(axis=0)
    area = np.cross(centred, np.roll(centred, -1, axis=0)).sum(axis=0)
    normal: Floats = area / np.linalg.norm(area)
    return normal


def _on_shared_corners(loops: list[list[Floats]]) -> tuple[Floats, tuple[tuple[tuple[int, ...], ...], ...]]:
    """Corners, each once, and the rings as indices into them."""
    corners: list[Floats] = []

    def index(point: Floats) -> int:
        if corners:
            away = np.linalg.norm(np.array(corners) - point, axis=1)
            if away.min() < SNAP:
                return int(away.argmin())
        corners.append(point)
        return len(corners) - 1

    rings = tuple(tuple(_without_repeats([index(p) for p in loop]) for loop in facet) for facet in loops)
    return np.array(corners), rings


def _without_repeats(ring: list[int]) -> tuple[int, ...]:
    return tuple(corner for k, corner in enumerate(ring) if corner != ring[k - 1])


def _with_standing_corners(
    corners: Floats, rings: tuple[tuple[tuple[int, ...], ...], ...]
) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """The rings with every corner that stands on one of their sides set into it, so that sides match whole."""
    return tuple(
        tuple(
            tuple(k for i, j in zip(ring, ring[1:] + ring[:1], strict=True) for k in (i, *_standing(corners, i, j)))
            for ring in facet
        )
        for facet in rings
    )


def _standing(corners: Floats, i: int, j: int) -> list[int]:
    """Corners between i and j on the straight line from one to the other, in order."""
    along = corners[j] - corners[i]
    length = np.linalg.norm(along)
    run = (corners - corners[i]) @ along / length
    away = np.linalg.norm(corners - corners[i] - run[:, None] * along / length, axis=1)
    found = np.flatnonzero((away < SNAP) & (run > SNAP) & (run < length - SNAP))
    return [int(k) for k in found[np.argsort(run[found])] if k not in (i, j)]


def _sides(rings: tuple[tuple[tuple[int, ...], ...], ...]) -> tuple[Side, ...]:
    """Every side of every ring; one that two facets walk in opposite senses is shared."""
    sides = [
        Side(facet, i, j)
        for facet, loops in enumerate(rings)
        for ring in loops
        for i, j in zip(ring, ring[1:] + ring[:1], strict=True)
    ]
    walked: dict[tuple[int, int], list[int]] = defaultdict(list)
    for side in sides:
        walked[side.i, side.j].append(side.facet)
    return tuple(
        Side(s.facet, s.i, s.j, walked[s.j, s.i][0]) if len(walked[s.j, s.i]) == 1 == len(walked[s.i, s.j]) else s
        for s in sides
    )
