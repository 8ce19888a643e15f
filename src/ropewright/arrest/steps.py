"""Falls laid out for the kernel: what its rows hold, how long a step is, and the run over all cores."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import kernel as k
from ropewright.arrest.parts import GRAVITY, Parts

__all__ = ["ERROR_BOUND", "Falls", "likely_steps", "step_length"]

Floats = NDArray[np.float64]

#: Relative error in distance and force that the steps may bring. [-]
ERROR_BOUND = 3e-5

#: Force of a sliding part that is not there: far beyond any, and finite so that it can be multiplied. [N]
_NEVER = 1e15

#: A fall that creeps to rest without ever turning counts as at rest below this speed. [m/s]
_REST_SPEED = 1e-6

#: Average deployment force counts what lies above 500 lbf. [N] Source: note of an engineering consultancy on
#: ANSI/ASSP Z359.13, read second hand.
AVERAGE_ABOVE = 500 * 4.4482216152605

#: Up to this many falls are marched uncompiled (2 ms each) rather than wait for numba (0.5 s).
_FEW = 4
_FEW_STEPS = 20_000

_STATE = (
    *(k.TRAVEL, k.SPEED, k.ROPE, k.ARM, k.SLIP_1, k.SLIP_2),
    *(k.DAMPED, k.PEAK, k.IMPULSE, k.COUNTED, k.STEPS),
)

#: Below this many blocks a second thread costs more than it saves.
_BLOCKS_PER_THREAD = 32


def step_length(parts: Parts, error_bound: float = ERROR_BOUND) -> Floats:
    """Time step that keeps the error of a catch within a bound.

    Parameters
    ----------
    parts : Parts, shape (n,)
    error_bound : float
        Relative error in distance and force, above 0. [-]

    Returns
    -------
    array, shape (n,)
        [s]

    Notes
    -----
    h = sqrt(8 e/3)/w, with w = sqrt(K/m) the frequency of the mass on the chain at its stiffest. Three errors are each
    below (w h)^2/8, and may add up: the leapfrog's, which makes a spring's peak that much too high at most; the
    peak's between two steps; and the speed's at a kink, K v h^2/(8 m) where an absorber starts amid a step. Derived
    here. On 4,000 random chains distances kept to the bound and forces did in 19 of 20; where an absorber is only just
    spent the little energy left carries the whole error, and forces were up to seven times the bound too high.
    """
    rope = parts.stiffness + np.where(parts.relaxation_time > 0, parts.fast_stiffness, 0.0)
    stiffest = 1.0 / (1.0 / rope + parts.compliance)
    h: Floats = np.sqrt(8.0 / 3.0 * error_bound * parts.mass / stiffest)
    return h


def likely_steps(parts: Parts, step: Floats) -> Floats:
    """Roughly how many steps each catch takes, so that falls alike can share a block, shape (n,).

    A quarter of a swing where nothing slides; else the time to the slide and that of an even stop.
    """
    speed = np.sqrt(2 * GRAVITY * parts.drop)
    rope = parts.stiffness + np.where(parts.relaxation_time > 0, parts.fast_stiffness, 0.0)
    stiffest = 1.0 / (1.0 / rope + parts.compliance)
    frequency = np.sqrt(stiffest / parts.mass)
    absorber = np.where(parts.has_absorber, parts.absorber_force, _NEVER)
    slides_at = np.minimum(absorber, np.where(parts.has_slip, parts.grab_slip_force, _NEVER))
    elastic = parts.mass * speed * frequency + parts.weight <= slides_at
    stop = parts.mass * speed / np.maximum(slides_at - parts.weight, 0.05 * parts.weight)
    sliding = slides_at / (stiffest * np.maximum(speed, 0.1)) + stop
    steps: Floats = np.where(elastic, 0.5 * np.pi / frequency, sliding) / step
    return steps


class Falls:
    """Falls in the kernel's layout, the state as it is after the last run.

    Rows: STEP time step, INVERSE_MASS, SENSE +1 down or -1 up, REST speed below which a fall is at rest, WINDOW force
    above which the average counts; rope: PULL stiffness over a step and GIVE one over it, SLOW k1, DECAY and GAIN of
    the second spring over a step, FAST_GIVE 1/k2; SHARE of a stretch beyond sliding that the rope takes times PULL's
    force, LOCK_SHARE the same while a spent absorber gives, above LOCK_FORCE, LOCK_PULL its part in the balance;
    FORCE, LENGTH, OFFSET of the two sliding parts, the weaker first: force, greatest slide, and stretch of the plain
    springs at that force. State: TRAVEL and SPEED of the mass, stretch of ROPE, force in its ARM (the second spring),
    SLIP of the sliding parts, DAMPED work, PEAK force, IMPULSE and COUNTED steps above the window, STEPS done.

    Parameters
    ----------
    parts : Parts, shape (n,)
    error_bound : float
        See `step_length`. [-]
    """

    def __init__(self, parts: Parts, error_bound: float) -> None:
        self.parts = parts
        self.error_bound = error_bound
        self.count = len(parts.mass)
        blocks = -(-self.count // k.LANES)
        self.blocks = np.zeros((blocks, k.BLOCK))
        self.grab_first = _grab_first(parts)
        step = step_length(parts, error_bound)
        # a block runs until its slowest fall is done: those of a length together leave a tenth of it idle, not a third
        self.order = np.argsort(likely_steps(parts, step), kind="stable")
        self._put_motion(step)
        self._put_rope()
        self._put_slides()

    def get(self, row: int) -> Floats:
        """Return a copy of one row, shape (n,)."""
        values = np.empty(self.count)
        values[self.order] = self.blocks[:, row : row + k.LANES].reshape(-1)[: self.count]
        return values

    def put(self, row: int, values: Floats | float) -> None:
        """Set one row; lanes beyond the last fall stay 0, and so never move."""
        filled = np.zeros(len(self.blocks) * k.LANES)
        filled[: self.count] = np.broadcast_to(values, self.count)[self.order]
        self.blocks[:, row : row + k.LANES] = filled.reshape(-1, k.LANES)

    def chosen(self, index: NDArray[np.intp], error_bound: float | None = None) -> Falls:
        """Return some of the falls where they are now, as a copy, with another length of step if asked."""
        new = Falls(Parts(*(values[index] for values in self.parts)), error_bound or self.error_bound)
        for row in (*_STATE, k.SENSE, k.REST):
            new.put(row, self.get(row)[index])
        if error_bound is not None:
            new.put(k.SPEED, self.speed[index] + 0.5 * new.get(k.STEP) * new.acceleration)
        return new

    def run(self, most: int) -> None:
        """March all falls until their speed turns, or `most` steps are done."""
        if self.count <= _FEW and not k.is_compiled():
            k.march(self.blocks, 0, 1, self.count, min(most, _FEW_STEPS))
            if most <= _FEW_STEPS or not self.moving.any():
                return
        march = k.compiled()
        blocks = len(self.blocks)
        threads = min(_cores(), blocks // _BLOCKS_PER_THREAD)
        if threads < 2:
            march(self.blocks, 0, blocks, k.LANES, most)
            return
        # several spans a thread, because falls differ in length; which thread takes which changes no number
        edges = np.linspace(0, blocks, 4 * threads + 1).astype(int).tolist()

        def span(ends: tuple[int, int]) -> None:
            march(self.blocks, ends[0], ends[1], k.LANES, most)

        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(span, pairwise(edges)))

    def one_step(self) -> None:
        """March the first block's first fall alone by one step, uncompiled."""
        k.march(self.blocks, 0, 1, 1, 1)

    @property
    def moving(self) -> NDArray[np.bool_]:
        """True where a fall's speed has not turned."""
        return self.get(k.SPEED) * self.get(k.SENSE) > self.get(k.REST)

    @property
    def force(self) -> Floats:
        """Force in the chain [N]."""
        return self.parts.stiffness * self.get(k.ROPE) + self.get(k.ARM)

    @property
    def speed(self) -> Floats:
        """Speed at the same time as the rest of the state, downward [m/s]."""
        return self.get(k.SPEED) - 0.5 * self.get(k.STEP) * self.acceleration

    @property
    def acceleration(self) -> Floats:
        """Downward [m/s2]."""
        a: Floats = GRAVITY - self.force / self.parts.mass
        return a

    @property
    def absorber_opening(self) -> Floats:
        """How far the absorber has opened, without its lock-out's own stretch [m]."""
        return np.where(self.grab_first, self.get(k.SLIP_2), self.get(k.SLIP_1))

    @property
    def grab_slip(self) -> Floats:
        """How far the locked grab has slid [m]."""
        return np.where(self.grab_first, self.get(k.SLIP_1), self.get(k.SLIP_2))

    def _put_motion(self, step: Floats) -> None:
        self.put(k.STEP, step)
        self.put(k.INVERSE_MASS, 1.0 / self.parts.mass)
        self.put(k.SENSE, self.parts.ends.astype(np.float64))  # what nothing stops is not marched
        self.put(k.REST, _REST_SPEED)
        self.put(k.WINDOW, AVERAGE_ABOVE)
        self.put(k.SPEED, np.sqrt(2 * GRAVITY * self.parts.drop) + 0.5 * step * GRAVITY)

    def _put_rope(self) -> None:
        p, step = self.parts, self.get(k.STEP)
        with np.errstate(divide="ignore"):
            ratio = np.where(p.relaxation_time > 0, step / p.relaxation_time, np.inf)
            fast_give = np.where(p.fast_stiffness > 0, 1.0 / p.fast_stiffness, 0.0)
        # mean of exp(-t/tau) over the step: 1 as tau goes to infinity, 0 as it goes to 0
        mean = np.where(ratio > 0, -np.expm1(-ratio) / np.maximum(ratio, 1e-300), 1.0)
        gain = p.fast_stiffness * mean
        pull = p.stiffness + gain
        for row, values in (
            (k.PULL, pull),
            (k.GIVE, 1.0 / pull),
            (k.SLOW, p.stiffness),
            (k.DECAY, np.exp(-ratio)),
            (k.GAIN, gain),
            (k.FAST_GIVE, fast_give),
        ):
            self.put(row, values)

    def _put_slides(self) -> None:
        p, pull = self.parts, self.get(k.PULL)
        absorber = np.where(p.has_absorber, p.absorber_force, _NEVER)
        grab = np.where(p.has_slip, p.grab_slip_force, _NEVER)
        lockout = np.where(p.has_absorber, 1.0 / p.lockout_stiffness, 0.0)
        opens = np.where(p.has_absorber, p.absorber_length, 0.0)
        slides = np.where(p.has_slip, p.grab_slip_length, 0.0)
        first = self.grab_first
        force_1, force_2 = np.where(first, grab, absorber), np.where(first, absorber, grab)
        self.put(k.FORCE_1, force_1)
        self.put(k.FORCE_2, force_2)
        self.put(k.LENGTH_1, np.where(first, slides, opens))
        self.put(k.LENGTH_2, np.where(first, opens, slides))
        self.put(k.OFFSET_1, force_1 * p.compliance)  # never above the absorber's force, so never in its lock-out
        self.put(k.OFFSET_2, force_2 * p.compliance + np.maximum(force_2 - absorber, 0.0) * lockout)
        self.put(k.SHARE, 1.0 / (1.0 + pull * p.compliance))
        self.put(k.LOCK_SHARE, 1.0 / (1.0 + pull * (p.compliance + lockout)))
        self.put(k.LOCK_FORCE, absorber)
        self.put(k.LOCK_PULL, pull * absorber * lockout)


def _grab_first(parts: Parts) -> NDArray[np.bool_]:
    """Return True where the grab slides at no more than the absorber opens at."""
    grab = np.where(parts.has_slip, parts.grab_slip_force, _NEVER)
    absorber = np.where(parts.has_absorber, parts.absorber_force, _NEVER)
    return grab <= absorber


def _cores() -> int:
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # only Linux says which cores this process may use
        return os.cpu_count() or 1
