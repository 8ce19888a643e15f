"""What follows the first rest: rebound, later dips, and the hang."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import kernel as k
from ropewright.arrest.energy import recoverable, static_energy
from ropewright.arrest.steps import Falls

__all__ = ["hang_extension", "lowest_extension"]

Floats = NDArray[np.float64]

#: Turns after the first rest that are followed at most, up and down counted apart.
_MOST_TURNS = 40

#: Steps of one of them at most.
_MOST_STEPS = 200_000

#: Error that the steps may bring here, where it stays within what is allowed for below; see `step_length`. [-]
_ERROR_BOUND = 2e-3

#: A later dip that can be lower by no more than this share is not looked for, but allowed for. [-]
_ALLOWED = 1e-3


def hang_extension(falls: Falls) -> Floats:
    """Extension of each chain once its mass hangs still, shape (n,) [m].

    What has opened and slid stays; the rope carries the weight with its first spring alone.
    """
    parts, weight = falls.parts, falls.parts.weight
    spent = parts.has_absorber & (falls.absorber_opening >= parts.absorber_length)
    lockout = np.where(spent, np.maximum(weight - parts.absorber_force, 0.0) / parts.lockout_stiffness, 0.0)
    gone = falls.absorber_opening + falls.grab_slip
    extension: Floats = gone + weight / parts.stiffness + weight * parts.compliance + lockout
    return extension


def lowest_extension(falls: Falls, first_rest: Floats, solved: NDArray[np.bool_]) -> Floats:
    """Greatest extension that each chain ever reaches, shape (n,); errs high rather than low [m].

    Parameters
    ----------
    falls : Falls
        As they are at their first rest; left as they are.
    first_rest : array, shape (n,)
        Extension there. [m]
    solved : array of bool, shape (n,)
        The others are nan.

    Notes
    -----
    Only a rope that relaxes can sink below the first rest. Energy in motion and springs only falls, and a rest at an
    extension takes at least the relaxed chain's energy there: once there is less, no later dip is lower. Until then
    the motion is followed. Where 40 turns do not settle it, the rope relaxes so slowly that the rest follows in closed
    form (`_slow_envelope`). Derived here. Against histories of 300 random chains it was between 0.2 % low and 2 %
    high; high by 0.1 % where the rope relaxes within a few swings.
    """
    lowest = np.where(solved, np.maximum(first_rest, hang_extension(falls)), np.nan)
    index = np.flatnonzero(solved & _relaxes(falls))
    allowed, sure = _allow(falls, lowest)
    lowest[index], index = allowed[index], index[~sure[index]]
    if not len(index):
        return lowest
    moving = falls.chosen(index, _ERROR_BOUND)
    moving.put(k.REST, 0.0)
    for turn in range(_MOST_TURNS):
        moving.put(k.SENSE, -1.0 if turn % 2 == 0 else 1.0)
        moving.run(_MOST_STEPS)
        low = np.maximum(lowest[index], np.maximum(moving.get(k.TRAVEL), hang_extension(moving)))
        lowest[index], sure = _allow(moving, low)
        index = index[~sure]
        if not len(index):
            return lowest
        moving = moving.chosen(np.flatnonzero(~sure)) if sure.any() else moving
    lowest[index] = np.maximum(lowest[index], _slow_envelope(moving))
    return lowest


def _relaxes(falls: Falls) -> NDArray[np.bool_]:
    parts = falls.parts
    relaxes: NDArray[np.bool_] = (parts.relaxation_time > 0) & np.isfinite(parts.relaxation_time)
    return relaxes & (parts.fast_stiffness > 0)


def _slow_envelope(falls: Falls) -> Floats:
    """Lowest dip to come of masses at the bottom of a swing on ropes that relax over many swings, shape (n,) [m].

    A swing of height A about a mean that lies B over the hang: as the rope relaxes the mean sinks to the hang at the
    rate b = k1/(k1 + k2)/tau while the swing dies at the rate a = k2/(k1 + k2)/(2 tau), less by what share of the
    stretch plain springs take. The dips follow y(s) = hang - B exp(-b s) + A exp(-a s).
    """
    p, hang, bottom = falls.parts, hang_extension(falls), falls.get(k.TRAVEL)
    fast_give = 1.0 / (p.stiffness + p.fast_stiffness)
    rise = (falls.force - p.weight) * (fast_give + p.compliance)
    below = np.maximum(hang - (bottom - rise), 1e-12)
    sinks = p.stiffness * fast_give / p.relaxation_time
    share = fast_give / (fast_give + p.compliance)
    dies = 0.5 * share * p.fast_stiffness * fast_give / p.relaxation_time
    ratio = np.clip(dies * rise / (sinks * below), 1e-12, 1.0)
    deepens = (ratio < 1.0) & (sinks > dies)
    s = np.where(deepens, -np.log(ratio) / np.where(deepens, sinks - dies, 1.0), 0.0)
    deepest = hang - below * np.exp(-sinks * s) + rise * np.exp(-dies * s)
    envelope: Floats = np.maximum(np.where(deepens, deepest, bottom), hang)
    return envelope


def _allow(falls: Falls, low: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the extension to allow for, and True where no later dip can be lower than that.

    `low` is the hang or below, where the energy that the relaxed chain needs only rises with extension.
    """
    have = recoverable(falls) - falls.parts.weight * falls.get(k.TRAVEL)

    def is_enough(extension: Floats) -> NDArray[np.bool_]:
        enough: NDArray[np.bool_] = have <= static_energy(falls, extension) - falls.parts.weight * extension
        return enough

    allowed = low * (1.0 + _ALLOWED)
    sure = is_enough(allowed)
    return np.where(sure & ~is_enough(low), allowed, low), sure
