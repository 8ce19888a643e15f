"""The catch, step by step: written once in plain Python, and compiled by numba for batches.

Each lane of a block is one fall. Parameters and state of 16 falls lie side by side, row after row, so that the
compiler turns the loop over lanes into vector instructions; it has no branches for the same reason. Nothing depends
on the other lanes of a block, and floating-point operations are never reordered, so a fall's result is the same to
the last bit alone or in a batch, compiled or not, on any number of threads.

One step is leapfrog for the mass: with the speed known half a step ahead,
    y(t + h) = y(t) + h v(t + h/2)
    v(t + 3h/2) = v(t + h/2) + h (g - F(t + h)/m)
The parts are taken over the step exactly, for a stretch that grows evenly in it: the rope's force is F = k1 x + q with
q = DECAY q0 + GAIN (x - x0) at the end of the step, so F = PULL x + c, where c = DECAY q0 - GAIN x0.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
from numpy.typing import NDArray

__all__ = ["BLOCK", "LANES", "compiled", "is_compiled", "march"]

Floats = NDArray[np.float64]
March = Callable[[Floats, int, int, int, int], None]

#: Falls side by side in a block.
LANES = 16

#: Where each quantity of lane 0 stands in a block; what they are is said in `ropewright.arrest.steps`. Written out,
#: because numba takes four times as long over a row number times a width.
STEP, INVERSE_MASS, SENSE, REST, WINDOW = 0, 16, 32, 48, 64
PULL, GIVE, SLOW, DECAY, GAIN, FAST_GIVE = 80, 96, 112, 128, 144, 160
SHARE, LOCK_SHARE, LOCK_FORCE, LOCK_PULL = 176, 192, 208, 224
FORCE_1, OFFSET_1, LENGTH_1, FORCE_2, OFFSET_2, LENGTH_2 = 240, 256, 272, 288, 304, 320
TRAVEL, SPEED, ROPE, ARM, SLIP_1, SLIP_2 = 336, 352, 368, 384, 400, 416
DAMPED, PEAK, IMPULSE, COUNTED, STEPS = 432, 448, 464, 480, 496

#: Numbers in a block.
BLOCK = 512

_G = 9.80665  # [m/s2]; a literal here, so that the compiler sees a constant


def march(blocks: Floats, first: int, last: int, lanes: int, most: int) -> None:
    """Carry falls on until each one's speed has turned; writes their state in place.

    Parameters
    ----------
    blocks : array, shape (m, BLOCK)
        Parameters and state of 16 falls a block; speeds half a step ahead of the rest.
    first, last : int
        Blocks to carry on.
    lanes : int
        Falls of a block that are in use, from the first.
    most : int
        Steps after which to give up; such a fall's speed has then not turned.

    Notes
    -----
    A fall that has turned is frozen by a factor of 0 (`on`) on all that changes. A condition would cost the vector
    instructions: compilers make it masked stores, which some processors take a hundred times longer over. One long
    function, because numba keeps the vector instructions across a call only if it inlines, at thrice the time to
    compile.
    """
    for block in range(first, last):
        s = blocks[block]
        done = 0
        moving = 1.0
        while moving > 0.0 and done < most:
            span = min(8, most - done)
            done += span
            for _ in range(span):
                for j in range(lanes):
                    v = s[SPEED + j]
                    on = 1.0 if v * s[SENSE + j] > s[REST + j] else 0.0
                    h = on * s[STEP + j]
                    x0, q0 = s[ROPE + j], s[ARM + j]
                    y = s[TRAVEL + j] + h * v
                    give = s[GIVE + j]
                    c = s[DECAY + j] * q0 - s[GAIN + j] * x0
                    # what is longer than the chain at a sliding part's force, that part takes up: the weaker first
                    e = y - s[SLIP_1 + j] - s[SLIP_2 + j]
                    d1 = e - ((s[FORCE_1 + j] - c) * give + s[OFFSET_1 + j])
                    d1 = max(0.0, d1)
                    left = s[LENGTH_1 + j] - s[SLIP_1 + j]
                    d1 = min(left, d1)
                    e = e - d1
                    d2 = e - ((s[FORCE_2 + j] - c) * give + s[OFFSET_2 + j])
                    d2 = max(0.0, d2)
                    left = s[LENGTH_2 + j] - s[SLIP_2 + j]
                    d2 = min(left, d2)
                    # the rest stretches the rope and the plain springs, and a spent absorber above its force
                    t = s[PULL + j] * (e - d2) + c
                    f = t * s[SHARE + j]
                    locked = (t + s[LOCK_PULL + j]) * s[LOCK_SHARE + j]
                    f = f if f <= s[LOCK_FORCE + j] else locked
                    f = max(0.0, f)  # slack
                    x = (f - c) * give
                    dx = on * (x - x0)
                    dq = on * (f - s[SLOW + j] * x - q0)
                    f = on * f
                    peak = s[PEAK + j]
                    counts = on if f > s[WINDOW + j] else 0.0
                    s[TRAVEL + j] = y
                    s[SPEED + j] = v + h * (_G - f * s[INVERSE_MASS + j])
                    s[ROPE + j] = x0 + dx
                    s[ARM + j] = q0 + dq
                    s[SLIP_1 + j] += on * d1
                    s[SLIP_2 + j] += on * d2
                    # work done on the dashpot: the arm's mean force times the dashpot's own stretch
                    s[DAMPED + j] += (q0 + 0.5 * dq) * (dx - dq * s[FAST_GIVE + j])
                    s[PEAK + j] = max(peak, f)
                    s[IMPULSE + j] += counts * f
                    s[COUNTED + j] += counts
                    s[STEPS + j] += on
            moving = 0.0
            for j in range(lanes):
                moving += 1.0 if s[SPEED + j] * s[SENSE + j] > s[REST + j] else 0.0


_ready: list[March] = []


def is_compiled() -> bool:
    """Return True once the compiled `march` is at hand, so that using it costs nothing more."""
    return bool(_ready)


@cache
def compiled() -> March:
    """Return `march` compiled for this processor; it holds no lock of the interpreter while it runs.

    Notes
    -----
    The machine code is kept on disk beside the source, or in the user's cache folder; where neither can be written
    it is made anew in each process.
    """
    from numba import njit

    try:
        made: March = njit(nogil=True, cache=True, error_model="numpy")(march)
    except RuntimeError:  # no folder that can be written
        made = njit(nogil=True, error_model="numpy")(march)
    _ready.append(made)
    return made
