"""The force of a fall's chain at the stretch now, with the rope held by the edge or running over it.

The chain is that of `ropewright.arrest.kernel`, taken over a step in the same way, with its rope in two lengths: one
on the body side of the edge, with grab, absorber and lanyard, and one beyond it, with the anchor. Friction over the
edge lets the forces of the two differ by a factor up to ``exp(mu turn)``; within that the edge holds the rope, and the
anchor side stretches by what the bend moves alone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_rows as r
from ropewright.arrest.motion_rows import USED

__all__ = ["chain", "hold", "pull", "relax", "run_free", "run_over"]

Floats = NDArray[np.float64]


def chain(
    e: float, give: float, rate: float, spent_rate: float, slack: float,
    force_1: float, spent_1: float, left_1: float, force_2: float, spent_2: float, left_2: float,
    lock: float, lock_stretch: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Force of a chain stretched by `e`, and what its sliding parts take up: the law of `ropewright.arrest.kernel`.

    Without sliding the stretch is ``give * force + slack``, and more by a spent absorber's lock-out beyond its force.
    """
    d1 = e - (force_1 * give + slack + spent_1)
    d1 = max(0.0, d1)
    d1 = min(left_1, d1)
    e = e - d1
    d2 = e - (force_2 * give + slack + spent_2)
    d2 = max(0.0, d2)
    d2 = min(left_2, d2)
    e = e - d2
    f = (e - slack) * rate
    locked = (e - slack + lock_stretch) * spent_rate
    f = f if f <= lock else locked
    return max(0.0, f), d1, d2


def hold(s: Floats) -> None:
    """Forces with the rope held by the edge, and whether it runs instead."""
    for j in range(USED):
        slip_1, slip_2 = s[r.SLIP_1 + j], s[r.SLIP_2 + j]
        far = s[r.FAR + j] + s[r.BEYOND + j] - s[r.BEYOND_BEFORE + j]
        e = s[r.NEAR + j] + s[r.BEYOND + j] - s[r.LENGTH + j] - slip_1 - slip_2 - far
        held, held_1, held_2 = chain(
            e, s[r.SIDE_N + j], s[r.RATE_STAY + j], s[r.SPENT_RATE_STAY + j], s[r.SLACK_N + j],
            s[r.FORCE_1 + j], s[r.SPENT_1 + j], s[r.LENGTH_1 + j] - slip_1,
            s[r.FORCE_2 + j], s[r.SPENT_2 + j], s[r.LENGTH_2 + j] - slip_2,
            s[r.LOCK_FORCE + j], s[r.LOCK_STRETCH + j],
        )  # fmt: skip
        held_far = (far - s[r.SLACK_F + j]) / s[r.SIDE_F + j]
        held_far = max(0.0, held_far)
        # masks of 0 and 1 rather than conditions: the compiler would turn those into branches
        runs_in = 1.0 if held_far < s[r.RATIO_IN + j] * held else 0.0
        runs_out = 1.0 if held_far > s[r.RATIO_OUT + j] * held else 0.0
        runs_out = 1.0 if held <= 0.0 else runs_out
        s[r.HELD + j], s[r.HELD_FAR + j], s[r.HELD_1 + j], s[r.HELD_2 + j] = held, held_far, held_1, held_2
        s[r.RUNS_IN + j], s[r.RUNS_OUT + j] = runs_in, (1.0 - runs_in) * runs_out


def run_over(s: Floats) -> None:
    """Some ropes run over the edge, the others are held."""
    for j in range(USED):
        slip_1, slip_2 = s[r.SLIP_1 + j], s[r.SLIP_2 + j]
        e = s[r.NEAR + j] + s[r.BEYOND + j] - s[r.LENGTH + j] - slip_1 - slip_2
        runs_in, runs_out = s[r.RUNS_IN + j], s[r.RUNS_OUT + j]
        runs, not_in = runs_in + runs_out, 1.0 - runs_in
        stays, side_f, slack_f = 1.0 - runs, s[r.SIDE_F + j], s[r.SLACK_F + j]
        run, run_1, run_2 = chain(
            e,
            runs_in * s[r.GIVE_IN + j] + not_in * s[r.GIVE_OUT + j],
            runs_in * s[r.RATE_IN + j] + not_in * s[r.RATE_OUT + j],
            runs_in * s[r.SPENT_RATE_IN + j] + not_in * s[r.SPENT_RATE_OUT + j],
            s[r.SLACK_N + j] + slack_f,
            s[r.FORCE_1 + j], s[r.SPENT_1 + j], s[r.LENGTH_1 + j] - slip_1,
            s[r.FORCE_2 + j], s[r.SPENT_2 + j], s[r.LENGTH_2 + j] - slip_2,
            s[r.LOCK_FORCE + j], s[r.LOCK_STRETCH + j],
        )  # fmt: skip
        ratio = runs_in * s[r.RATIO_IN + j] + not_in * s[r.RATIO_OUT + j]
        f = runs * run + stays * s[r.HELD + j]
        ff = runs * ratio * run + stays * s[r.HELD_FAR + j]
        held_far = s[r.FAR + j] + s[r.BEYOND + j] - s[r.BEYOND_BEFORE + j]
        far = runs * (ff * side_f + slack_f) + stays * held_far
        f0, ff0 = s[r.FORCE + j], s[r.FAR_FORCE + j]
        s[r.LOST_OVER + j] += 0.5 * (f - ff + f0 - ff0) * (far - held_far)
        s[r.FAR + j] = far
        s[r.SLIP_1 + j] = slip_1 + runs * run_1 + stays * s[r.HELD_1 + j]
        s[r.SLIP_2 + j] = slip_2 + runs * run_2 + stays * s[r.HELD_2 + j]
        time, peak, when, far_peak = s[r.TIME + j], s[r.PEAK + j], s[r.PEAK_TIME + j], s[r.FAR_PEAK + j]
        s[r.FORCE + j], s[r.FAR_FORCE + j] = f, ff
        s[r.PEAK_TIME + j] = time if f > peak else when
        s[r.PEAK + j] = max(f, peak)
        s[r.FAR_PEAK + j] = max(ff, far_peak)


def run_free(s: Floats) -> None:
    """All ropes run without friction: one force in all of the chain."""
    for j in range(USED):
        slip_1, slip_2 = s[r.SLIP_1 + j], s[r.SLIP_2 + j]
        slack_f = s[r.SLACK_F + j]
        f, d1, d2 = chain(
            s[r.NEAR + j] + s[r.BEYOND + j] - s[r.LENGTH + j] - slip_1 - slip_2,
            s[r.GIVE_IN + j], s[r.RATE_IN + j], s[r.SPENT_RATE_IN + j], s[r.SLACK_N + j] + slack_f,
            s[r.FORCE_1 + j], s[r.SPENT_1 + j], s[r.LENGTH_1 + j] - slip_1,
            s[r.FORCE_2 + j], s[r.SPENT_2 + j], s[r.LENGTH_2 + j] - slip_2,
            s[r.LOCK_FORCE + j], s[r.LOCK_STRETCH + j],
        )  # fmt: skip
        s[r.FAR + j] = f * s[r.SIDE_F + j] + slack_f
        s[r.SLIP_1 + j], s[r.SLIP_2 + j] = slip_1 + d1, slip_2 + d2
        time, peak, when = s[r.TIME + j], s[r.PEAK + j], s[r.PEAK_TIME + j]
        s[r.FORCE + j], s[r.FAR_FORCE + j] = f, f
        s[r.PEAK_TIME + j] = time if f > peak else when
        peak = max(f, peak)
        s[r.PEAK + j], s[r.FAR_PEAK + j] = peak, peak


def relax(s: Floats) -> None:
    """Stretch of the rope on both sides at the new force, and what it has relaxed and lost over the step."""
    for j in range(USED):
        on, decay, f, ff = s[r.ON + j], s[r.DECAY + j], s[r.FORCE + j], s[r.FAR_FORCE + j]
        give_n, give_f, xn, xf = s[r.GIVE_N + j], s[r.GIVE_F + j], s[r.ROPE_N + j], s[r.ROPE_F + j]
        qn, qf, slack_n, slack_f = s[r.ARM_N + j], s[r.ARM_F + j], s[r.SLACK_N + j], s[r.SLACK_F + j]
        dxn, dxf = on * (f * give_n + slack_n - xn), on * (ff * give_f + slack_f - xf)
        dqn = on * (f - s[r.SLOW_N + j] * (xn + dxn) - qn)
        dqf = on * (ff - s[r.SLOW_F + j] * (xf + dxf) - qf)
        # work done on the dashpots: the arm's mean force times the dashpot's own stretch
        lost_n = (qn + 0.5 * dqn) * (dxn - dqn * s[r.ARM_GIVE_N + j])
        lost_f = (qf + 0.5 * dqf) * (dxf - dqf * s[r.ARM_GIVE_F + j])
        s[r.DAMPED + j] += lost_n + lost_f
        xn, qn, xf, qf = xn + dxn, qn + dqn, xf + dxf, qf + dqf
        s[r.ROPE_N + j], s[r.ARM_N + j], s[r.ROPE_F + j], s[r.ARM_F + j] = xn, qn, xf, qf
        next_n, next_f = (s[r.GAIN_N + j] * xn - decay * qn) * give_n, (s[r.GAIN_F + j] * xf - decay * qf) * give_f
        s[r.SLACK_N + j] = slack_n + on * (next_n - slack_n)
        s[r.SLACK_F + j] = slack_f + on * (next_f - slack_f)


def pull(s: Floats, rubs: bool, relaxes: bool) -> None:
    """Work out the force on the body; `rubs`: with friction over the edge; `relaxes`: with ropes that relax."""
    if rubs:
        hold(s)
        run_over(s)
    else:
        run_free(s)
    if relaxes:
        relax(s)
