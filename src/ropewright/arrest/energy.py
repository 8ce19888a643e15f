"""The energy account of a fall: what it released, and where that is now."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import kernel as k
from ropewright.arrest.parts import Parts
from ropewright.arrest.steps import Falls

__all__ = ["energy_error", "recoverable", "spring_energy", "static_energy", "unplaced"]

Floats = NDArray[np.float64]


def spring_energy(parts: Parts, force: Floats, spent: NDArray[np.bool_]) -> Floats:
    """Energy in the plain springs and in a spent absorber's lock-out, shape (n,) [J]."""
    beyond = np.where(spent & parts.has_absorber, np.maximum(force - parts.absorber_force, 0.0), 0.0)
    give = beyond / parts.lockout_stiffness
    energy: Floats = 0.5 * force * force * parts.compliance + (parts.absorber_force + 0.5 * beyond) * give
    return energy


def recoverable(falls: Falls) -> Floats:
    """Energy stored in all springs of the chain and in the motion, shape (n,) [J]."""
    parts, x, q, v = falls.parts, falls.get(k.ROPE), falls.get(k.ARM), falls.speed
    rope = 0.5 * parts.stiffness * x * x + 0.5 * q * q * falls.get(k.FAST_GIVE)
    spent = falls.absorber_opening >= parts.absorber_length
    energy: Floats = rope + spring_energy(parts, falls.force, spent) + 0.5 * parts.mass * v * v
    return energy


def static_energy(falls: Falls, extension: Floats) -> Floats:
    """Least energy that takes each chain to an extension and leaves the mass at rest there, shape (n,) [J].

    With the rope relaxed to its first spring alone, and what has opened and slid so far. Where that would take more
    than a sliding part's force, the part slides instead, at its force, as far as need be.
    """
    parts = falls.parts
    k1, c = parts.stiffness, parts.compliance
    spent = falls.absorber_opening >= parts.absorber_length
    lockout = np.where(spent & parts.has_absorber, 1.0 / parts.lockout_stiffness, 0.0)

    def stretch_at(force: Floats) -> Floats:
        beyond: Floats = np.maximum(force - parts.absorber_force, 0.0)
        return force * (1.0 / k1 + c) + np.where(lockout > 0, beyond * lockout, 0.0)

    stretch = np.maximum(extension - falls.absorber_opening - falls.grab_slip, 0.0)
    force = k1 * stretch / (1.0 + k1 * c)
    locked = k1 * (stretch + parts.absorber_force * lockout) / (1.0 + k1 * (c + lockout))
    force = np.where((lockout > 0) & (force > parts.absorber_force), locked, force)
    weakest = np.minimum(
        np.where(parts.has_absorber & ~spent, parts.absorber_force, np.inf),
        np.where(parts.has_slip & (falls.grab_slip < parts.grab_slip_length), parts.grab_slip_force, np.inf),
    )
    held = np.minimum(force, weakest)
    slides = np.where(force > weakest, stretch - stretch_at(held), 0.0)
    energy: Floats = 0.5 * held * held / k1 + spring_energy(parts, held, spent) + held * slides
    return energy


def unplaced(falls: Falls) -> Floats:
    """Energy that each fall has released and the account can't place, shape (n,) [J].

    Notes
    -----
    Released: weight times (drop before tension + travel). Placed: motion; springs; work of absorber and grab, their
    force times their slide; work of the dashpot, added up step by step. The steps don't balance it by construction,
    so that a wrong law or too long a step shows.
    """
    parts = falls.parts
    slid = falls.get(k.FORCE_1) * falls.get(k.SLIP_1) + falls.get(k.FORCE_2) * falls.get(k.SLIP_2)
    released = parts.weight * (parts.drop + falls.get(k.TRAVEL))
    left: Floats = released - recoverable(falls) - slid - falls.get(k.DAMPED)
    return left


def energy_error(falls: Falls) -> Floats:
    """Part of the energy released by each fall that the account can't place, shape (n,) [-]; see `unplaced`."""
    released = falls.parts.weight * (falls.parts.drop + falls.get(k.TRAVEL))
    with np.errstate(invalid="ignore", divide="ignore"):
        share: Floats = np.where(released > 0, np.abs(unplaced(falls)) / released, np.inf)
    return share
