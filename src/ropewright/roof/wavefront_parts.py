"""Parts of a shrinking outline: its sides, the vertices between them, and how these move."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["Arc", "Point", "Side", "SkeletonError", "Vertex", "are_in_line", "in_motion", "is_reflex", "ray_gap"]

#: Below this sine two directions are one; `skeleton.aligned_sides` has made near-parallel sides exactly parallel. [-]
PARALLEL = 1e-11
#: Below this sine a crossing of two lines is too soft to place a vertex; it is carried on from its birth. [-]
SOFT = 1e-3
#: Rays closer than this are one ray. [rad]
SAME_RAY = 1e-9

Point = tuple[float, float]


class SkeletonError(ValueError):
    """No single roof stands over these sides.

    Parameters
    ----------
    reason : str
        What is wrong, as the end of a sentence about the sides.
    sides : tuple of int
        The sides concerned, counted through all rings from 0.
    point : tuple of float, optional
        Where it happens, in plan. [m]
    """

    def __init__(self, reason: str, sides: tuple[int, ...] = (), point: Point | None = None) -> None:
        super().__init__(reason, sides, point)
        self.reason = reason
        self.sides = sides
        self.point = point

    def __str__(self) -> str:
        place = "" if self.point is None else f" near ({self.point[0]:.3f}, {self.point[1]:.3f})"
        return f"sides {list(self.sides)}: {self.reason}{place}"


@dataclass(frozen=True, slots=True)
class Side:
    """A moving line: the points p with n . p = c + s t, where n = (-dy, dx) points inward."""

    dx: float
    dy: float
    c: float
    s: float

    def ahead(self, x: float, y: float, t: float) -> float:
        """Distance of a point in front of the line at time t; negative behind it."""
        return self.dx * y - self.dy * x - self.c - self.s * t


@dataclass(frozen=True, slots=True)
class Arc:
    """A crease from node to node with the face of side `left` on its left and that of `right` on its right."""

    start: int
    end: int
    left: int
    right: int


class Vertex:
    """Where a piece of side `into` ends and a piece of side `out` begins; (x, y) is its place at the event in hand."""

    __slots__ = ("alive", "into", "next", "node", "out", "prev", "px", "py", "spike", "t0", "vx", "vy", "x", "y")

    def __init__(self, into: int, out: int, node: int, x: float, y: float, t: float) -> None:
        self.into, self.out, self.node = into, out, node
        self.px = self.x = x
        self.py = self.y = y
        self.t0 = t
        self.vx = self.vy = 0.0
        self.prev: Vertex = self
        self.next: Vertex = self
        self.alive = True
        self.spike = False

    def at(self, t: float) -> Point:
        """Place at time t."""
        return self.px + self.vx * (t - self.t0), self.py + self.vy * (t - self.t0)


def is_reflex(a: Side, b: Side) -> bool:
    """Tell whether the outline turns to the right from side a to side b, so that their vertex can run into others."""
    return a.dx * b.dy - a.dy * b.dx < -PARALLEL


def are_in_line(a: Side, b: Side) -> bool:
    """Tell whether two neighbours face the same way with unlike speeds, so that no vertex can run between them."""
    if abs(a.dx * b.dy - a.dy * b.dx) > PARALLEL or a.dx * b.dx + a.dy * b.dy < 0.0:
        return False
    return abs(a.s - b.s) > PARALLEL * (a.s + b.s)


def ray_gap(into: Side, out: Side) -> float:
    """Angle clockwise from the ray on which one side arrives at a point to the ray on which another leaves it."""
    gap = (math.atan2(-into.dy, -into.dx) - math.atan2(out.dy, out.dx)) % math.tau
    return 0.0 if gap > math.tau - SAME_RAY else gap


def in_motion(vertex: Vertex, a: Side, b: Side) -> Vertex:
    """Set a vertex between two sides in motion, by n_a . v = s_a and n_b . v = s_b, and in place.

    Two sides that lie on each other, facing, leave it as a spike, to be closed at once.

    Raises
    ------
    SkeletonError
        If they lie in one line with unlike speeds.
    """
    sine = a.dx * b.dy - a.dy * b.dx
    if abs(sine) > PARALLEL:
        vertex.vx = (a.s * b.dx - b.s * a.dx) / sine
        vertex.vy = (a.s * b.dy - b.s * a.dy) / sine
        if abs(sine) > SOFT:
            ca, cb = a.c + a.s * vertex.t0, b.c + b.s * vertex.t0
            vertex.px, vertex.py = (ca * b.dx - cb * a.dx) / sine, (ca * b.dy - cb * a.dy) / sine
    elif a.dx * b.dx + a.dy * b.dy < 0.0:
        vertex.spike = True
    elif are_in_line(a, b):
        reason = "lie in one line with unlike pitches, so that one slope would have to end in the air"
        raise SkeletonError(reason, (vertex.into, vertex.out), (vertex.px, vertex.py))
    else:
        vertex.vx, vertex.vy = -a.dy * a.s, a.dx * a.s
    return vertex
