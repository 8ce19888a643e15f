"""A catch worked out with scipy's `solve_ivp`, phase by phase: another formulation than the kernel's.

State: travel y, speed v, stretch z of the dashpot. The rope's force is k1 x + k2 (x - z), with dz/dt = (x - z)/tau. In
a phase either all parts are elastic, or one slides at its force; events end the phase. Nothing is shared with the
program but the meaning of its inputs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

G = 9.80665

State = NDArray[np.float64]
Function = Callable[[float, State], float]


@dataclass
class Catch:
    """One fall: its inputs, then what came out."""

    mass: float
    drop: float
    k1: float
    k2: float
    tau: float
    slides: dict[str, tuple[float, float]]  # name -> force, length
    give: float = 0.0  # of plain springs [m/N]
    lock_give: float = 0.0  # of a spent absorber, beyond its force [m/N]
    peak: float = 0.0
    distance: float = 0.0
    time: float = 0.0

    def __post_init__(self) -> None:
        self.left = {name: length for name, (_, length) in self.slides.items() if length > 0}
        self.has_absorber = "absorber" in self.left
        self.slid = 0.0

    @property
    def locked(self) -> bool:
        return self.has_absorber and self.left["absorber"] <= 0

    def elastic(self, s: State) -> tuple[float, float]:
        """Force and rope stretch with nothing sliding."""
        k, e = self.k1 + self.k2, s[0] - self.slid
        force = (k * e - self.k2 * s[2]) / (1 + k * self.give)
        if self.locked and force > self.slides["absorber"][0]:
            lock = self.slides["absorber"][0] * self.lock_give
            force = (k * (e + lock) - self.k2 * s[2]) / (1 + k * (self.give + self.lock_give))
        return force, (force + self.k2 * s[2]) / k

    def sliding(self, s: State, force: float) -> tuple[float, float]:
        """Rope stretch and total slide while one part slides at its force."""
        x = (force + self.k2 * s[2]) / (self.k1 + self.k2)
        lock = max(force - self.slides["absorber"][0], 0.0) * self.lock_give if self.locked else 0.0
        return x, s[0] - x - self.give * force - lock


def _ending(function: Function, direction: int) -> Function:
    function.terminal, function.direction = True, direction  # type: ignore[attr-defined]
    return function


def solve(fall: Catch, *, rtol: float = 1e-9, method: str = "LSODA", max_step: float = np.inf) -> Catch:
    """Work a fall out to its first rest; fills in its peak, distance and time."""
    t, s = 0.0, np.array([0.0, np.sqrt(2 * G * fall.drop), 0.0])
    name: str | None = None
    rest = _ending(lambda _, s: s[1], -1)
    for _ in range(20):
        phase = _elastic_phase(fall) if name is None else _sliding_phase(fall, name)
        rhs, events = phase
        found = solve_ivp(
            rhs, (t, t + 100), s, method=method, events=[rest, *events], rtol=rtol, atol=rtol * 1e-2, max_step=max_step
        )
        t, s = float(found.t[-1]), found.y[:, -1]
        if name is None:
            fall.peak = max(fall.peak, *(fall.elastic(column)[0] for column in found.y.T))
            waiting = [n for n in fall.left if fall.left[n] > 0]
            name = min(waiting, key=lambda n: fall.slides[n][0]) if waiting else None
        else:
            force = fall.slides[name][0]
            fall.peak = max(fall.peak, force)
            slid = fall.sliding(s, force)[1]
            over = len(found.t_events[1]) > 0
            fall.left[name] = 0.0 if over else fall.left[name] - (slid - fall.slid)
            fall.slid = slid
            name = None
        if len(found.t_events[0]):
            fall.distance, fall.time = float(s[0]), t
            return fall
    raise AssertionError("no rest after 20 phases")


def _elastic_phase(fall: Catch) -> tuple[Callable[[float, State], list[float]], list[Function]]:
    def rhs(_: float, s: State) -> list[float]:
        force, x = fall.elastic(s)
        return [s[1], G - force / fall.mass, (x - s[2]) / fall.tau]

    waiting = [fall.slides[n][0] for n in fall.left if fall.left[n] > 0]
    if not waiting:
        return rhs, []
    return rhs, [_ending(lambda _, s: fall.elastic(s)[0] - min(waiting), 1)]


def _sliding_phase(fall: Catch, name: str) -> tuple[Callable[[float, State], list[float]], list[Function]]:
    force = fall.slides[name][0]
    end = fall.slid + fall.left[name]
    share = fall.k2 / (fall.k1 + fall.k2)

    def rhs(_: float, s: State) -> list[float]:
        return [s[1], G - force / fall.mass, (fall.sliding(s, force)[0] - s[2]) / fall.tau]

    def runs_out(_: float, s: State) -> float:
        return fall.sliding(s, force)[1] - end

    def sticks(_: float, s: State) -> float:
        return s[1] - share * (fall.sliding(s, force)[0] - s[2]) / fall.tau

    return rhs, [_ending(runs_out, 1), _ending(sticks, -1)]
