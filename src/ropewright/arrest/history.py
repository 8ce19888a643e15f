"""One fall followed in time: height, speed, force and what each part does, with its phases named."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import kernel as k
from ropewright.arrest.catch import ENERGY_TOLERANCE, CatchError
from ropewright.arrest.curve import CurvedChain
from ropewright.arrest.curve_track import Track, follow_curve
from ropewright.arrest.energy import unplaced
from ropewright.arrest.parts import GRAVITY, Chain, Parts
from ropewright.arrest.steps import ERROR_BOUND, Falls

__all__ = ["History", "Phase", "catch_history"]

Floats = NDArray[np.float64]

#: Points that show the free fall, which needs no steps.
_FREE_FALL_POINTS = 24

#: Steps followed at most.
_MOST_STEPS = 60_000


class Phase(StrEnum):
    """What is going on in the chain."""

    FREE_FALL = "free fall"
    STRETCH = "stretching"
    GRAB = "grab sliding"
    ABSORBER = "absorber opening"
    LOCKED_OUT = "absorber spent"
    REBOUND = "rebound"
    SLACK = "slack"


@dataclass(frozen=True)
class History:
    """A fall in time; all arrays run over the same moments."""

    time: Floats  #: since release [s]
    height: Floats  #: of the D-ring over where it was released; negative below [m]
    speed: Floats  #: downward [m/s]
    force: Floats  #: in the chain [N]
    absorber: Floats  #: how far it has opened [m]
    grab: Floats  #: how far it has slid [m]
    rope_stretch: Floats  #: [m]
    phase: tuple[Phase, ...]


def catch_history(chain: Chain, *, duration: float = 3.0, error_bound: float = ERROR_BOUND) -> History:
    """One fall followed in time, through its first rest and what comes after.

    Parameters
    ----------
    chain : Chain, shape (1,)
    duration : float
        How long to follow it after the first tension, above 0; at most 60,000 steps are taken. [s]
    error_bound : float
        See `ropewright.arrest.steps.step_length`. [-]

    Returns
    -------
    History

    Raises
    ------
    ValueError
        If the chain is not one fall, or the duration is not above 0.
    CatchError
        If its energy account does not balance.

    Examples
    --------
    >>> fall = catch_history(Chain(mass=100.0, free_fall=2.0, stiffness=10_000.0), duration=0.5)
    >>> fall.force.max().round(), fall.height.min().round(3)
    (np.float64(7320.0), np.float64(-2.732))
    >>> [phase.value for phase in dict.fromkeys(fall.phase)]
    ['free fall', 'stretching', 'rebound', 'slack']
    """
    if len(chain) != 1:
        raise ValueError(f"a history is of one fall, got {len(chain)}")
    if not duration > 0:
        raise ValueError(f"duration must be above 0 s, got {duration:g}")
    if isinstance(chain, CurvedChain):
        return _assemble(chain.parts, follow_curve(chain, duration, error_bound, _MOST_STEPS))
    return _assemble(chain.parts, _follow(chain, duration, error_bound, _MOST_STEPS))


def _follow(chain: Chain, duration: float, error_bound: float, most: int) -> Track:
    """State after each step, from the kernel."""
    falls = Falls(chain.parts, error_bound)
    step = float(falls.get(k.STEP)[0])
    steps = min(int(np.ceil(duration / step)), most)
    block = falls.blocks[0]
    falls.put(k.SENSE, 1.0)
    falls.put(k.REST, -np.inf)  # never at rest: carries on through it
    columns = (k.TRAVEL, k.SPEED, k.ROPE, k.ARM, k.SLIP_1, k.SLIP_2)
    rows = np.empty((steps + 1, len(columns)))
    rows[0] = [block[c] for c in columns]
    for i in range(1, steps + 1):
        falls.one_step()
        rows[i] = [block[c] for c in columns]
    travel, half_speed, rope, arm, slip_1, slip_2 = rows.T
    _check_energy(falls, float(travel.max()))
    force = float(falls.parts.stiffness[0]) * rope + arm
    speed = half_speed - 0.5 * step * (GRAVITY - force / float(falls.parts.mass[0]))
    grab, absorber = (slip_1, slip_2) if falls.grab_first[0] else (slip_2, slip_1)
    return Track(step, travel, speed, force, rope, absorber, grab)


def _check_energy(falls: Falls, deepest: float) -> None:
    """Refuse a history whose account is off by more than half a percent of the most it ever released."""
    most = float((falls.parts.weight * (falls.parts.drop + deepest))[0])
    error = float(np.abs(unplaced(falls))[0]) / max(most, 1e-300)
    if not error <= ENERGY_TOLERANCE:
        raise CatchError(f"the energy account of the history is off by {error:.2%}")


def _assemble(parts: Parts, track: Track) -> History:
    """Put the free fall before the track, and name what goes on."""
    drop = float(parts.drop[0])
    start = np.sqrt(2 * drop / GRAVITY)
    before = np.linspace(0.0, start, _FREE_FALL_POINTS if drop > 0 else 0, endpoint=False)
    none = np.zeros_like(before)
    return History(
        time=np.concatenate([before, start + track.step * np.arange(len(track.travel))]),
        height=np.concatenate([-0.5 * GRAVITY * before**2, -drop - track.travel]),
        speed=np.concatenate([GRAVITY * before, track.speed]),
        force=np.concatenate([none, track.force]),
        absorber=np.concatenate([none, track.absorber]),
        grab=np.concatenate([none, track.grab]),
        rope_stretch=np.concatenate([none, track.rope]),
        phase=(Phase.FREE_FALL,) * len(before) + _phases(parts, track),
    )


def _phases(parts: Parts, track: Track) -> tuple[Phase, ...]:
    force, absorber = track.force, track.absorber
    opens = np.diff(absorber, prepend=0.0) > 0
    slides = np.diff(track.grab, prepend=0.0) > 0
    spent = parts.has_absorber[0] & (absorber >= parts.absorber_length[0]) & (force > parts.absorber_force[0])
    is_slack = force <= 0
    is_slack[0] = False
    names = np.select(
        [is_slack, opens, slides, track.speed < 0, spent],
        [p.value for p in (Phase.SLACK, Phase.ABSORBER, Phase.GRAB, Phase.REBOUND, Phase.LOCKED_OUT)],
        Phase.STRETCH.value,
    )
    return tuple(Phase(name) for name in names.tolist())
