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

from ropewright.roof.wavefront_parts import (
    Arc,
    Point,
    Side,
    SkeletonError,
    Vertex,
    are_in_line,
    in_motion,
    is_reflex,
    ray_gap,
)

__all__ = ["Wavefront"]


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
    later : list of (float, int, float)
        Time at which a side changes its speed, the side, the speed from then on. The moved side then is a side of its
        own, numbered after all others in this order.
    """

    def __init__(
        self, sides: list[Side], rings: list[list[Point]], reach: float, later: list[tuple[float, int, float]]
    ) -> None:
        self.sides = sides + [_from_then_on(sides[label], time, speed) for time, label, speed in later]
        self._later = sorted((time, label, len(sides) + k) for k, (time, label, _) in enumerate(later))
        self.eps = 1e-10 * max(1.0, reach)
        self.nodes: list[tuple[float, float, float]] = []
        self.arcs: list[Arc] = []
        self._alive: dict[Vertex, None] = {}  # a dict keeps the order, so that every run does the same
        self._pieces: list[dict[Vertex, None]] = [{} for _ in self.sides]
        self._heap: list[tuple[float, int, Vertex, Vertex | int]] = []
        self._count = 0
        self._now = 0.0
        for first, ring in zip(_offsets(rings), rings, strict=True):
            self._add_ring(first, ring)

    def _add_ring(self, first: int, ring: list[Point]) -> None:
        n = len(ring)
        made = []
        for i, (x, y) in enumerate(ring):
            self.nodes.append((x, y, 0.0))
            into, out = first + (i - 1) % n, first + i
            vertex = in_motion(Vertex(into, out, len(self.nodes) - 1, x, y, 0.0), self.sides[into], self.sides[out])
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
            if self._later and (not self._heap or self._heap[0][0] > self._later[0][0]):
                self._change_speed(*self._later.pop(0))
                continue
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

    def _expect_meeting(self, start: Vertex) -> None:
        """Note when the piece that begins at `start` will have shrunk to nothing."""
        end, side = start.next, self.sides[start.out]
        t = self._now
        (x0, y0), (x1, y1) = start.at(t), end.at(t)
        rate = side.dx * (end.vx - start.vx) + side.dy * (end.vy - start.vy)
        if rate < -1e-13:
            length = side.dx * (x1 - x0) + side.dy * (y1 - y0)
            self._push(t - length / rate, start, end)

    def _expect_split(self, vertex: Vertex) -> None:
        """Note when a reflex vertex will cross the lines ahead of it; whether it meets a piece there shows then."""
        if not is_reflex(self.sides[vertex.into], self.sides[vertex.out]):
            return
        x, y, t, vx, vy = vertex.px, vertex.py, vertex.t0, vertex.vx, vertex.vy
        for label, side in enumerate(self.sides):
            rate = side.dx * vy - side.dy * vx - side.s
            if rate < -1e-13 and label != vertex.into and label != vertex.out and self._pieces[label]:
                ahead = side.ahead(x, y, t)
                if ahead > self.eps:
                    self._push(t - ahead / rate, vertex, label)

    def _push(self, time: float, vertex: Vertex, other: Vertex | int) -> None:
        self._count += 1
        heapq.heappush(self._heap, (time, self._count, vertex, other))

    def _event_point(self, t: float, vertex: Vertex, other: Vertex | int) -> Point | None:
        """Where an expected event happens; None if what was to meet is gone or passes by."""
        if not vertex.alive:
            return None
        if isinstance(other, Vertex):
            if not other.alive or vertex.next is not other:
                return None
            slower = min(vertex, other, key=lambda v: abs(v.vx) + abs(v.vy))  # the faster is placed less sharply
            return slower.at(t)
        side = self.sides[other]
        x, y = self._onto(side, vertex, t)
        along = side.dx * x + side.dy * y
        for start in self._pieces[other]:
            (x0, y0), (x1, y1) = start.at(t), start.next.at(t)
            low, high = side.dx * x0 + side.dy * y0, side.dx * x1 + side.dy * y1
            if start is not vertex and start.next is not vertex and low - self.eps <= along <= high + self.eps:
                return x, y
        return None

    @staticmethod
    def _onto(side: Side, vertex: Vertex, t: float) -> Point:
        """Place where a vertex meets a line, on the line to the last digit even if the vertex is very fast."""
        x, y = vertex.at(t)
        across = side.dx * vertex.vy - side.dy * vertex.vx
        if abs(across) < 1e-6:
            return x, y
        back = side.ahead(x, y, t) / across
        return x - vertex.vx * back, y - vertex.vy * back

    # -- what happens ---------------------------------------------------------------------------------------------

    def _mend(self, point: Point) -> None:
        """Mend the order of things where an event happens, and wherever that makes two pieces lie on each other."""
        t = self._now
        for vertex in self._alive:
            vertex.x, vertex.y = vertex.at(t)
        todo: list[tuple[Point, float]] = [(point, self.eps)]
        made: list[Vertex] = []
        changed: dict[Vertex, None] = {}  # start of each piece that has a new end
        while todo:
            place, slack = todo.pop()
            for vertex in self._join(place, slack, todo, changed):
                made.append(vertex)
                if vertex.spike and vertex.prev is not vertex.next:
                    # the lines of the two pieces agree here to the tolerance, so at the far end to a little more
                    todo.append((self._nearer_end(vertex), 2 * slack))
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

    def _nearer_end(self, spike: Vertex) -> Point:
        """Nearer far end of two pieces that lie on each other: up to there both are used up."""
        u, w = spike.prev, spike.next
        nearer = min(u, w, key=lambda v: math.hypot(v.x - spike.x, v.y - spike.y))
        return nearer.x, nearer.y

    def _close_pair(self, vertex: Vertex) -> None:
        """Two pieces that lie on each other end to end leave a ridge (or nothing, if they have no length)."""
        other = vertex.prev
        self._arc(other.node, vertex.node, other.into, other.out)
        self._delist(vertex)
        self._delist(other)

    def _join(
        self, point: Point, slack: float, todo: list[tuple[Point, float]], changed: dict[Vertex, None]
    ) -> list[Vertex]:
        """Join what passes through a point, and return the vertices made there; more to do goes to `todo`."""
        x, y = point
        cluster = self._gather(x, y, slack)
        node = self._node(x, y)
        ins = [(v.into, v.prev) for v in cluster if v.prev not in cluster]
        outs = [(v.out, v.next) for v in cluster if v.next not in cluster]
        for vertex in cluster:
            if vertex.into != vertex.out:
                self._arc(vertex.node, node, vertex.into, vertex.out)
            self._delist(vertex)
        made = []
        for (a, u), (b, w) in self._partners(ins, outs, point):
            if a == b:  # one side again
                u.next, w.prev = w, u
                changed[u] = None
            elif are_in_line(self.sides[a], self.sides[b]):
                todo.append((self._overtake(node, (a, u), (b, w)), slack))
            else:
                vertex = in_motion(Vertex(a, b, node, x, y, self._now), self.sides[a], self.sides[b])
                vertex.prev, vertex.next = u, w
                u.next = w.prev = vertex
                self._enlist(vertex)
                made.append(vertex)
        return made

    def _overtake(self, node: int, into: tuple[int, Vertex], out: tuple[int, Vertex]) -> Point:
        """Let the faster of two pieces in one line run on over the slower, and return the far end of the slower.

        The slower slope ends there, along a level crease: the shallower roof goes on over the steeper one, or over the
        wall. That is the lower of the two roofs that tiny turns of the sides would give.
        """
        (a, u), (b, w) = into, out
        u.next, w.prev = w, u
        if self.sides[a].s > self.sides[b].s:
            far = self._node(w.x, w.y)
            self._arc(w.node, far, w.into, w.out)
            self._arc(node, far, a, b)
            w.into, w.node = a, far
            return w.x, w.y
        far = self._node(u.x, u.y)
        self._arc(u.node, far, u.into, u.out)
        self._arc(far, node, b, a)
        self._pieces[a].pop(u, None)
        self._pieces[b][u] = None
        u.out, u.node = b, far
        return u.x, u.y

    def _gather(self, x: float, y: float, eps: float) -> dict[Vertex, None]:
        """Vertices at (x, y); a piece that passes through is first parted there by a vertex of its own."""
        t = self._now
        cluster: dict[Vertex, None] = {}
        for v in self._alive:
            slack = eps + 1e-15 * (abs(v.vx) + abs(v.vy)) * (1.0 + t)  # a fast vertex is placed less sharply
            if abs(v.x - x) <= slack and abs(v.y - y) <= slack:
                cluster[v] = None
        for v in list(self._alive):
            w, side = v.next, self.sides[v.out]
            if v in cluster or w in cluster or abs(side.ahead(x, y, t)) > eps:
                continue
            if side.dx * (x - v.x) + side.dy * (y - v.y) > 0.0 < side.dx * (w.x - x) + side.dy * (w.y - y):
                part = Vertex(v.out, v.out, -1, x, y, t)
                part.prev, part.next = v, w
                v.next = w.prev = part
                self._enlist(part)
                cluster[part] = None
        return cluster

    def _partners(
        self, ins: list[tuple[int, Vertex]], outs: list[tuple[int, Vertex]], point: Point
    ) -> list[tuple[tuple[int, Vertex], tuple[int, Vertex]]]:
        """Each piece that comes in with the piece that bounds the same sector of the inside."""
        if len(ins) == 1:
            return [(ins[0], outs[0])]
        gaps = sorted(
            (ray_gap(self.sides[a], self.sides[b]), i, j)
            for i, (a, _) in enumerate(ins)
            for j, (b, _) in enumerate(outs)
        )
        pairs, used_in, used_out = [], set(), set()
        for _, i, j in gaps:
            if i not in used_in and j not in used_out:
                used_in.add(i)
                used_out.add(j)
                pairs.append((ins[i], outs[j]))
        if len(pairs) != len(ins) or len(ins) != len(outs):
            raise SkeletonError("meet in a knot", tuple(sorted({a for a, _ in ins + outs})), point)
        return pairs

    def _change_speed(self, time: float, label: int, successor: int) -> None:
        """Let a side go on as another one: what it has reached so far becomes the foot of a face of its own."""
        self._now = max(time, self._now)
        for vertex in self._alive:
            vertex.x, vertex.y = vertex.at(self._now)
        for start in list(self._pieces[label]):
            end = start.next
            first = self._turned(start, start.into, successor)
            last = self._turned(end, successor, end.out if end.out != label else successor)
            self._arc(first.node, last.node, successor, label)
        for vertex in self._alive:
            self._expect_split(vertex)
            self._expect_meeting(vertex)

    def _turned(self, vertex: Vertex, into: int, out: int) -> Vertex:
        """Put a vertex between other sides in the place of one."""
        node = self._node(vertex.x, vertex.y)
        self._arc(vertex.node, node, vertex.into, vertex.out)
        turned = in_motion(Vertex(into, out, node, vertex.x, vertex.y, self._now), self.sides[into], self.sides[out])
        if turned.spike:
            raise SkeletonError("fold onto each other", (vertex.into, vertex.out), (vertex.x, vertex.y))
        turned.prev, turned.next = vertex.prev, vertex.next
        turned.prev.next = turned.next.prev = turned
        self._delist(vertex)
        self._enlist(turned)
        return turned

    # -- bookkeeping ----------------------------------------------------------------------------------------------

    def _enlist(self, vertex: Vertex) -> None:
        self._alive[vertex] = None
        self._pieces[vertex.out][vertex] = None

    def _delist(self, vertex: Vertex) -> None:
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


def _from_then_on(side: Side, time: float, speed: float) -> Side:
    """Line of a side that moves with another speed from a time on."""
    return Side(side.dx, side.dy, side.c + (side.s - speed) * time, speed)


def _offsets(rings: list[list[Point]]) -> list[int]:
    """Index of the first side of each ring."""
    firsts = [0]
    for ring in rings[:-1]:
        firsts.append(firsts[-1] + len(ring))
    return firsts
