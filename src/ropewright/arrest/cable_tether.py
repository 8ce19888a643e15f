"""A worker's lanyard at one instant of a fall onto a horizontal line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from ropewright.arrest.cable_worker import LineWorker

__all__ = ["Mode", "Tether"]

#: How far a state may overshoot before it changes: force, relative to the weight, and length [m].
_FORCE_NOISE, _LENGTH_NOISE = 1e-9, 1e-11


class Mode(Enum):
    """What a lanyard does."""

    SLACK = "slack"
    SPRING = "spring"
    OPENING = "opening"


@dataclass
class Tether:
    """A worker's lanyard; over one step of time its force is rate * stretch + offset, with the absorber in line.

    Parameters
    ----------
    worker : LineWorker
    datum : float
        Depth of the line's point below the left anchor at which the lanyard just gets tight. [m]
    depth : float
        Of the body below where it was then. [m]
    """

    worker: LineWorker
    datum: float
    depth: float = 0.0
    opened: float = 0.0  #: of its absorber so far [m]
    stretch: float = 0.0  #: of the lanyard [m]
    branch: float = 0.0  #: force in the part that relaxes [N]
    mode: Mode = Mode.SPRING
    rate: float = math.inf  #: of the spring over the step [N/m]
    offset: float = 0.0  #: what the part that relaxes adds [N]

    def prepare(self, step: float) -> None:
        """Set rate and offset for a step of time [s]; exact for a stretch that grows evenly."""
        w = self.worker
        self.rate, self.offset = w.stiffness, 0.0
        if w.fast_stiffness and math.isfinite(w.stiffness):
            added = w.fast_stiffness * self._share(step)
            self.rate = w.stiffness + added
            self.offset = self.branch * math.exp(-step / w.relaxation_time) - added * self.stretch

    def _share(self, step: float) -> float:
        """Share of the fast stiffness that a step's stretch meets."""
        tau = self.worker.relaxation_time
        return -math.expm1(-step / tau) * tau / step if math.isfinite(tau) else 1.0

    def spring(self, force: float) -> float:
        """Stretch of the lanyard at a force [m]."""
        return (force - self.offset) / self.rate

    def gap(self, node: float, force: float) -> float:
        """By how much line, lanyard and absorber reach beyond the body; 0 while they hold it [m]."""
        return node + self.spring(force) + self.opened - self.datum - self.depth

    def change(self, node: float, force: float) -> bool:
        """Take up the state that depth of the line's point and force ask for; True if it was another."""
        before = (self.mode, self.opened)
        opens, length = self.worker.absorber_force, self.worker.absorber_length
        if self.mode is Mode.OPENING:
            opened = self.datum + self.depth - node - self.spring(force)
            if opened < self.opened - _LENGTH_NOISE:
                self.mode = Mode.SPRING
            elif opened > length:
                self.mode, self.opened = Mode.SPRING, length
        elif self.mode is Mode.SPRING:
            if force < -_FORCE_NOISE * self.worker.weight:
                self.mode = Mode.SLACK
            elif self.worker.has_absorber and force > opens * (1 + _FORCE_NOISE) and self.opened < length:
                self.mode = Mode.OPENING
        elif self.gap(node, 0.0) < -_LENGTH_NOISE:
            self.mode = Mode.SPRING
        return (self.mode, self.opened) != before

    def settle(self, node: float, force: float, step: float) -> float:
        """Keep what the step has changed; return what the part that relaxes has lost in it [J]."""
        if self.mode is Mode.OPENING:
            self.opened += max(0.0, -self.gap(node, force))
        stretch = self.spring(force) if self.mode is not Mode.SLACK else max(0.0, self.spring(0.0))
        before = self.branch
        w = self.worker
        if w.fast_stiffness and math.isfinite(w.stiffness):
            grown = stretch - self.stretch
            decay = math.exp(-step / w.relaxation_time)
            self.branch = before * decay + w.fast_stiffness * self._share(step) * grown
            self.stretch = stretch
            # work put into the branch, less what its spring keeps of it
            return 0.5 * (before + self.branch) * grown - (self.branch**2 - before**2) / (2.0 * w.fast_stiffness)
        self.stretch = stretch
        return 0.0

    @property
    def energy(self) -> float:
        """Energy of its springs, and work that its absorber has taken [J]."""
        w = self.worker
        held = 0.5 * w.stiffness * self.stretch**2 if math.isfinite(w.stiffness) else 0.0
        fast = self.branch**2 / (2.0 * w.fast_stiffness) if w.fast_stiffness else 0.0
        return held + fast + w.absorber_force * self.opened
