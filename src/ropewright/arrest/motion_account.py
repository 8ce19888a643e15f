"""The energy account of falls in three dimensions: what each released, and where that is now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_rows as r
from ropewright.arrest.parts import GRAVITY

__all__ = ["Account", "account_of", "stored_energy"]

if TYPE_CHECKING:
    from ropewright.arrest.motion_blocks import MotionBlocks

Floats = NDArray[np.float64]

#: A body that has hardly fallen is judged as if it had fallen this far. [m]
_LEAST_DROP = 0.1
_SIDE = ("GIVE", "SLOW", "ARM", "ARM_GIVE", "ROPE", "SPRING")


@dataclass(frozen=True)
class Account:
    """Energy of each of n falls at the end; arrays of shape (n,), all in joules."""

    released: Floats  #: by the drop, with motion and stretch at the start
    most_released: Floats  #: the same at the lowest point
    kinetic: Floats
    stored: Floats  #: in rope, springs and a spent absorber's lock-out
    absorbed: Floats  #: by absorber and grab
    damped: Floats  #: in the rope
    edge: Floats  #: friction of the rope, over the edge and along it
    contact: Floats  #: friction and blows on roof and wall

    least: Floats  #: what an error is measured by at least: a drop of 10 cm

    @property
    def error(self) -> Floats:
        """Part of what was released that can't be placed, shape (n,). [-]

        Notes
        -----
        The steps don't balance it by construction, so that a wrong law or too long a step shows.
        """
        placed = self.kinetic + self.stored + self.absorbed + self.damped + self.edge + self.contact
        share: Floats = np.abs(self.released - placed) / np.maximum(self.most_released, self.least)
        return np.where(np.isfinite(share), share, np.inf)


def account_of(b: MotionBlocks) -> Account:
    """Energy account of falls that have been run."""
    mass, start = b.parts.mass, b.start[:, 2]
    begun = 0.5 * mass * (b.velocity**2).sum(axis=1) + b.begun
    return Account(
        released=mass * GRAVITY * (start - b.get(r.Z)) + begun,
        most_released=mass * GRAVITY * (start - b.get(r.LOWEST)) + begun,
        kinetic=0.5 * mass * (b.speed**2).sum(axis=1),
        stored=stored_energy(b),
        absorbed=b.get(r.FORCE_1) * b.get(r.SLIP_1) + b.get(r.FORCE_2) * b.get(r.SLIP_2),
        damped=b.get(r.DAMPED),
        edge=b.get(r.LOST_OVER) + b.get(r.LOST_ALONG) + _last_slip(b),
        contact=b.get(r.LOST_CONTACT),
        least=mass * GRAVITY * _LEAST_DROP,
    )


def _last_slip(b: MotionBlocks) -> Floats:
    """What the last move of the bend has cost, which the next step would have entered, shape (n,). [J]"""
    pulls = b.get(r.IS_BENT) * (b.get(r.FORCE) * b.get(r.COS_N) + b.get(r.FAR_FORCE) * b.get(r.COS_F))
    cost: Floats = -0.5 * (b.get(r.PULLED) + pulls) * b.get(r.MOVED)
    return cost


def stored_energy(b: MotionBlocks) -> Floats:
    """Energy in rope, springs and a spent absorber's lock-out as they are now, shape (n,). [J]"""
    stored = np.zeros(b.count)
    for side in ("N", "F"):
        row = {name: b.get(getattr(r, f"{name}_{side}")) for name in _SIDE}
        force = b.get(r.FORCE if side == "N" else r.FAR_FORCE)
        relaxes = row["ARM_GIVE"] > 0
        rope = np.where(relaxes, row["ROPE"], row["GIVE"] * force)
        stored += 0.5 * (row["SLOW"] * rope**2 + np.where(relaxes, row["ARM"], 0.0) ** 2 * row["ARM_GIVE"])
        stored += 0.5 * force**2 * row["SPRING"]
    beyond = np.maximum(b.get(r.FORCE) - b.get(r.LOCK_FORCE), 0.0)
    stored += (b.get(r.LOCK_FORCE) + 0.5 * beyond) * beyond * b.get(r.LOCK_GIVE)
    return stored
