"""Where a taut rope can bend: convex edges of the solid under a roof, and the points where such edges end in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.corners import wall_corners
from ropewright.roof.mesh import SNAP, RoofMesh, Side
from ropewright.roof.pieces import GIVE, Pieces
from ropewright.roof.steps import Step
from ropewright.roof.surface import Roof

__all__ = ["BendEdge", "bend_edges", "saddles"]

Floats = NDArray[np.float64]

#: Length of a wall corner below the rim: deeper than any building. [m]
DEEP = 1000.0
#: Edges or parts of edges shorter than this are dropped. [m]
_SHORT = 1e-6
#: A name of the roof goes with a line this near. [m]
_NEAR = 1e-3
#: A corner this near to another facet in plan is touched by it. [m]
_BESIDE = 1e-4
#: A point this much deeper in the solid than touching is buried. [m]
_BURIED = 1e-5
#: Sides of measured roofs shorter than this come of joining facets that do not quite meet. [m]
_STUB = 0.05
#: A wall corner is one where the rim turns by more than this. [rad]
_TURN = 1e-7


@dataclass(frozen=True, slots=True)
class BendEdge:
    """A convex edge a rope can bend on, or the part of it that lies open.

    Parameters
    ----------
    start, along : array, shape (3,)
        One end, and the unit vector along it. [m], [-]
    length : float
        [m]
    left, right : array, shape (3,)
        Outward unit normals of its two faces, the left and the right one seen from outside, looking along it.
    name : str or None
        Name of the edge of the roof it is part of.
    """

    start: Floats
    along: Floats
    length: float
    left: Floats
    right: Floats
    name: str | None


def bend_edges(mesh: RoofMesh, pieces: Pieces, steps: Sequence[Step], roof: Roof) -> tuple[BendEdge, ...]:
    """Every convex edge of the solid: folds of the surface, its rim, and the corners of the walls below."""
    rims = [*_rims(mesh, steps, roof)]
    found = [*_folds(mesh, pieces, roof), *rims, *_wall_corners(mesh, rims)]
    return tuple(
        part
        for edge in found
        for part in _open_parts(
            edge,
            pieces.hidden(edge.start, edge.along * edge.length, reach=0.0, depth=pieces.give + _SHORT),
        )
    )


def saddles(mesh: RoofMesh, pieces: Pieces, edges: Iterable[BendEdge]) -> Floats:
    """Points at which a shortest path can bend although they are inside no convex edge, shape (v, 3). [m]

    A path never bends at a corner all of whose edges are convex, since it would slip off. What is left are ends of
    concave edges and points where a convex edge runs into another part of the building.
    """
    points = [*_concave_ends(mesh, pieces.give), *_rough_corners(mesh), *_touched(mesh, pieces), *_run_ins(mesh, edges)]
    return _open_and_once(np.array(points).reshape(-1, 3), pieces)


def fold(mesh: RoofMesh, side: Side, give: float) -> int:
    """+1 where the surface folds down across a shared side (ridge, hip), -1 where up (valley), 0 where flat."""
    across = mesh.corners[[k for ring in mesh.rings[side.across] for k in ring]]
    over = (across - mesh.corners[side.i]) @ mesh.normals[side.facet]
    if np.abs(over).max() <= give:
        return 0
    return 1 if over[np.abs(over).argmax()] < 0.0 else -1


def _folds(mesh: RoofMesh, pieces: Pieces, roof: Roof) -> Iterator[BendEdge]:
    for side in mesh.sides:
        if side.across > side.facet and fold(mesh, side, pieces.give) > 0:
            a, b = mesh.corners[side.i], mesh.corners[side.j]
            yield _edge(a, b, mesh.normals[side.facet], mesh.normals[side.across], _name(roof, a, b))


def _rims(mesh: RoofMesh, steps: Sequence[Step], roof: Roof) -> Iterator[BendEdge]:
    """Sides that nothing goes on from, save where they run along the foot of a wall."""
    for side in mesh.sides:
        if side.across < 0:
            a, b = mesh.corners[side.i], mesh.corners[side.j]
            edge = _edge(a, b, mesh.normals[side.facet], _outward(a, b), _name(roof, a, b))
            feet = [step for step in steps if step.lower == side and step.hides]
            shares = [
                (float((step.start - a) @ edge.along) / edge.length, float((step.end - a) @ edge.along) / edge.length)
                for step in feet
            ]
            yield from _open_parts(edge, shares)


def _wall_corners(mesh: RoofMesh, rims: Sequence[BendEdge]) -> Iterator[BendEdge]:
    """Upright edges under the corners of the rim that stand out in plan, named after the rims of their walls."""
    walls = np.array([rim.right for rim in rims]).reshape(-1, 3)
    ends = np.array([[r.start[:2] for r in rims], [(r.start + r.length * r.along)[:2] for r in rims]]).reshape(2, -1, 2)
    for corner in wall_corners(mesh):
        length = min(corner.top[2] - corner.bottom, DEEP)
        names = [_rim_over(rims, walls, ends, corner.top, normal) for normal in (corner.first, corner.second)]
        name = "wall corner at " + " and ".join(n for n in names if n) if any(names) else None
        if length > _SHORT:
            yield BendEdge(corner.top, np.array([0.0, 0.0, -1.0]), length, corner.second, corner.first, name)


def _rim_over(rims: Sequence[BendEdge], walls: Floats, ends: Floats, point: Floats, normal: Floats) -> str | None:
    """Name of the rim that ends over a point, on the wall with a normal."""
    near = np.linalg.norm(ends - point[:2], axis=2).min(axis=0) < SNAP
    over = np.flatnonzero(near & (np.abs(walls - normal).max(axis=1) < 1e-5))
    return rims[over[0]].name if len(over) else None


def _rim_corners(mesh: RoofMesh) -> Iterator[tuple[Floats, Floats, Floats]]:
    """Corner, the rim's corner before it and the one after it, for every way the rim passes through it."""
    into, out = defaultdict(list), defaultdict(list)
    for side in mesh.sides:
        if side.across < 0:
            into[side.j].append(side.i)
            out[side.i].append(side.j)
    for k, befores in into.items():
        for i in befores:
            for j in out[k]:
                yield mesh.corners[k], mesh.corners[i], mesh.corners[j]


def _plan_turn(a: Floats, b: Floats, c: Floats) -> float:
    """Angle by which the plan line a-b-c turns left at b. [rad]"""
    (px, py), (qx, qy) = (b - a)[:2], (c - b)[:2]
    return float(np.arctan2(px * qy - py * qx, px * qx + py * qy))


def _edge(a: Floats, b: Floats, left: Floats, right: Floats, name: str | None) -> BendEdge:
    length = float(np.linalg.norm(b - a))
    return BendEdge(a, (b - a) / length, length, left, right, name)


def _outward(a: Floats, b: Floats) -> Floats:
    """Level unit normal of the wall under a rim a-b that has its facet on the left."""
    x, y = (b - a)[:2] / np.hypot(*(b - a)[:2])
    return np.array([y, -x, 0.0])


def _name(roof: Roof, a: Floats, b: Floats) -> str | None:
    """Name of the roof's edge, or else of the opening, that the middle of a-b lies on."""
    middle = 0.5 * (a + b)
    for edge in roof.edges:
        if _away(middle, edge.start, edge.end) < _NEAR:
            return edge.name
    for opening in roof.openings:
        ring = np.asarray(opening.ring, float)
        if any(_away(middle, p, q) < _NEAR for p, q in zip(ring, np.roll(ring, -1, axis=0), strict=True)):
            return opening.name
    return None


def _away(point: Floats, a: Sequence[float] | Floats, b: Sequence[float] | Floats) -> float:
    """Distance of a point from the segment a-b, in plain Python, which is quicker for one."""
    x, y, z = (float(p) - float(q) for p, q in zip(point, a, strict=True))
    u, v, w = (float(p) - float(q) for p, q in zip(b, a, strict=True))
    share = min(max((x * u + y * v + z * w) / (u * u + v * v + w * w), 0.0), 1.0)
    return float(hypot(x - share * u, y - share * v, z - share * w))


def _open_parts(edge: BendEdge, hidden: list[tuple[float, float]]) -> Iterator[BendEdge]:
    """What is left of an edge without some stretches of it, given as shares."""
    at = 0.0
    for low, high in [*sorted(hidden), (1.0, 1.0)]:
        if (low - at) * edge.length > _SHORT:
            start = edge.start + at * edge.length * edge.along
            yield replace(edge, start=start, length=(low - at) * edge.length)
        at = max(at, high)


def _concave_ends(mesh: RoofMesh, give: float) -> Iterator[Floats]:
    """Both ends of every valley, and the corners of the rim that stand in."""
    for side in mesh.sides:
        if side.across > side.facet and fold(mesh, side, give) < 0:
            yield mesh.corners[side.i]
            yield mesh.corners[side.j]
    for corner, before, after in _rim_corners(mesh):
        if _plan_turn(before, corner, after) < -_TURN:
            yield corner


def _rough_corners(mesh: RoofMesh) -> Iterator[Floats]:
    """Ends of short sides of a roof whose facets are not quite flat: some of them are passed over two edges at once."""
    for side in mesh.sides if mesh.roughness > GIVE else ():
        if np.linalg.norm(mesh.corners[side.j] - mesh.corners[side.i]) < _STUB:
            yield mesh.corners[side.i]
            yield mesh.corners[side.j]


def _touched(mesh: RoofMesh, pieces: Pieces) -> Iterator[Floats]:
    """Corners against which another facet stands, and the points where walls under corners meet one."""
    meets = defaultdict(set)
    for side in mesh.sides:
        meets[side.i].add(side.facet)
        meets[side.j].add(side.facet)
    at, beside = pieces.beside(mesh.corners[:, :2], _BESIDE)
    for k, piece in zip(at.tolist(), beside.tolist(), strict=True):
        if pieces.facets[piece] >= 0 and int(pieces.facets[piece]) not in meets[k]:
            corner = mesh.corners[k]
            height = float(pieces.planes[piece] @ [*corner[:2], 1.0])
            yield np.array([*corner[:2], min(corner[2], height)])
            yield corner


def _run_ins(mesh: RoofMesh, edges: Iterable[BendEdge]) -> Iterator[Floats]:
    """Ends of the open parts of edges that another part of the building cuts short."""
    bottom = mesh.corners[:, 2].min() - 0.5 * DEEP
    for edge in edges:
        for end in (edge.start, edge.start + edge.length * edge.along):
            if end[2] > bottom and np.linalg.norm(mesh.corners - end, axis=1).min() > _SHORT:
                yield end


def _open_and_once(points: Floats, pieces: Pieces) -> Floats:
    """The points that do not lie deep in the solid, without repeats."""
    if not len(points):
        return points
    points = points[pieces.heights(points[:, :2]) - points[:, 2] < pieces.give + _BURIED]
    kept = np.zeros((0, 3))
    for point in points:
        if not len(kept) or np.linalg.norm(kept - point, axis=1).min() > _SHORT:
            kept = np.vstack([kept, point])
    return kept
