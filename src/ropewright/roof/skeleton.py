"""Weighted straight skeleton of an outline with holes: the plan of the roof whose slopes rise from its sides.

Each side moves inward by its own speed, the level distance its slope covers while it rises one metre:
1 / tan(pitch). Time is height. A gable is a side that stands still: speed 0.

Derived from the definition (Aichholzer and Aurenhammer 1996 for equal speeds, from memory); the work is done by
`wavefront`. Pure Python: outlines are small, and numpy would cost more than it saves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ropewright.roof.wavefront import Wavefront
from ropewright.roof.wavefront_parts import Arc, Point, Side, SkeletonError

__all__ = ["Arc", "Skeleton", "SkeletonError", "straight_skeleton"]

#: Sides whose directions differ by less are laid exactly parallel (2 micrometres on 20 m). [rad]
ALIGN = 1e-7
#: Sides that face the same way and lie this near one line are laid on it. [m]
IN_LINE = 1e-6
#: Shorter arcs are contracted to a node; facets are out of plane by no more than this where that was done. [m]
SHORTEST = 1e-7

Node = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Skeleton:
    """Nodes, creases and faces of the roof over an outline.

    Parameters
    ----------
    nodes : tuple of (x, y, h)
        Corners of all rings in order at height 0, then the inner nodes by height. [m]
    arcs : tuple of Arc
        Creases between the faces of two sides; one of them may be a gable, which has no face.
    faces : tuple of tuple of tuple of int
        For each side, and then for each side that changed its speed as it is after that, the rings of its face as
        indices of nodes, counterclockwise; none for a gable.
    """

    nodes: tuple[tuple[float, float, float], ...]
    arcs: tuple[Arc, ...]
    faces: tuple[tuple[tuple[int, ...], ...], ...]


def straight_skeleton(
    rings: Sequence[Sequence[Point]], speeds: Sequence[float], later: Sequence[tuple[int, float, float]] = ()
) -> Skeleton:
    """Weighted straight skeleton of the inside of one or more rings.

    Parameters
    ----------
    rings : sequence of rings of (x, y)
        Corners with the inside on the left: the outline counterclockwise, holes clockwise; rings neither cross nor
        touch themselves or each other. [m]
    speeds : sequence of float
        Level distance covered per metre of rise, 0 or more, for each side through all rings; side i of a ring runs
        from its corner i to i + 1. [-]
    later : sequence of (int, float, float)
        Sides that change their speed once: which, at what height above 0 [m], and the speed from there on, above 0. A
        gable that goes on as a hip from some height, a half-hip, is one.

    Returns
    -------
    Skeleton

    Raises
    ------
    SkeletonError
        If the sides leave no single roof: neighbours in one line with unlike speeds, nothing that closes the middle.
    ValueError
        If there are not as many speeds as sides, one is negative or not finite, or a change is out of its range.

    Examples
    --------
    A hip roof at 45 degrees over 10 m x 6 m has its ridge 3 m up, from 3 m to 7 m:

    >>> hip = straight_skeleton([[(0, 0), (10, 0), (10, 6), (0, 6)]], [1, 1, 1, 1])
    >>> sorted(hip.nodes[4:])
    [(3.0, 3.0, 3.0), (7.0, 3.0, 3.0)]
    >>> [len(face[0]) for face in hip.faces]
    [4, 3, 4, 3]
    """
    count = sum(len(ring) for ring in rings)
    if len(speeds) != count:
        raise ValueError(f"one speed per side: {count} sides, got {len(speeds)} speeds")
    if not all(0.0 <= speed < math.inf for speed in speeds):
        raise ValueError("speeds must be finite and 0 or more")
    if not all(0 <= side < count and 0.0 < h < math.inf and 0.0 < speed < math.inf for side, h, speed in later):
        raise ValueError("a change needs a side, a height above 0 and a finite speed above 0")
    # a frame in the middle of the outline keeps far-off survey coordinates from eating the digits
    x0, y0 = _middle(rings)
    local = [[(float(x) - x0, float(y) - y0) for x, y in ring] for ring in rings]
    reach = max(max(abs(x), abs(y)) for ring in local for x, y in ring)
    sides, corners = aligned_sides(local, speeds)
    try:
        front = Wavefront(sides, corners, reach, [(height, side, speed) for side, height, speed in later])
        front.run()
        nodes, arcs = _contracted(front)
        faces = _faces(front.sides, nodes, arcs, [len(ring) for ring in rings])
    except SkeletonError as error:
        if error.point is None:
            raise
        raise SkeletonError(error.reason, error.sides, (error.point[0] + x0, error.point[1] + y0)) from error
    return Skeleton(tuple((x + x0, y + y0, h) for x, y, h in nodes), tuple(arcs), faces)


def _middle(rings: Sequence[Sequence[Point]]) -> Point:
    xs = [float(x) for ring in rings for x, _ in ring]
    ys = [float(y) for ring in rings for _, y in ring]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def aligned_sides(rings: Sequence[Sequence[Point]], speeds: Sequence[float]) -> tuple[list[Side], list[list[Point]]]:
    """Lines of the sides, near-parallel ones made parallel and near-equal ones equal, and the corners where they meet.

    Two lines that are parallel but for the last digits would meet kilometres away; a ridge between them then has no
    definite end. Each line keeps the middle of its side and takes the direction of the longest side near-parallel to
    it. Two sides that lie in one line but for the last digits, as those either side of a wing do, move as one.
    """
    vectors = [
        (ring[(i + 1) % len(ring)][0] - x, ring[(i + 1) % len(ring)][1] - y)
        for ring in rings
        for i, (x, y) in enumerate(ring)
    ]
    directions = _aligned(vectors)
    starts = [corner for ring in rings for corner in ring]
    sides = [
        Side(dx, dy, dx * (y + vy / 2) - dy * (x + vx / 2), float(speed))
        for (dx, dy), (vx, vy), (x, y), speed in zip(directions, vectors, starts, speeds, strict=True)
    ]
    sides = _in_line(sides, [math.hypot(*vector) for vector in vectors])
    corners, first = [], 0
    for ring in rings:
        n = len(ring)
        corners.append([_corner(sides[first + (i - 1) % n], sides[first + i], ring[i]) for i in range(n)])
        first += n
    return sides, corners


def _in_line(sides: Sequence[Side], lengths: Sequence[float]) -> list[Side]:
    """Sides, each on the line of the longest that lies in one line with it and moves as fast."""
    leaders: dict[tuple[float, float, float], list[Side]] = {}
    found = list(sides)
    for i in sorted(range(len(sides)), key=lambda i: -lengths[i]):
        side = sides[i]
        rivals = leaders.setdefault((side.dx, side.dy, side.s), [])
        for rival in rivals:
            if abs(rival.c - side.c) < IN_LINE:
                found[i] = rival
                break
        else:
            rivals.append(side)
    return found


def _aligned(vectors: Sequence[Point]) -> list[Point]:
    """Return unit directions, each taken from the longest vector that is parallel to it within `ALIGN`."""
    units = [(x / math.hypot(x, y), y / math.hypot(x, y)) for x, y in vectors]
    leaders: list[Point] = []
    found: list[Point] = [(0.0, 0.0)] * len(vectors)
    for i in sorted(range(len(vectors)), key=lambda i: -math.hypot(*vectors[i])):
        ux, uy = units[i]
        for lx, ly in leaders:
            if abs(ux * ly - uy * lx) < ALIGN:
                sign = 1.0 if ux * lx + uy * ly > 0.0 else -1.0
                found[i] = (sign * lx, sign * ly)
                break
        else:
            leaders.append((ux, uy))
            found[i] = (ux, uy)
    return found


def _corner(a: Side, b: Side, given: Point) -> Point:
    """Where two sides meet; the corner as given if that is the same but for the last digits, or if they don't cross."""
    sine = a.dx * b.dy - a.dy * b.dx
    if abs(sine) < ALIGN:
        return given
    x, y = (a.c * b.dx - b.c * a.dx) / sine, (a.c * b.dy - b.c * a.dy) / sine
    same = math.hypot(x - given[0], y - given[1]) < 1e-11 * (1.0 + abs(x) + abs(y))
    return given if same else (x, y)


def _contracted(front: Wavefront) -> tuple[list[Node], list[Arc]]:
    """Nodes and arcs without the arcs too short to be seen, which sides that meet almost in one point leave."""
    same = list(range(len(front.nodes)))

    def root(node: int) -> int:
        while same[node] != node:
            node = same[node]
        return node

    for arc in front.arcs:
        if math.dist(front.nodes[arc.start], front.nodes[arc.end]) < SHORTEST:
            low, high = sorted((root(arc.start), root(arc.end)))
            same[high] = low  # the corners of the outline come first and stay
    kept = [node for node in range(len(same)) if same[node] == node]
    number = {node: i for i, node in enumerate(kept)}
    moved = [Arc(number[root(arc.start)], number[root(arc.end)], arc.left, arc.right) for arc in front.arcs]
    return [front.nodes[node] for node in kept], [arc for arc in moved if arc.start != arc.end]


def _faces(
    sides: Sequence[Side], nodes: Sequence[Node], arcs: Sequence[Arc], sizes: Sequence[int]
) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Rings of every face, chained from its side and the arcs that bound it."""
    links: list[list[tuple[int, int]]] = [[] for _ in sides]
    first = 0
    for size in sizes:
        for i in range(size):
            links[first + i].append((first + i, first + (i + 1) % size))
        first += size
    for arc in arcs:
        links[arc.left].append((arc.start, arc.end))
        links[arc.right].append((arc.end, arc.start))
    plan = [(x, y) for x, y, _ in nodes]
    return tuple(
        tuple(ring for ring in trace_rings(link, plan) if len(ring) > 2) if side.s > 0.0 else ()
        for side, link in zip(sides, links, strict=True)
    )


def trace_rings(links: Sequence[tuple[int, int]], plan: Sequence[Point]) -> list[tuple[int, ...]]:
    """Rings made of directed links, the inside on their left; where several meet, each turns into its own sector.

    Parameters
    ----------
    links : sequence of (start, end)
        Each node is left as often as it is reached.
    plan : sequence of (x, y)
        Place of the nodes. [m]

    Raises
    ------
    SkeletonError
        If the links don't close.

    Examples
    --------
    >>> trace_rings([(0, 1), (2, 0), (1, 2)], [(0, 0), (1, 0), (0, 1)])
    [(0, 1, 2)]
    """
    leaving: dict[int, list[int]] = {}
    for start, end in links:
        leaving.setdefault(start, []).append(end)
    rings = []
    while leaving:
        start = next(iter(leaving))
        ring, here, back = [start], start, None
        while True:
            ends = leaving.get(here)
            if not ends:
                raise SkeletonError("leave a face open", (), plan[here])
            there = ends[0] if len(ends) == 1 or back is None else _first_clockwise(plan, here, back, ends)
            ends.remove(there)
            if not ends:
                del leaving[here]
            if there == start:
                break
            ring.append(there)
            here, back = there, here
        rings.append(tuple(ring))
    return rings


def _first_clockwise(plan: Sequence[Point], here: int, back: int, ends: Sequence[int]) -> int:
    """Of several ways on, the first clockwise from the way back: it bounds the same sector."""
    x, y = plan[here]

    def angle(node: int) -> float:
        return math.atan2(plan[node][1] - y, plan[node][0] - x)

    return min(ends, key=lambda end: (angle(back) - angle(end)) % math.tau)
