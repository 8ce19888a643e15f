"""One span of a line in balance at a given level tension: pieces between supports and loads."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ropewright.arrest.cable_segment import CableError, Piece, piece_between, piece_slopes

__all__ = ["HungSpan", "SpanTask", "hang_span"]

#: Newton steps allowed for the slope at the left end.
_STEPS = 100


@dataclass(frozen=True, slots=True)
class SpanTask:
    """What a span is asked to bridge, and what it carries.

    Parameters
    ----------
    run, rise : float
        Right support from the left one: level distance, and height above it. [m]
    places, forces : tuple of float
        Level places of the loads from the left support, ascending, and the loads, plumb. [m], [N]
    weight, compliance : float
        Of the line: per unstressed length [N/m], and 1/EA [1/N].
    give_left, give_right : float
        Of the end supports, the same in every direction: 1/stiffness, 0 where rigid. [m/N]
    opening : float
        Length that an absorber at the left end has paid out. [m]
    """

    run: float
    rise: float
    places: tuple[float, ...] = ()
    forces: tuple[float, ...] = ()
    weight: float = 0.0
    compliance: float = 0.0
    give_left: float = 0.0
    give_right: float = 0.0
    opening: float = 0.0

    @property
    def chord(self) -> float:
        """Straight distance between the supports [m]."""
        return math.hypot(self.run, self.rise)

    @property
    def total(self) -> float:
        """Loads and own weight, near enough for a first guess [N]."""
        return self.weight * self.chord + sum(self.forces)


@dataclass(frozen=True, slots=True)
class HungSpan:
    """A span in balance.

    ``start`` is where the line leaves the left end, from the left support; it is not the support itself where the
    anchor gives or an absorber has opened.
    """

    task: SpanTask
    pieces: tuple[Piece, ...]
    start: tuple[float, float]
    missing: float  #: run that the give of the anchors takes beyond what there is; 0 in any sound answer [m]

    @property
    def horizontal(self) -> float:
        """Level part of the tension [N]."""
        return self.pieces[0].horizontal

    @property
    def v_left(self) -> float:
        """Upward part of the tension at the left end; negative where the line falls away from it [N]."""
        return self.pieces[0].v1

    @property
    def v_right(self) -> float:
        """Upward part of the tension at the right end [N]."""
        return self.pieces[-1].v2

    @property
    def tension_left(self) -> float:
        """Tension at the left end [N]."""
        return self.pieces[0].t1

    @property
    def tension_right(self) -> float:
        """Tension at the right end [N]."""
        return self.pieces[-1].t2

    @property
    def unstressed(self) -> float:
        """Line in the span as it would lie without tension [m]."""
        return sum(piece.s for piece in self.pieces) + self.missing

    @property
    def stressed(self) -> float:
        """Line in the span as it is stretched [m]."""
        return self.unstressed + self.task.compliance * sum(piece.tension_integral for piece in self.pieces)

    @property
    def energy(self) -> float:
        """Stretch and height energy of the line and its end springs, heights from the left support [J]."""
        t, z, total = self.task, self.start[1], 0.0
        for piece in self.pieces:
            total += piece.energy(t.compliance, z)
            z += piece.rise
        left = self.horizontal**2 + self.v_left**2
        right = self.horizontal**2 + self.v_right**2
        return total + 0.5 * (t.give_left * left + t.give_right * right)

    @property
    def nodes(self) -> tuple[tuple[float, float], ...]:
        """Ends of the pieces (x, z) from the left support: the line's left end, the loads, its right end [m]."""
        found = [self.start]
        for piece in self.pieces:
            x, z = found[-1]
            found.append((x + piece.run, z + piece.rise))
        return tuple(found)

    @property
    def deepest(self) -> tuple[float, float]:
        """Where the line is farthest below the straight line between the supports, and how far [m]."""
        slope = self.task.rise / self.task.run
        return max(self._low_points(slope), key=lambda point: slope * point[0] - point[1])

    @property
    def sag(self) -> float:
        """Greatest distance of the line plumb below the straight line between the supports [m]."""
        x, z = self.deepest
        return max(0.0, self.task.rise / self.task.run * x - z)

    @property
    def lowest(self) -> tuple[float, float]:
        """Lowest point of the line (x, z) from the left support [m]."""
        return min(self._low_points(0.0), key=lambda point: point[1])

    def _low_points(self, slope: float) -> list[tuple[float, float]]:
        """Nodes, and the points between them where the line runs at a slope."""
        found = list(self.nodes)
        for piece, (x, z) in zip(self.pieces, self.nodes, strict=False):
            v = slope * piece.horizontal
            if piece.v1 < v < piece.v2:
                run, rise = piece.at(piece.s * (v - piece.v1) / (piece.v2 - piece.v1), self.task.compliance)
                found.append((x + run, z + rise))
        return found

    def shape(self, points: int = 16) -> list[tuple[float, float]]:
        """Points of the line (x, z) from the left support, `points` to each piece [m]."""
        found = [self.start]
        for piece, (x, z) in zip(self.pieces, self.nodes, strict=False):
            parts = (piece.at(piece.s * k / points, self.task.compliance) for k in range(1, points + 1))
            found += [(x + run, z + rise) for run, rise in parts]
        return found


def hang_span(task: SpanTask, horizontal: float) -> HungSpan:
    """Span in balance at a level tension.

    Parameters
    ----------
    task : SpanTask
    horizontal : float
        Level tension, above 0. [N]

    Returns
    -------
    HungSpan
        Whose `unstressed` length falls as the level tension grows.

    Raises
    ------
    CableError
        If the line would hang plumb, or Newton's method does not settle.

    Notes
    -----
    The height of the right end grows with the slope at the left end, so that one root is sought and it is the only
    one; Newton's method is kept between the bounds found so far.

    Examples
    --------
    >>> hung = hang_span(SpanTask(run=8.0, rise=0.0, places=(4.0,), forces=(600.0,)), 400.0)
    >>> hung.sag, hung.tension_left, hung.unstressed  # each half is 4 m by 3 m
    (3.0, 500.0, 10.0)
    """
    v0 = _first_guess(task, horizontal)
    low, high = -math.inf, math.inf
    close = 4e-15 * (task.chord + abs(task.rise))
    for _ in range(_STEPS):
        hung, end, slope = _thread(task, horizontal, v0)
        gap = end - task.rise
        low, high = (v0, high) if gap < 0 else (low, v0)
        step = gap / slope
        if abs(gap) <= close or abs(step) <= 4e-16 * (abs(v0) + horizontal):
            return hung
        v0 -= step
        if not low < v0 < high:
            v0 = 0.5 * (low + high)
    if abs(gap) <= 1e-10 * task.chord:
        return hung
    raise CableError("the slope of the line at its left end did not settle")


def _first_guess(task: SpanTask, horizontal: float) -> float:
    lever = sum(force * (1.0 - place / task.run) for place, force in zip(task.places, task.forces, strict=True))
    return horizontal * task.rise / task.run - 0.5 * task.weight * task.chord - lever


def _thread(task: SpanTask, h: float, v0: float) -> tuple[HungSpan, float, float]:
    """Lay the line from the left end on; also where its right end comes to, and how that changes with v0."""
    t0 = math.hypot(h, v0)
    x, z = h * task.give_left + task.opening * h / t0, v0 * task.give_left + task.opening * v0 / t0
    dx, dz = -task.opening * h * v0 / t0**3, task.give_left + task.opening * h * h / t0**3
    start, pieces, missing = (x, z), [], 0.0
    v, dv = v0, 1.0
    for place, force in (*zip(task.places, task.forces, strict=True), (task.run - h * task.give_right, 0.0)):
        run = place - x
        if run < 0:  # the anchors give more than there is: an answer that the caller refuses
            missing, run, dx = missing + run, 0.0, 0.0
        piece = piece_between(run, h, v, task.weight, task.compliance)
        slopes = piece_slopes(piece, task.compliance)
        dz += slopes.rise_v * dv - slopes.rise_run * dx
        dv += task.weight * (slopes.s_v * dv - slopes.s_run * dx)
        pieces.append(piece)
        x, z, v, dx = max(place, x), z + piece.rise, piece.v2 + force, 0.0
    end = pieces[-1].v2
    return HungSpan(task, tuple(pieces), start, missing), z + end * task.give_right, dz + dv * task.give_right
