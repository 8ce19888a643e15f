r"""A shrinking outline, advanced from event to event: the engine under the straight skeleton.

Every side of the outline moves inward with its own speed and keeps its direction. Where two neighbours meet there is a
vertex that runs along their bisector. The order of things changes only when a piece of a side shrinks to nothing or a
reflex vertex runs into another side; both are mended by one and the same operation at the point P where it happens:
gather everything that passes through P, forget the pieces that have shrunk into it, and join each piece that comes in
with the piece that bounds the same sector of what is left::

          in 1   out 2            in 1 is joined with out 2 and in 2 with out 1: each pair bounds
              \ /                 one sector of the inside. Going clockwise from the ray of a piece
     inside    P    inside        that comes in, the first ray is that of its partner.
              / \
         out 1   in 2

Any number of events in one point, which every rectangular building has, needs no special case.
"""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass

__all__ = ["Arc", "Side", "SkeletonError", "Wavefront"]

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


class _Vertex:
    """Where a piece of side `into` ends and a piece of side `out` begins; (x, y) is its place at the event in hand."""

    __slots__ = ("alive", "into", "next", "node", "out", "prev", "px", "py", "spike", "t0", "vx", "vy", "x", "y")

    def __init__(self, into: int, out: int, node: int, x: float, y: float, t: float) -> None:
        self.into, self.out, self.node = into, out, node
        self.px = self.x = x
        self.py = self.y = y
        self.t0 = t
        self.vx = self.vy = 0.0
        self.prev: _Vertex = self
        self.next: _Vertex = self
        self.alive = True
        self.spike = False

    def at(self, t: float) -> Point:
        return self.px + self.vx * (t - self.t0), self.py + self.vy * (t - self.t0)


class Wavefront:
    """The shrinking outline; `run` leaves the nodes (x, y, t) and the arcs of the skeleton.

    Parameters
    ----------
    sides : list of Side
        Lines of all rings in one row, near-parallel ones exactly parallel.
    rings : list of list of (float, float)
        Corners, the inside on the left; side i of a ring runs from corner i to i + 1. [m]
    reach : float
        Size of the outline, from which tolerances are taken. [m]
    """

    def __init__(self, sides: list[Side], rings: list[list[Point]], reach: float) -> None:
        self.sides = sides
        self.eps = 1e-10 * max(1.0, reach)
        self.nodes: list[tuple[float, float, float]] = []
        self.arcs: list[Arc] = []
        self._alive: dict[_Vertex, None] = {}  # a dict keeps the order, so that every run does the same
        self._pieces: list[dict[_Vertex, None]] = [{} for _ in sides]
        self._heap: list[tuple[float, int, _Vertex, _Vertex | int]] = []
        self._count = 0
        self._now = 0.0
        for first, ring in zip(_offsets(rings), rings, strict=True):
            self._add_ring(first, ring)

    def _add_ring(self, first: int, ring: list[Point]) -> None:
        n = len(ring)
        made = []
        for i, (x, y) in enumerate(ring):
            self.nodes.append((x, y, 0.0))
            vertex = _Vertex(first + (i - 1) % n, first + i, len(self.nodes) - 1, x, y, 0.0)
            self._set_motion(vertex)
            if vertex.spike:
                raise SkeletonError("double back on each other", (vertex.into, vertex.out), (x, y))
            made.append(vertex)
        for i, vertex in enumerate(made):
            vertex.prev, vertex.next = made[i - 1], made[(i + 1) % n]
            self._enlist(vertex)

    def run(self) -> None:
        """Advance until nothing is left."""
        for vertex in self._alive:
            self._expect_split(vertex)
            self._expect_meeting(vertex)
        left = 60 * len(self.sides) + 200  # each event ends a piece or splits a ring: far more means that it is lost
        while self._alive:
            if not self._heap:
                raise SkeletonError("never close over the middle", self._labels_left())
            time, _, vertex, other = heapq.heappop(self._heap)
            point = self._event_point(max(time, self._now), vertex, other)
            if point is None:
                continue
            self._now = max(time, self._now)
            self._mend(point)
            left -= 1
            if left < 0:
                raise SkeletonError("could not be closed", self._labels_left(), point)

    def _labels_left(self) -> tuple[int, ...]:
        return tuple(sorted({vertex.out for vertex in self._alive}))

    # -- what is to come ------------------------------------------------------------------------------------------

    def _expect_meeting(self, start: _Vertex) -> None:
        """Note when the piece that begins at `start` will have shrunk to nothing."""
        end, side = start.next, self.sides[start.out]
        t = self._now
        (x0, y0), (x1, y1) = start.at(t), end.at(t)
        rate = side.dx * (end.vx - start.vx) + side.dy * (end.vy - start.vy)
        if rate < -1e-13:
            length = side.dx * (x1 - x0) + side.dy * (y1 - y0)
            self._push(t - length / rate, start, end)

    def _expect_split(self, vertex: _Vertex) -> None:
        """Note when a reflex vertex will cross the lines ahead of it; whether it meets a piece there shows then."""
        a, b = self.sides[vertex.into], self.sides[vertex.out]
        if a.dx * b.dy - a.dy * b.dx > -PARALLEL:
            return
        x, y, t, vx, vy = vertex.px, vertex.py, vertex.t0, vertex.vx, vertex.vy
        for label, side in enumerate(self.sides):
            rate = side.dx * vy - side.dy * vx - side.s
            if rate < -1e-13 and label != vertex.into and label != vertex.out and self._pieces[label]:
                ahead = side.ahead(x, y, t)
                if ahead > self.eps:
                    self._push(t - ahead / rate, vertex, label)

    def _push(self, time: float, vertex: _Vertex, other: _Vertex | int) -> None:
        self._count += 1
        heapq.heappush(self._heap, (time, self._count, vertex, other))

    def _event_point(self, t: float, vertex: _Vertex, other: _Vertex | int) -> Point | None:
        """Where an expected event happens; None if what was to meet is gone or passes by."""
        if not vertex.alive:
            return None
        if isinstance(other, _Vertex):
            if not other.alive or vertex.next is not other:
                return None
            slower = min(vertex, other, key=lambda v: abs(v.vx) + abs(v.vy))  # the faster is placed less sharply
            return slower.at(t)
        x, y = vertex.at(t)
        side = self.sides[other]
        along = side.dx * x + side.dy * y
        for start in self._pieces[other]:
            (x0, y0), (x1, y1) = start.at(t), start.next.at(t)
            low, high = side.dx * x0 + side.dy * y0, side.dx * x1 + side.dy * y1
            if start is not vertex and start.next is not vertex and low - self.eps <= along <= high + self.eps:
                return x, y
        return None

    # -- what happens ---------------------------------------------------------------------------------------------

    def _mend(self, point: Point) -> None:
        """Mend the order of things where an event happens, and wherever that makes two pieces lie on each other."""
        t = self._now
        for vertex in self._alive:
            vertex.x, vertex.y = vertex.at(t)
        todo, made = [point], []
        changed: dict[_Vertex, None] = {}  # start of each piece that has a new end
        while todo:
            for vertex in self._join(*todo.pop(), changed):
                made.append(vertex)
                if vertex.spike and vertex.prev is not vertex.next:
                    todo.append(self._nearer_end(vertex))
        for vertex in made:
            if vertex.alive and vertex.prev is vertex.next:
                self._close_pair(vertex)
            elif vertex.alive and vertex.spike:
                raise SkeletonError("fold onto each other", (vertex.into, vertex.out), (vertex.x, vertex.y))
        for vertex in made:
            if vertex.alive:
                self._expect_split(vertex)
                changed[vertex] = changed[vertex.prev] = None
        for vertex in changed:
            if vertex.alive:
                self._expect_meeting(vertex)

    def _nearer_end(self, spike: _Vertex) -> Point:
        """Nearer far end of two pieces that lie on each other: up to there both are used up."""
        u, w = spike.prev, spike.next
        nearer = min(u, w, key=lambda v: math.hypot(v.x - spike.x, v.y - spike.y))
        return nearer.x, nearer.y

    def _close_pair(self, vertex: _Vertex) -> None:
        """Two pieces that lie on each other end to end leave a ridge (or nothing, if they have no length)."""
        other = vertex.prev
        self._arc(other.node, vertex.node, other.into, other.out)
        self._delist(vertex)
        self._delist(other)

    def _join(self, x: float, y: float, changed: dict[_Vertex, None]) -> list[_Vertex]:
        """Join what passes through (x, y), and return the vertices made there."""
        cluster = self._gather(x, y)
        node = self._node(x, y)
        ins = [(v.into, v.prev) for v in cluster if v.prev not in cluster]
        outs = [(v.out, v.next) for v in cluster if v.next not in cluster]
        for vertex in cluster:
            if vertex.into != vertex.out:
                self._arc(vertex.node, node, vertex.into, vertex.out)
            self._delist(vertex)
        made = []
        for (a, u), (b, w) in self._partners(ins, outs, (x, y)):
            if a == b:  # one side again
                u.next, w.prev = w, u
                changed[u] = None
                continue
            vertex = _Vertex(a, b, node, x, y, self._now)
            vertex.prev, vertex.next = u, w
            u.next = w.prev = vertex
            self._set_motion(vertex)
            self._enlist(vertex)
            made.append(vertex)
        return made

    def _gather(self, x: float, y: float) -> dict[_Vertex, None]:
        """Vertices at (x, y); a piece that passes through is first parted there by a vertex of its own."""
        t, eps = self._now, self.eps
        cluster: dict[_Vertex, None] = {}
        for v in self._alive:
            slack = eps + 1e-15 * (abs(v.vx) + abs(v.vy)) * (1.0 + t)  # a fast vertex is placed less sharply
            if abs(v.x - x) <= slack and abs(v.y - y) <= slack:
                cluster[v] = None
        for v in list(self._alive):
            w, side = v.next, self.sides[v.out]
            if v in cluster or w in cluster or abs(side.ahead(x, y, t)) > eps:
                continue
            if side.dx * (x - v.x) + side.dy * (y - v.y) > 0.0 < side.dx * (w.x - x) + side.dy * (w.y - y):
                part = _Vertex(v.out, v.out, -1, x, y, t)
                part.prev, part.next = v, w
                v.next = w.prev = part
                self._enlist(part)
                cluster[part] = None
        return cluster

    def _partners(
        self, ins: list[tuple[int, _Vertex]], outs: list[tuple[int, _Vertex]], point: Point
    ) -> list[tuple[tuple[int, _Vertex], tuple[int, _Vertex]]]:
        """Each piece that comes in with the piece that bounds the same sector of the inside."""
        if len(ins) == 1:
            return [(ins[0], outs[0])]
        gaps = sorted((self._gap(a, b), i, j) for i, (a, _) in enumerate(ins) for j, (b, _) in enumerate(outs))
        pairs, used_in, used_out = [], set(), set()
        for _, i, j in gaps:
            if i not in used_in and j not in used_out:
                used_in.add(i)
                used_out.add(j)
                pairs.append((ins[i], outs[j]))
        if len(pairs) != len(ins) or len(ins) != len(outs):
            raise SkeletonError("meet in a knot", tuple(sorted({a for a, _ in ins + outs})), point)
        return pairs

    def _gap(self, into: int, out: int) -> float:
        """Angle clockwise from the ray on which side `into` arrives to the ray on which `out` leaves."""
        a, b = self.sides[into], self.sides[out]
        gap = (math.atan2(-a.dy, -a.dx) - math.atan2(b.dy, b.dx)) % math.tau
        return 0.0 if gap > math.tau - SAME_RAY else gap

    def _set_motion(self, vertex: _Vertex) -> None:
        """Velocity from the two sides: n_a . v = s_a and n_b . v = s_b; and the place, where they cross sharply."""
        a, b = self.sides[vertex.into], self.sides[vertex.out]
        sine = a.dx * b.dy - a.dy * b.dx
        if abs(sine) > PARALLEL:
            vertex.vx = (a.s * b.dx - b.s * a.dx) / sine
            vertex.vy = (a.s * b.dy - b.s * a.dy) / sine
            if abs(sine) > SOFT:
                ca, cb = a.c + a.s * vertex.t0, b.c + b.s * vertex.t0
                vertex.px, vertex.py = (ca * b.dx - cb * a.dx) / sine, (ca * b.dy - cb * a.dy) / sine
        elif a.dx * b.dx + a.dy * b.dy < 0.0:
            vertex.spike = True
        elif abs(a.s - b.s) <= PARALLEL * (a.s + b.s):
            vertex.vx, vertex.vy = -a.dy * a.s, a.dx * a.s
        else:
            raise SkeletonError(
                "lie in one line with unlike pitches, so that it is open where one slope ends",
                (vertex.into, vertex.out),
                (vertex.px, vertex.py),
            )

    # -- bookkeeping ----------------------------------------------------------------------------------------------

    def _enlist(self, vertex: _Vertex) -> None:
        self._alive[vertex] = None
        self._pieces[vertex.out][vertex] = None

    def _delist(self, vertex: _Vertex) -> None:
        vertex.alive = False
        self._alive.pop(vertex, None)
        self._pieces[vertex.out].pop(vertex, None)

    def _node(self, x: float, y: float) -> int:
        """Index of the node here and now; one made a moment ago in the same place is taken again."""
        for index in range(len(self.nodes) - 1, -1, -1):
            nx, ny, nt = self.nodes[index]
            if nt < self._now - 10 * self.eps:
                break
            if abs(nx - x) <= self.eps and abs(ny - y) <= self.eps:
                return index
        self.nodes.append((x, y, self._now))
        return len(self.nodes) - 1

    def _arc(self, start: int, end: int, left: int, right: int) -> None:
        if start != end:
            self.arcs.append(Arc(start, end, left, right))


def _offsets(rings: list[list[Point]]) -> list[int]:
    """Index of the first side of each ring."""
    firsts = [0]
    for ring in rings[:-1]:
        firsts.append(firsts[-1] + len(ring))
    return firsts
