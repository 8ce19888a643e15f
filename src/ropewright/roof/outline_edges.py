"""From the faces of a skeleton to facets and typed, named edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ropewright.roof.outline_names import compass, numbered
from ropewright.roof.outline_rings import Points, inside_ring, signed_area
from ropewright.roof.skeleton import Skeleton, SkeletonError, trace_rings
from ropewright.roof.surface import Edge, EdgeType, Facet

__all__ = ["Slope", "facets_and_edges", "nested"]

#: A crease that climbs less than this per metre is level. [-]
LEVEL = 1e-9
#: Neighbours whose directions make a sine below this face one way; the skeleton has laid them on one line. [-]
ONE_WAY = 2e-7


@dataclass(frozen=True, slots=True)
class Slope:
    """One side of the outline: inward normal in plan, rise per metre (of a gable: inf)."""

    nx: float
    ny: float
    rise: float
    courtyard: bool = False
    upper: bool = False  #: above a break of its side's slope

    @property
    def is_gable(self) -> bool:
        """True if a plumb wall stands over it."""
        return self.rise == np.inf

    @property
    def facing(self) -> str:
        """Compass point to which it falls."""
        place = "courtyard " if self.courtyard else ""
        return f"{place}{compass(-self.nx, -self.ny)}{' upper' if self.upper else ''}"


@dataclass(frozen=True, slots=True)
class _Link:
    """A directed edge with the facet of group `left` on its left; `right` is the other group, None for an eave."""

    start: int
    end: int
    left: int
    right: int | None


def facets_and_edges(
    skeleton: Skeleton, slopes: Sequence[Slope], ring_sizes: Sequence[int], eave_height: float
) -> tuple[tuple[Facet, ...], tuple[Edge, ...]]:
    """Facets and edges of the roof over a skeleton.

    Parameters
    ----------
    skeleton : Skeleton
    slopes : sequence of Slope
        What each side of the skeleton is.
    ring_sizes : sequence of int
        How many sides each ring has.
    eave_height : float
        Height of the outline. [m]
    """
    group = _groups(skeleton, slopes)
    links = _thinned(_links(skeleton, slopes, group, ring_sizes), skeleton)
    points = np.array(skeleton.nodes) + np.array((0.0, 0.0, eave_height))
    plan = [(x, y) for x, y, _ in skeleton.nodes]
    rings: list[tuple[int, tuple[int, ...], tuple[tuple[int, ...], ...]]] = []
    around: dict[int, list[tuple[int, int]]] = {label: [] for label in sorted(set(group)) if not slopes[label].is_gable}
    for link in links:
        around[link.left].append((link.start, link.end))
        if link.right in around:
            around[link.right].append((link.end, link.start))
    for label, own in around.items():
        rings += [(label, outer, holes) for outer, holes in nested(trace_rings(own, plan), points)]
    ids = numbered([slopes[label].facing for label, _, _ in rings])
    facets = tuple(
        Facet(name, points[list(outer)], tuple(points[list(hole)] for hole in holes))
        for name, (_, outer, holes) in zip(ids, rings, strict=True)
    )
    owner = {}  # facet on the left of each directed edge
    for name, (_, outer, holes) in zip(ids, rings, strict=True):
        for ring in (outer, *holes):
            for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
                owner[start, end] = name
    return facets, _edges(links, slopes, points, owner)


def _groups(skeleton: Skeleton, slopes: Sequence[Slope]) -> list[int]:
    """First side of the slope that each side belongs to: two sides in one line either side of a wing share a slope."""
    group = list(range(len(slopes)))

    def root(side: int) -> int:
        while group[side] != side:
            side = group[side]
        return side

    for arc in skeleton.arcs:
        a, b = slopes[arc.left], slopes[arc.right]
        if not (a.is_gable or b.is_gable) and _one_plane(a, b):
            low, high = sorted((root(arc.left), root(arc.right)))
            group[high] = low
    return [root(side) for side in range(len(slopes))]


def _one_plane(a: Slope, b: Slope) -> bool:
    """Tell whether two slopes that share an arc are one: slopes of one pitch meet in a line only if they are."""
    return a.nx * b.nx + a.ny * b.ny > 0.0 and abs(a.nx * b.ny - a.ny * b.nx) < ONE_WAY and a.rise == b.rise


def _links(skeleton: Skeleton, slopes: Sequence[Slope], group: Sequence[int], ring_sizes: Sequence[int]) -> list[_Link]:
    """Eaves, then creases and the edges along gables, each once and with a facet on its left."""
    links, first = [], 0
    for size in ring_sizes:
        links += [
            _Link(first + i, first + (i + 1) % size, group[first + i], None)
            for i in range(size)
            if not slopes[first + i].is_gable
        ]
        first += size
    for arc in skeleton.arcs:
        left, right = group[arc.left], group[arc.right]
        if left == right or (slopes[left].is_gable and slopes[right].is_gable):
            continue
        if slopes[left].is_gable:
            links.append(_Link(arc.end, arc.start, right, left))
        else:
            links.append(_Link(arc.start, arc.end, left, right))
    return links


def _thinned(links: list[_Link], skeleton: Skeleton) -> list[_Link]:
    """Links in one line that divide the same two slopes made one; nothing else meets where they joined."""
    meeting: dict[int, list[_Link]] = {}
    for link in links:
        meeting.setdefault(link.start, []).append(link)
        meeting.setdefault(link.end, []).append(link)
    kept = dict.fromkeys(links)
    for node, pair in meeting.items():
        if len(pair) != 2:
            continue
        a, b = pair
        if {a.left, a.right} != {b.left, b.right} or not _straight(skeleton, node, a, b):
            continue
        b_along = b if b.left == a.left else _Link(b.end, b.start, b.right, b.left)  # type: ignore[arg-type]
        if a.end == node == b_along.start:
            whole = _Link(a.start, b_along.end, a.left, a.right)
        elif a.start == node == b_along.end:
            whole = _Link(b_along.start, a.end, a.left, a.right)
        else:
            continue
        for old in (a, b):
            del kept[old]
            for end in (old.start, old.end):
                if end != node:
                    meeting[end] = [whole if link is old else link for link in meeting[end]]
        kept[whole] = None
    return list(kept)


def _straight(skeleton: Skeleton, node: int, a: _Link, b: _Link) -> bool:
    here = np.array(skeleton.nodes[node])
    one = np.array(skeleton.nodes[a.start if a.end == node else a.end]) - here
    two = np.array(skeleton.nodes[b.start if b.end == node else b.end]) - here
    return float(np.linalg.norm(np.cross(one, two))) < 1e-9 * float(np.linalg.norm(one) * np.linalg.norm(two))


def nested(
    rings: Sequence[tuple[int, ...]], points: Points
) -> list[tuple[tuple[int, ...], tuple[tuple[int, ...], ...]]]:
    """Outer rings, each with the holes that lie in it."""
    if len(rings) == 1:
        return [(rings[0], ())]
    areas = [signed_area(points[list(ring)]) for ring in rings]
    outers = [ring for ring, area in zip(rings, areas, strict=True) if area > 0.0]
    holes = [ring for ring, area in zip(rings, areas, strict=True) if area < 0.0]
    if len(outers) == 1:
        return [(outers[0], tuple(holes))]
    # a corner of a hole may lie on the ring round it, the middle of a side does not
    spots = [points[list(hole[:2]), :2].mean(axis=0, keepdims=True) for hole in holes]
    return [
        (
            outer,
            tuple(
                hole for hole, spot in zip(holes, spots, strict=True) if inside_ring(points[list(outer), :2], spot)[0]
            ),
        )
        for outer in outers
    ]


def _edges(
    links: Sequence[_Link], slopes: Sequence[Slope], points: Points, owner: dict[tuple[int, int], str]
) -> tuple[Edge, ...]:
    described = []
    for link in links:
        start, end = points[link.start], points[link.end]
        if (link.start, link.end) not in owner:
            raise SkeletonError("leave a facet that is only a line", (link.left,), (float(start[0]), float(start[1])))
        left, right = owner[link.start, link.end], owner.get((link.end, link.start))
        if link.right is None:
            kind, base = EdgeType.EAVE, f"{left} eave"
        elif slopes[link.right].is_gable:
            kind, base = _gable_edge(slopes[link.left], slopes[link.right], start, end)
        else:
            kind = _crease(slopes[link.left], slopes[link.right], start, end)
            base = _crease_name(kind, start, end)
            if kind is EdgeType.BREAK and right is not None and slopes[link.left].upper != slopes[link.right].upper:
                base = f"{right if slopes[link.left].upper else left} break"
        facets = (left,) if right is None else (left, right)
        described.append((kind, base, start, end, facets))
    names = _names(described)
    return tuple(
        Edge(name, kind, start, end, facets)
        for name, (kind, _, start, end, facets) in zip(names, described, strict=True)
    )


def _gable_edge(slope: Slope, gable: Slope, start: Points, end: Points) -> tuple[EdgeType, str]:
    """Edge of a facet along the plumb wall of a gable: one falls over it only from in front of the wall."""
    along = end - start
    facing = gable.facing
    if -along[1] * gable.nx + along[0] * gable.ny < 0.0:  # the facet on the left lies behind the wall, so below its top
        return EdgeType.WALL, f"{facing} wall"
    if abs(along[2]) <= LEVEL * float(np.linalg.norm(along)):
        is_low = slope.nx * gable.nx + slope.ny * gable.ny > 0.0  # the facet rises away from it
        kind = EdgeType.EAVE if is_low else EdgeType.HIGH_EAVE
        return kind, f"{facing} {kind}"
    return EdgeType.RAKE, f"{facing} rake"


def _crease(left: Slope, right: Slope, start: Points, end: Points) -> EdgeType:
    """Type of the crease between two slopes, from what a walker does who steps off it to either side."""
    along = end - start
    x, y = -along[1], along[0]  # to the left in plan
    size = float(np.hypot(x, y))
    climb_left = (left.nx * x + left.ny * y) * left.rise / size
    climb_right = -(right.nx * x + right.ny * y) * right.rise / size
    if abs(along[2]) > LEVEL * float(np.linalg.norm(along)):
        return EdgeType.HIP if climb_left + climb_right < 0.0 else EdgeType.VALLEY
    return EdgeType.RIDGE if climb_left < 0.0 and climb_right < 0.0 else EdgeType.BREAK


def _crease_name(kind: EdgeType, start: Points, end: Points) -> str:
    """Hips and valleys by the way they fall."""
    down = start - end if end[2] >= start[2] else end - start
    if kind in (EdgeType.HIP, EdgeType.VALLEY) and abs(down[2]) > LEVEL:
        return f"{compass(down[0], down[1])} {kind}"
    return str(kind)


_Described = tuple[EdgeType, str, Points, Points, tuple[str, ...]]


def _names(described: Sequence[_Described]) -> list[str]:
    """Make names unique: rakes by their slope where there are two, the highest (then longest) ridge as the main one."""
    bases = [base for _, base, _, _, _ in described]
    names = [
        f"{base} ({facets[0]} side)" if kind is EdgeType.RAKE and bases.count(base) > 1 else base
        for kind, base, _, _, facets in described
    ]
    ridges = [i for i, (kind, *_) in enumerate(described) if kind is EdgeType.RIDGE]
    ridges.sort(key=lambda i: _rank(described[i]))
    for rank, i in enumerate(ridges):
        names[i] = "main ridge" if rank == 0 else f"ridge {rank + 1}"
    return numbered(names)


def _rank(ridge: _Described) -> tuple[float, float]:
    """Sort key that puts the highest ridge first and, of those equally high, the longest."""
    _, _, start, end, _ = ridge
    return -round(float(start[2]), 6), -float(np.linalg.norm(end - start))
