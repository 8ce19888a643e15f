"""One fall in three dimensions followed in time, with its phases named, for drawing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_rows as r
from ropewright.arrest.catch import ENERGY_TOLERANCE, CatchError
from ropewright.arrest.motion import ERROR_BOUND
from ropewright.arrest.motion_account import account_of
from ropewright.arrest.motion_blocks import MotionBlocks
from ropewright.arrest.motion_launch import Body, Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.parts import Chain

__all__ = ["MotionHistory", "MotionPhase", "motion_history"]

Floats = NDArray[np.float64]

#: A body this near the roof's plane slides on it. [m]
_ON_ROOF = 1e-3
_COLUMNS = (
    *(r.TIME, r.X, r.Y, r.Z, r.VX, r.VY, r.VZ, r.FORCE, r.FAR_FORCE, r.SLIP_1, r.SLIP_2),
    *(r.WALL_AWAY, r.FACET_X, r.FACET_Y, r.FACET_Z, r.FACET_AT),
)


class MotionPhase(StrEnum):
    """What is going on in a fall."""

    SLIDE = "sliding on the roof"
    FREE_FALL = "free fall"
    CATCH = "catch"
    SLACK = "rope slack"
    SWING = "swinging"


@dataclass(frozen=True)
class MotionHistory:
    """A fall in time; all arrays run over the same m moments, one a step."""

    time: Floats  #: (m,) since the start [s]
    place: Floats  #: (m, 3) D-ring [m]
    speed: Floats  #: (m,) [m/s]
    force: Floats  #: (m,) on the D-ring [N]
    anchor_force: Floats  #: (m,) on the anchor side of the edge [N]
    absorber: Floats  #: (m,) how far it has opened [m]
    grab: Floats  #: (m,) how far it has slid [m]
    phase: tuple[MotionPhase, ...]


def motion_history(
    scene: Scene,
    launch: Launch,
    chain: Chain,
    *,
    body: Body | None = None,
    duration: float = 10.0,
    rest_speed: float = 0.1,
    least_loss: float = 0.02,
    error_bound: float = ERROR_BOUND,
) -> MotionHistory:
    """One fall in three dimensions followed in time.

    Parameters
    ----------
    scene, launch, chain, body, rest_speed, least_loss, error_bound
        See `ropewright.arrest.motion.motion`; of one fall.
    duration : float
        How long to follow it at most, above 0; it ends earlier where the fall is over. [s]

    Returns
    -------
    MotionHistory
        The steps are those of `motion`, so that its greatest force is the same.

    Raises
    ------
    ValueError
        If it is not one fall, or a number is out of its range.
    CatchError
        If its energy account does not balance.

    Examples
    --------
    >>> from ropewright.arrest.rim import Rim, RimEdge
    >>> anchor = np.array([0.0, 4.0, 3.0])
    >>> eave = RimEdge(np.array([-9.0, 0, 0]), np.array([9.0, 0, 0]), np.array([0.0, -0.6, 0.8]))
    >>> rim = Rim([eave], lambda points: (np.linalg.norm(points - anchor, axis=1), np.tile(anchor, (len(points), 1))))
    >>> fall = motion_history(
    ...     Scene(rim), Launch(edge=0, place=[1.0, 0.0, 0.0], length=7.0),
    ...     Chain(mass=100.0, free_fall=0.0, stiffness=10_000.0), duration=1.2,
    ... )
    >>> [phase.value for phase in dict.fromkeys(fall.phase)]
    ['free fall', 'catch', 'swinging', 'rope slack']
    """
    if not duration > 0:
        raise ValueError(f"duration must be above 0 s, got {duration:g}")
    b = MotionBlocks(scene, launch, chain, body or Body(), duration, rest_speed, error_bound)
    if b.count != 1:
        raise ValueError(f"a history is of one fall, got {b.count}")
    rows = np.array(_follow(b, least_loss))
    error = float(account_of(b).error[0])
    if error > ENERGY_TOLERANCE:
        raise CatchError(f"the energy account of the history is off by {error:.2%}")
    return _assemble(b, rows)


def _follow(b: MotionBlocks, least_loss: float) -> list[Floats]:
    """State after each step, the columns of `_COLUMNS`."""
    lane, one, none = int(b.lane[0]), np.ones(1, np.int64), np.zeros(1, np.int64)
    columns = np.array(_COLUMNS) + lane
    rows = [b.blocks[0, columns]]
    while b.get(r.ON)[0] > 0.0:
        for _ in range(int(b.steps[0])):
            b.march(0, steps=one)
            if b.get(r.ON)[0] > 0.0:
                rows.append(b.blocks[0, columns])
        b.march(1, least_loss, steps=none)
    return rows


def _assemble(b: MotionBlocks, rows: Floats) -> MotionHistory:
    time, x, y, z, *_ = rows.T
    half = rows[:, 4:7]  # half a step before each moment
    speeds = np.vstack([b.velocity[:1], 0.5 * (half[1:-1] + half[2:]), half[-1:]])[: len(rows)]
    force, far_force, slip_1, slip_2, wall = rows.T[7:12]
    roof = (rows[:, 12:15] * rows[:, 1:4]).sum(axis=1) - rows[:, 15]
    absorber, grab = (slip_2, slip_1) if b.grab_first[0] else (slip_1, slip_2)
    return MotionHistory(
        time=time,
        place=np.column_stack([x, y, z]),
        speed=np.linalg.norm(speeds, axis=1),
        force=force,
        anchor_force=far_force,
        absorber=absorber,
        grab=grab,
        phase=_phases(force, (np.abs(roof) < _ON_ROOF) & (wall < 0.0)),
    )


def _phases(force: Floats, on_roof: NDArray[np.bool_]) -> tuple[MotionPhase, ...]:
    """Phase at each moment; the catch lasts from the first tension until the force first falls."""
    taut = force > 0
    first = int(np.argmax(taut)) if taut.any() else len(force)
    falls = np.flatnonzero(np.diff(force[first:]) < 0)
    caught = first + int(falls[0]) if len(falls) else len(force)
    moment = np.arange(len(force))
    names = np.select(
        [on_roof, moment < first, moment <= caught, ~taut],
        [p.value for p in (MotionPhase.SLIDE, MotionPhase.FREE_FALL, MotionPhase.CATCH, MotionPhase.SLACK)],
        MotionPhase.SWING.value,
    )
    return tuple(MotionPhase(name) for name in names.tolist())
