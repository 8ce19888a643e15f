"""Line, lanyards and bodies at one instant: all forces from where the bodies are, by Newton's method.

While somebody falls, every connector grips the line where it sits, so that no energy goes into sliding along it; that
point of the line may move sideways a little. A load at rest stays plumb under its place instead (`cable_balance`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.cable import Cable, CableState
from ropewright.arrest.cable_segment import CableError, Piece, line_slopes, piece_of
from ropewright.arrest.cable_span import SpanTask
from ropewright.arrest.cable_tether import Mode, Tether

__all__ = ["Network"]

Floats = NDArray[np.float64]

#: Newton steps allowed for one instant, and changes of what is slack or opening.
_STEPS, _CHANGES = 40, 20

#: Step of Newton's method at which it has settled: of slopes, ratios and logarithms [-], and of lengths [m].
_SETTLED = 1e-11

#: Halvings of a step, and what must be zero at its noise [m].
_HALVINGS, _NOISE = 12, 1e-12

#: Largest step of the logarithm of a level tension; the whole step is shortened to it.
_BOLDEST = 0.5

#: How far the absorber in line may overshoot before its state changes: force, relative, and length [m].
_FORCE_NOISE, _LENGTH_NOISE = 1e-9, 1e-11


class _Slope(NamedTuple):
    """A value and its slopes by all the unknown."""

    value: float
    slopes: Floats


class _Threaded(NamedTuple):
    """A span laid from left to right at some guess of the unknown."""

    left: _Slope  #: tension [N]
    right: _Slope
    run: _Slope  #: right end from the left support, the anchor's give in it [m]
    rise: _Slope
    nodes: list[_Slope]  #: heights of the bodies' points over the left support [m]
    forces: list[_Slope]  #: of the bodies [N]
    pieces: list[Piece]
    start: tuple[float, float]  #: where the line leaves the left support (x, z) [m]


@dataclass
class Network:
    """The line with everybody on it; `solve` finds the forces at given depths of the bodies.

    Unknown are, for each span, the logarithm of the level tension and the slope at its left end; for each body, its
    force over the level tension there; the line that has slipped leftward over each support; and what the absorber in
    line has paid out. In a taut line slopes and force ratios follow from where the bodies are, whatever the tension:
    with the forces themselves as unknown Newton's method creeps along a bent valley.
    """

    cable: Cable
    tethers: list[Tether]  #: by place
    tasks: list[SpanTask]
    lines: list[list[float]]  #: unstressed line from support to body to body to support, in each span [m]
    unknown: Floats
    opened: float  #: of the absorber in line so far [m]
    opening: bool = False  #: it opens now
    threads: list[_Threaded] = field(default_factory=list)

    @classmethod
    def at_rest(cls, state: CableState, tethers: list[Tether]) -> Network:
        """Network that starts from a line in balance whose loads stand at the tethers' places."""
        spans = [value for span in state.spans for value in (math.log(span.horizontal), span.v_left / span.horizontal)]
        ratios = [force / span.horizontal for span in state.spans for force in span.task.forces]
        slips = [0.0] * (0 if state.cable.held else len(state.spans) - 1)
        unknown = np.array([*spans, *ratios, *slips, state.opening])
        lines = [[piece.s for piece in span.pieces] for span in state.spans]
        return cls(state.cable, tethers, state.cable.tasks(state.loads), lines, unknown, state.opening)

    @property
    def _first_force(self) -> int:
        return 2 * len(self.tasks)

    @property
    def _first_slip(self) -> int:
        return self._first_force + len(self.tethers)

    @property
    def forces(self) -> list[float]:
        """Force in each lanyard [N]."""
        return [force.value for span in self.threads for force in span.forces]

    @property
    def nodes(self) -> list[float]:
        """Depth of the line's point at each body below the left anchor [m]."""
        heights = [z for _, z in self.cable.supports]
        return [-z0 - node.value for z0, span in zip(heights, self.threads, strict=False) for node in span.nodes]

    @property
    def ends(self) -> tuple[float, float]:
        """Tension at the left and at the right anchor [N]."""
        return self.threads[0].left.value, self.threads[-1].right.value

    @property
    def tension(self) -> float:
        """Greatest tension in the line [N]."""
        return max(max(piece.t1, piece.t2) for span in self.threads for piece in span.pieces)

    def solve(self) -> None:
        """Find the forces at the bodies' depths.

        Raises
        ------
        CableError
            If Newton's method does not settle, or what is slack and what opens does not.
        """
        for _ in range(_CHANGES):
            self._newton()
            changes = [
                tether.change(node, force)
                for tether, node, force in zip(self.tethers, self.nodes, self.forces, strict=True)
            ]
            if not any([*changes, self._absorber_changes()]):
                return
        raise CableError("what is slack and what opens in a fall onto the line did not settle")

    def settle(self, step: float) -> float:
        """Keep what a step of time has changed; return what relaxing parts have lost in it [J]."""
        if self.opening:
            self.opened = max(self.opened, float(self.unknown[-1]))
        bodies = zip(self.tethers, self.nodes, self.forces, strict=True)
        return sum(tether.settle(node, force, step) for tether, node, force in bodies)

    def _absorber_changes(self) -> bool:
        opens, length, paid = self.cable.absorber_force, self.cable.absorber_length, float(self.unknown[-1])
        before = (self.opening, self.opened)
        if self.opening and paid < self.opened - _LENGTH_NOISE:
            self.opening = False
        elif self.opening and paid > length:
            self.opening, self.opened = False, length
        elif self.cable.has_absorber and self.opened < length and self.ends[0] > opens * (1 + _FORCE_NOISE):
            self.opening = True
        return (self.opening, self.opened) != before

    def _newton(self) -> None:
        spans = self._first_force
        rows = self._rows()
        for _ in range(_STEPS):
            try:
                step = np.linalg.solve(np.array([row.slopes for row in rows]), [-row.value for row in rows])
            except np.linalg.LinAlgError as error:
                raise CableError("two rigid lanyards pull at one point of the line: give their stiffness") from error
            step = step / max(1.0, np.abs(step[:spans:2]).max() / _BOLDEST)
            if np.abs(step).max() <= _SETTLED:
                return
            rows = self._go(step, _norm(rows))
        raise CableError("the forces of a fall onto the line did not settle")

    def _go(self, step: Floats, norm: float) -> list[_Slope]:
        """Go along a step as far as it brings what must be zero closer to it; a full Newton step may overshoot."""
        start = self.unknown
        for halving in range(_HALVINGS):
            self.unknown = start + step / 2**halving
            try:
                rows = self._rows()
            except CableError:  # so far that a piece of line would vanish over a support
                continue
            if _norm(rows) < norm or norm <= _NOISE:
                return rows
        self.unknown = start + step  # the noise of the last digits lets nothing come closer
        return self._rows()

    def _rows(self) -> list[_Slope]:
        """What must be zero: as many rows as there are unknown."""
        unit = np.eye(len(self.unknown))
        self.threads, first = [], self._first_force
        for k, task in enumerate(self.tasks):
            self.threads.append(self._thread(k, first, unit))
            first += len(task.places)
        rows = [_less(t.run, task.run) for t, task in zip(self.threads, self.tasks, strict=True)]
        rows += [_less(t.rise, task.rise) for t, task in zip(self.threads, self.tasks, strict=True)]
        if not self.cable.held:
            rows += [_equal(a.right, b.left) for a, b in pairwise(self.threads)]
        return [*rows, *self._tether_rows(), self._absorber_row(unit)]

    def _tether_rows(self) -> list[_Slope]:
        nodes = [node for span in self.threads for node in span.nodes]
        forces = [force for span in self.threads for force in span.forces]
        rows = []
        for tether, node, depth, force in zip(self.tethers, nodes, self.nodes, forces, strict=True):
            if tether.mode is Mode.SPRING:
                rows.append(_Slope(tether.gap(depth, force.value), force.slopes / tether.rate - node.slopes))
            else:
                aim = tether.worker.absorber_force if tether.mode is Mode.OPENING else 0.0
                weight = tether.worker.weight
                rows.append(_Slope((force.value - aim) / weight, force.slopes / weight))
        return rows

    def _absorber_row(self, unit: Floats) -> _Slope:
        if not self.opening:
            return _Slope(float(self.unknown[-1]) - self.opened, unit[-1])
        left, opens = self.threads[0].left, self.cable.absorber_force
        return _Slope(left.value / opens - 1.0, left.slopes / opens)

    def _thread(self, k: int, first: int, unit: Floats) -> _Threaded:
        """Lay a span's line from its left end on, with the slopes by all the unknown."""
        task, u = self.tasks[k], self.unknown
        h = math.exp(u[2 * k])
        v, dh = h * float(u[2 * k + 1]), h * unit[2 * k]
        dv = v * unit[2 * k] + h * unit[2 * k + 1]
        left = _tension(h, v, dh, dv)
        paid = (float(u[-1]), unit[-1]) if k == 0 else (0.0, np.zeros(len(u)))
        (x, dx), (z, dz) = start = _start(task, left, (h, dh), (v, dv), paid)
        nodes, forces, pieces, lines = [], [], [], self._lines(k, unit)
        for i, (s, ds) in enumerate(lines):
            piece = piece_of(s, h, v, task.weight, task.compliance)
            by = line_slopes(piece, task.compliance)
            x, dx = x + piece.run, dx + by.run_h * dh + by.run_v * dv + by.run_s * ds
            z, dz = z + piece.rise, dz + by.run_v * dh + by.rise_v * dv + by.rise_s * ds
            v, dv = piece.v2, dv + task.weight * ds
            pieces.append(piece)
            if i < len(task.places):
                force = h * float(u[first + i])
                nodes.append(_Slope(z, dz))
                forces.append(_Slope(force, force * unit[2 * k] + h * unit[first + i]))
                v, dv = v + force, dv + forces[-1].slopes
        run = _Slope(x + h * task.give_right, dx + task.give_right * dh)
        rise = _Slope(z + v * task.give_right, dz + task.give_right * dv)
        return _Threaded(
            left, _tension(h, v, dh, dv), run, rise, nodes, forces, pieces, (start[0].value, start[1].value)
        )

    def _lines(self, k: int, unit: Floats) -> list[_Slope]:
        """Unstressed line in the pieces of a span, with what has slipped over its supports."""
        lines = [_Slope(s, np.zeros(len(unit))) for s in self.lines[k]]
        if not self.cable.held:
            if k < len(self.tasks) - 1:
                i = self._first_slip + k
                lines[-1] = _Slope(lines[-1].value + float(self.unknown[i]), unit[i])
            if k > 0:
                i = self._first_slip + k - 1
                lines[0] = _Slope(lines[0].value - float(self.unknown[i]), lines[0].slopes - unit[i])
        return lines


def _norm(rows: list[_Slope]) -> float:
    return math.sqrt(sum(row.value**2 for row in rows))


def _less(a: _Slope, aim: float) -> _Slope:
    return _Slope(a.value - aim, a.slopes)


def _equal(a: _Slope, b: _Slope) -> _Slope:
    return _Slope(math.log(b.value / a.value), b.slopes / b.value - a.slopes / a.value)


def _tension(h: float, v: float, dh: Floats, dv: Floats) -> _Slope:
    t = math.hypot(h, v)
    return _Slope(t, (h * dh + v * dv) / t)


def _start(
    task: SpanTask, left: _Slope, h: tuple[float, Floats], v: tuple[float, Floats], paid: tuple[float, Floats]
) -> tuple[_Slope, _Slope]:
    """Where the line leaves its left support (x, z), past the anchor's give and what the absorber has paid out."""
    t = left.value
    per = task.give_left + paid[0] / t
    dper = paid[1] / t - paid[0] / t**2 * left.slopes
    return _Slope(h[0] * per, per * h[1] + h[0] * dper), _Slope(v[0] * per, per * v[1] + v[0] * dper)
