"""Random outlines, and a second skeleton to hold ours against: CGAL's, through the compas_cgal wrapper.

Two things about the wrapper were found by trying: angle i belongs to the side *into* point i, and the floor comes back
among the faces.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LinearRing, Polygon, box
from shapely.geometry.polygon import orient
from shapely.ops import unary_union

from ropewright.roof.skeleton import straight_skeleton

Floats = NDArray[np.float64]
Ring = list[tuple[float, float]]

KINDS = (
    "star",
    "square",
    "square mixed",
    "star hole",
    "square hole",
    "star gable",
    "square gable",
    "star hole gable",
    "square hole gable",
    "star walls",
    "square walls",
)


@dataclass(frozen=True)
class Case:
    """An outline with holes and one pitch a side; 90 degrees is a gable or a wall."""

    kind: str
    seed: int
    rings: tuple[Ring, ...]
    pitches: tuple[float, ...]

    @property
    def polygon(self) -> Polygon:
        return Polygon(self.rings[0], self.rings[1:])

    @property
    def speeds(self) -> list[float]:
        return [0.0 if pitch == 90.0 else 1.0 / math.tan(math.radians(pitch)) for pitch in self.pitches]


def make_case(kind: str, seed: int) -> Case:
    """One random case, the same for the same kind and seed."""
    rng = random.Random(f"{kind} {seed}")
    outer = _star(rng, 0.0, 0.0, 4.0, 10.0) if kind.startswith("star") else _square_plan(rng)
    shape = Polygon(outer)
    if "hole" in kind and shape.is_valid:
        shape = _with_hole(rng, shape, square=kind.startswith("square"))
    shape = orient(shape)
    rings = tuple(list(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors))
    count = sum(len(ring) for ring in rings)
    if kind == "square":
        pitches = [45.0] * count
    elif kind.startswith("square"):
        pitches = [rng.choice((30.0, 40.0, 45.0)) for _ in range(count)] if "mixed" in kind else [40.0] * count
    else:
        pitches = [rng.uniform(20.0, 60.0) for _ in range(count)]
    if "gable" in kind:
        for side in _gable_places(rng, rings[0]):
            pitches[side] = 90.0
    if "walls" in kind:  # beside inner corners, round a corner, wherever
        for side in rng.sample(range(len(rings[0])), max(1, len(rings[0]) // 3)):
            pitches[side] = 90.0
    return Case(kind, seed, rings, tuple(pitches))


def _star(rng: random.Random, x: float, y: float, low: float, high: float) -> Ring:
    count = rng.randint(3, 14)
    turns = sorted(rng.uniform(0.0, math.tau) for _ in range(count))
    return [(x + r * math.cos(a), y + r * math.sin(a)) for a in turns for r in (rng.uniform(low, high),)]


def _square_plan(rng: random.Random) -> Ring:
    """Outline of a few rectangles on a grid of half metres that hang together."""
    shape = box(0, 0, rng.randint(6, 24) / 2, rng.randint(6, 24) / 2)
    for _ in range(rng.randint(0, 4)):
        x0, y0, x1, y1 = shape.bounds
        x, y = rng.randint(int(2 * x0) - 4, int(2 * x1)) / 2, rng.randint(int(2 * y0) - 4, int(2 * y1)) / 2
        wider = unary_union([shape, box(x, y, x + rng.randint(2, 16) / 2, y + rng.randint(2, 16) / 2)])
        if wider.geom_type == "Polygon" and not wider.interiors and wider.exterior.is_simple:
            shape = wider
    return list(shape.simplify(0.0).exterior.coords)[:-1]


def _with_hole(rng: random.Random, shape: Polygon, *, square: bool) -> Polygon:
    inner = shape.buffer(-0.5)
    for _ in range(50):
        x0, y0, x1, y1 = shape.bounds
        x, y = rng.uniform(x0, x1), rng.uniform(y0, y1)
        if square:
            x, y = round(2 * x) / 2, round(2 * y) / 2
            hole = box(x, y, x + rng.randint(1, 6) / 2, y + rng.randint(1, 6) / 2)
        else:
            hole = Polygon(_star(rng, x, y, 0.4, 1.6))
        if hole.is_valid and inner.contains(hole):
            return shape.difference(hole)
    return shape


def _gable_places(rng: random.Random, ring: Ring) -> list[int]:
    """Return some sides between two outer corners, no two of them neighbours."""
    count, chosen = len(ring), []
    convex = [
        (ring[i][0] - ring[i - 1][0]) * (ring[(i + 1) % count][1] - ring[i][1])
        > (ring[i][1] - ring[i - 1][1]) * (ring[(i + 1) % count][0] - ring[i][0])
        for i in range(count)
    ]
    for side in rng.sample(range(count), count):
        beside = {(side - 1) % count, (side + 1) % count}
        if convex[side] and convex[(side + 1) % count] and not beside & set(chosen) and len(chosen) < 3:
            chosen.append(side)
    return chosen[: max(1, (count - 1) // 2 - 1)]


def is_usable(case: Case) -> bool:
    """Whether the outline is simple and no side tiny: what a person could mean as a building."""
    polygon = case.polygon
    if not polygon.is_valid or not all(LinearRing(ring).is_simple for ring in case.rings):
        return False
    sides = [math.dist(a, b) for ring in case.rings for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    return polygon.area > 1.0 and min(sides) > 0.05


@dataclass(frozen=True)
class Faces:
    """Polygons in space, each with the plane through it."""

    rings: list[Floats]

    def heights(self, xy: Floats) -> Floats:
        """Height of the highest face over each point of the plan, nan where there is none."""
        from shapely import contains_xy

        found = np.full(len(xy), np.nan)
        for ring in self.rings:
            normal = np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)
            plan = Polygon(ring[:, :2])
            if abs(normal[2]) < 1e-9 or not plan.is_valid:
                continue
            inside = contains_xy(plan, xy[:, 0], xy[:, 1])
            z = ring[:, 2].mean() - (xy - ring[:, :2].mean(axis=0)) @ normal[:2] / normal[2]
            found[inside] = np.fmax(found[inside], z[inside])
        return found

    @property
    def plan_area(self) -> float:
        return sum(Polygon(ring[:, :2]).area for ring in self.rings)


def our_faces(case: Case) -> Faces:
    """Faces of our skeleton."""
    skeleton = straight_skeleton(case.rings, case.speeds)
    nodes = np.array(skeleton.nodes)
    return Faces([nodes[list(ring)] for face in skeleton.faces for ring in face])


def cgal_faces(case: Case) -> Faces:
    """Faces of the other skeleton, without the floor and without walls."""
    from compas_cgal import _straight_skeleton_2

    contours = [np.array([(x, y, 0.0) for x, y in ring], order="C") for ring in case.rings]
    angles, first = [], 0
    for ring in case.rings:
        own = list(case.pitches[first : first + len(ring)])
        angles.append([own[-1], *own[:-1]])  # of the side into each point
        first += len(ring)
    points, faces = _straight_skeleton_2.extrude_straight_skeleton(contours[0], contours[1:], angles, True, -1.0)
    points = np.asarray(points)
    rings = [points[list(face)] for face in faces]
    return Faces([ring for ring in rings if np.abs(ring[:, 2]).max() > 1e-9 and abs(_normal_z(ring)) > 1e-9])


def _normal_z(ring: Floats) -> float:
    return float(np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)[2])


def sample(case: Case, count: int = 60) -> Floats:
    """Random points inside the outline."""
    from shapely import contains_xy

    rng = np.random.default_rng(case.seed)
    x0, y0, x1, y1 = case.polygon.bounds
    xy = rng.uniform((x0, y0), (x1, y1), (count * 8, 2))
    return xy[contains_xy(case.polygon, xy[:, 0], xy[:, 1])][:count]


def planes(case: Case) -> list[tuple[float, float, float]]:
    """Numbers a, b, c of the plane z = a x + b y + c of every side that slopes."""
    found, side = [], 0
    for ring in case.rings:
        for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
            pitch = case.pitches[side]
            side += 1
            if pitch < 90.0:
                rise = math.tan(math.radians(pitch)) / math.hypot(x1 - x0, y1 - y0)
                a, b = -(y1 - y0) * rise, (x1 - x0) * rise
                found.append((a, b, -a * x0 - b * y0))
    return found


def off_planes(case: Case, faces: Faces) -> float:
    """Greatest distance in height of a face from the plane of the side that it fits best, in metres."""
    asked = np.array(planes(case))
    worst = 0.0
    for ring in faces.rings:
        off = np.abs(asked[:, :2] @ ring[:, :2].T + asked[:, 2:] - ring[:, 2]).max(axis=1)
        worst = max(worst, float(off.min()))
    return worst


def has_two_roofs(case: Case) -> bool:
    """Whether two slopes of unlike pitch come to lie in one line, from where either may go on over the other."""
    skeleton = straight_skeleton(case.rings, case.speeds)
    vectors = [
        (x1 - x0, y1 - y0) for ring in case.rings for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True)
    ]
    for arc in skeleton.arcs:
        (ax, ay), (bx, by) = vectors[arc.left], vectors[arc.right]
        parallel = abs(ax * by - ay * bx) < 1e-9 and ax * bx + ay * by > 0.0
        if parallel and case.pitches[arc.left] != case.pitches[arc.right]:
            return True
    return False


def compare(case: Case) -> str:
    """``equal`` to 1e-6 m, or why not, where the reason can be shown; else ``DIFFERENT``.

    ``merged``: the wrapper lays two faces of nearly one plane together, so that it has fewer faces than sides slope and
    one of them is out of plane. ``two roofs``: either of two roofs is right, and which of them comes out of the wrapper
    changes with the last digits of the outline; ours is the lower. Where a slope comes to
    lie in one line with a wall, ours goes on over the wall.
    """
    ours, theirs = our_faces(case), cgal_faces(case)
    if len(ours.rings) != len(planes(case)) or off_planes(case, ours) > 1e-7:
        return "DIFFERENT"
    if abs(ours.plan_area - case.polygon.area) > 1e-7 or any(not Polygon(r[:, :2]).is_valid for r in ours.rings):
        return "DIFFERENT"
    xy = sample(case)
    one, other = ours.heights(xy), theirs.heights(xy)
    if np.isnan(one).any():
        return "DIFFERENT"
    if not np.isnan(other).any() and np.abs(one - other).max() < 1e-6:
        return "equal"
    if len(theirs.rings) < len(planes(case)) and off_planes(case, theirs) > 1e-6:
        return "merged"
    if has_two_roofs(case) and (one <= other + 1e-6).all():
        return "two roofs"
    return "DIFFERENT"
