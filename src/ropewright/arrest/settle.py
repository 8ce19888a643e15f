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
_MOST_TURNS = 24

#: Steps of one of them at most.
_MOST_STEPS = 200_000

#: Error that the steps may bring here, where it stays within what is allowed for below; see `step_length`. [-]
_ERROR_BOUND = 2.5e-4

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
    """Greatest extension that each chain ever reaches, shape (n,); errs high, by a thousandth at most [m].

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
    the motion is followed; dips left after 24 turns are allowed for by adding their height to the hang. Derived here.
    """
    lowest = np.where(solved, np.maximum(first_rest, hang_extension(falls)), np.nan)
    index = np.flatnonzero(solved & _relaxes(falls))
    if not len(index):
        return lowest
    moving = falls.chosen(index, _ERROR_BOUND)
    moving.put(k.REST, 0.0)
    swing = np.zeros(len(index))
    for turn in range(_MOST_TURNS):
        lowest[index], sure = _allow(moving, lowest[index])
        if sure.all():
            return lowest
        moving, index = moving.chosen(np.flatnonzero(~sure)), index[~sure]
        before = moving.get(k.TRAVEL)
        moving.put(k.SENSE, -1.0 if turn % 2 == 0 else 1.0)
        moving.run(_MOST_STEPS)
        swing = np.abs(moving.get(k.TRAVEL) - before)
        lowest[index] = np.maximum(lowest[index], np.maximum(moving.get(k.TRAVEL), hang_extension(moving)))
    lowest[index] = np.maximum(lowest[index], hang_extension(moving) + 0.5 * swing)
    return lowest


def _relaxes(falls: Falls) -> NDArray[np.bool_]:
    parts = falls.parts
    relaxes: NDArray[np.bool_] = (parts.relaxation_time > 0) & np.isfinite(parts.relaxation_time)
    return relaxes & (parts.fast_stiffness > 0)


def _allow(falls: Falls, low: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the extension to allow for, and True where no later dip can be lower than that.

    `low` is the hang or below, where the energy that the relaxed chain needs only rises with extension.
    """
    parts = falls.parts
    gone = falls.absorber_opening + falls.grab_slip
    spent = falls.absorber_opening >= parts.absorber_length
    have = recoverable(falls) - parts.weight * falls.get(k.TRAVEL)

    def is_enough(extension: Floats) -> NDArray[np.bool_]:
        need = static_energy(parts, np.maximum(extension - gone, 0.0), spent) - parts.weight * extension
        enough: NDArray[np.bool_] = have <= need
        return enough

    allowed = low * (1.0 + _ALLOWED)
    sure = is_enough(allowed)
    return np.where(sure & ~is_enough(low), allowed, low), sure
