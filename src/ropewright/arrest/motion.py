"""Falls in three dimensions over the edges of a roof: slide, free fall, catch, swing round corners, rest.

One equation for all of it, m x'' = -m g z - T grad l + contact, with x the D-ring, l(A, x) the taut rope and T the
force of the chain at its stretch l - L. Derived in docs/derivations-motion.md.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_rows as r
from ropewright.arrest.catch import ENERGY_TOLERANCE, CatchError
from ropewright.arrest.motion_account import Account, account_of
from ropewright.arrest.motion_blocks import MotionBlocks
from ropewright.arrest.motion_end import hang_of, met_of
from ropewright.arrest.motion_launch import Body, Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.parts import Chain

__all__ = ["ERROR_BOUND", "Motions", "Outcome", "motion"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Greatest share of error in speed and force that a step may bring; see `ropewright.arrest.steps.step_length`. [-]
ERROR_BOUND = 1e-4


class Outcome(IntEnum):
    """What a fall has come to."""

    HANGS = 1  #: at rest on the rope
    LIES = 2  #: at rest on the roof, the rope slack
    MET = 3  #: met something: the ground, a lower roof, an obstacle, a wall of another wing; followed no further
    SWINGS = 4  #: swings on: nothing that is modelled slows it any more
    TIMES_OUT = 5  #: still moving at the time limit


@dataclass(frozen=True)
class Motions:
    """What each of n falls did; places (n, 3), times since the start; nan where there is nothing to tell.

    Numbers of a fall that is not `solved` are nan throughout.
    """

    outcome: Integers  #: (n,) an `Outcome`
    time: Floats  #: (n,) when it was followed to [s]
    peak_force: Floats  #: (n,) greatest force on the D-ring [N]
    peak_time: Floats  #: (n,) [s]
    anchor_force: Floats  #: (n,) greatest force on the anchor side of the edge [N]
    lowest: Floats  #: (n,) lowest height of the D-ring [m]
    rest_time: Floats  #: (n,) when it came to rest; nan if it did not [s]
    end: Floats  #: (n, 3) D-ring at the end [m]
    hang: Floats  #: (n, 3) D-ring once it hangs still; nan where it met something or lies on the roof [m]
    bend: Floats  #: (n, 3) where the rope then lies on the edge; nan likewise [m]
    swing: Floats  #: (n,) furthest level distance round the boundary from the start [m]
    far_side: Floats  #: (n,) furthest level distance beyond where it comes to hang [m]
    over_speed: Floats  #: (n,) speed as it leaves the roof; nan if it does not [m/s]
    met: Integers  #: (n,) index of the thing it met; from `len(things)` on, edges of the rim; -1: none; -2: its floor
    met_place: Floats  #: (n, 3) D-ring as it met it [m]
    met_speed: Floats  #: (n,) [m/s]
    met_time: Floats  #: (n,) [s]
    wall_speed: Floats  #: (n,) greatest speed into the wall under the edge; 0: not touched [m/s]
    wall_place: Floats  #: (n, 3) D-ring there [m]
    wall_time: Floats  #: (n,) [s]
    drag_length: Floats  #: (n,) way that the loaded rope was dragged along the edge [m]
    drag_peak_tension: Floats  #: (n,) greatest tension while it was dragged [N]
    drag_work: Floats  #: (n,) tension times way, summed up [J]
    absorber_opening: Floats  #: (n,) [m]
    grab_slip: Floats  #: (n,) [m]
    energy: Account  #: where the energy went
    energy_error: Floats  #: (n,) what is missing or too much in that account, over what the fall released [-]
    solved: Bools  #: (n,) False: the account does not balance to half a percent
    _blocks: MotionBlocks = field(repr=False, compare=False)

    def __len__(self) -> int:
        return len(self.peak_force)

    def require_solved(self) -> Motions:
        """Return self if every fall's energy account balances.

        Raises
        ------
        CatchError
            Says which does not.
        """
        if self.solved.all():
            return self
        i = int(np.flatnonzero(~self.solved)[0])
        raise CatchError(f"fall {i}: its energy account is off by {self.energy_error[i]:.2%}")

    @cached_property
    def outcomes(self) -> tuple[Outcome, ...]:
        """Outcome of each fall."""
        return tuple(Outcome(int(value)) for value in self.outcome)


def motion(
    scene: Scene,
    launch: Launch,
    chain: Chain,
    *,
    body: Body | None = None,
    time_limit: float = 60.0,
    rest_speed: float = 0.1,
    least_loss: float = 0.02,
    error_bound: float = ERROR_BOUND,
    uncompiled: bool = False,
) -> Motions:
    """Follow falls in three dimensions until each is at rest or has met something.

    Parameters
    ----------
    scene : Scene
        The rim they go over, and the things round it.
    launch : Launch, shape (n,)
    chain : Chain, shape (n,) or (1,)
        The whole rope's stiffness, from the anchor to the grab; `free_fall` is not used, the start says it.
    body : Body, optional
        A point without it.
    time_limit : float
        Above 0. [s]
    rest_speed : float
        A body that stays slower for half a swing is at rest, above 0. [m/s]
    least_loss : float
        A swing that loses no more than this share of its motion energy goes on for ever, as far as this is modelled.
        At 0 every swing is followed to the time limit. [-]
    error_bound : float
        Greatest relative error in speed and force that the time step may bring, above 0. [-]
    uncompiled : bool
        Follow them in plain Python however many they are: right for a dozen.

    Returns
    -------
    Motions, shape (n,)
        Each fall's numbers are the same whatever the others are, and on any number of threads.

    Raises
    ------
    ValueError
        If a number is out of its range, or shapes don't broadcast.

    Examples
    --------
    A body falls 2 m beside an eave, 5 m below its anchor on the slope, and hangs plumb below it:

    >>> from ropewright.arrest.rim import Rim, RimEdge
    >>> anchor = np.array([0.0, 4.0, 3.0])
    >>> eave = RimEdge(np.array([-9.0, 0, 0]), np.array([9.0, 0, 0]), np.array([0.0, -0.6, 0.8]))
    >>> rim = Rim([eave], lambda points: (np.linalg.norm(points - anchor, axis=1), np.tile(anchor, (len(points), 1))))
    >>> chain = Chain(mass=100.0, free_fall=0.0, stiffness=10_000.0)
    >>> fall = motion(Scene(rim), Launch(edge=0, place=[0.0, 0.0, 0.0], length=7.0), chain, time_limit=1.0)
    >>> fall.peak_force.round(-1), fall.lowest.round(2)
    (array([7320.]), array([-2.73]))
    """
    for name, value in (("time_limit", time_limit), ("rest_speed", rest_speed), ("error_bound", error_bound)):
        if not value > 0:
            raise ValueError(f"{name} must be above 0, got {value}")
    body = body or Body()
    blocks = MotionBlocks(scene, launch, chain, body, time_limit, rest_speed, error_bound, uncompiled=uncompiled)
    blocks.run(least_loss)
    return _results(blocks)


def _results(b: MotionBlocks) -> Motions:
    energy = account_of(b)
    error = energy.error
    solved = error <= ENERGY_TOLERANCE
    (outcome, met, met_place, met_time), speed = met_of(b), b.speed
    hangs = solved & ~np.isin(outcome, [Outcome.MET, Outcome.LIES])
    hang, bend, hang_round = hang_of(b)
    is_met = solved & (outcome == Outcome.MET)
    touched = solved & (b.get(r.WALL_SPEED) > 0)
    rests = solved & np.isin(outcome, [Outcome.HANGS, Outcome.LIES])
    over = b.get(r.OVER_SPEED_2)
    low, high, start = b.get(r.ROUND_LOW), b.get(r.ROUND_HIGH), b.start_round
    beyond = np.where(hang_round >= start, high - hang_round, hang_round - low)

    def known(values: Floats, when: Bools = solved) -> Floats:
        return np.where(when[:, None] if values.ndim == 2 else when, values, np.nan)

    return Motions(
        outcome=outcome,
        time=b.get(r.TIME),
        peak_force=known(b.get(r.PEAK)),
        peak_time=known(b.get(r.PEAK_TIME)),
        anchor_force=known(b.get(r.FAR_PEAK)),
        lowest=known(b.get(r.LOWEST)),
        rest_time=known(b.get(r.LAST_FAST), rests),
        end=known(b.point(r.X)),
        hang=known(hang, hangs),
        bend=known(bend, hangs),
        swing=known(np.maximum(high - start, start - low)),
        far_side=known(np.maximum(beyond, 0.0), hangs),
        over_speed=known(np.sqrt(np.maximum(over, 0.0)), solved & (over >= 0) & (b.get(r.IS_OVER) > 0)),
        met=met,
        met_place=known(met_place, is_met),
        met_speed=known(np.linalg.norm(speed, axis=1), is_met),
        met_time=known(met_time, is_met),
        wall_speed=known(b.get(r.WALL_SPEED)),
        wall_place=known(b.point(r.WALL_HIT_X), touched),
        wall_time=known(b.get(r.WALL_HIT_TIME), touched),
        drag_length=known(b.get(r.DRAG)),
        drag_peak_tension=known(b.get(r.DRAG_PEAK)),
        drag_work=known(b.get(r.DRAG_WORK)),
        absorber_opening=known(np.where(b.grab_first, b.get(r.SLIP_2), b.get(r.SLIP_1))),
        grab_slip=known(np.where(b.grab_first, b.get(r.SLIP_1), b.get(r.SLIP_2))),
        energy=energy,
        energy_error=error,
        solved=solved,
        _blocks=b,
    )
