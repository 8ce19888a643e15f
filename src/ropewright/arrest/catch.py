"""What a fall does: force, distances and time to rest of many falls at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import kernel as k
from ropewright.arrest.curve import CurvedChain
from ropewright.arrest.curve_catch import curve_falls
from ropewright.arrest.energy import energy_error
from ropewright.arrest.parts import Chain, Parts
from ropewright.arrest.settle import hang_extension, lowest_extension
from ropewright.arrest.steps import ERROR_BOUND, Falls

__all__ = ["ENERGY_TOLERANCE", "CatchError", "Catches", "catch"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: A catch whose energy does not balance to this share of what the fall released is no answer. [-]
ENERGY_TOLERANCE = 0.005

#: Steps after which a catch is given up; the longest sensible one takes some ten thousand.
_MOST_STEPS = 2_000_000


class CatchError(ArithmeticError):
    """A fall has no answer: nothing stops it, or its energy does not balance."""


@dataclass(frozen=True)
class Catches:
    """What each of n falls did until the mass first came to rest; nan throughout where `solved` is False.

    All distances count from the first tension, with the chain just straight.
    """

    peak_force: Floats  #: (n,) greatest force in the chain, and so on the D-ring [N]
    stop_distance: Floats  #: (n,) travel of the mass from first tension to its first rest [m]
    stop_time: Floats  #: (n,) the time that takes [s]
    rope_stretch: Floats  #: (n,) of the lifeline, at that rest [m]
    absorber_opening: Floats  #: (n,) [m]
    grab_slip: Floats  #: (n,) [m]
    spring_stretch: Floats  #: (n,) of lanyard, anchor and a spent absorber's lock-out together, at that rest [m]
    average_force: Floats  #: (n,) mean over the time in which it is above 500 lbf; nan if it never is [N]
    hang_extension: Floats  #: (n,) of the chain once the mass hangs still, with what has opened and slid [m]
    bottomed_out: Bools  #: (n,) the absorber opened all the way
    holds: Bools  #: (n,) False: absorber or grab gives way under the weight alone and runs to its end
    energy_error: Floats  #: (n,) what is missing or too much in the energy account, over what the fall released [-]
    solved: Bools  #: (n,) False: nothing stops this fall, or its energy does not balance
    _lowest: Callable[[], Floats] = field(repr=False, compare=False)
    _why_not: Callable[[int], str] = field(repr=False, compare=False)

    def __len__(self) -> int:
        return len(self.peak_force)

    @cached_property
    def lowest(self) -> Floats:
        """Greatest extension that the chain ever reaches, shape (n,); at least `stop_distance`, errs high [m].

        A rope that relaxes lets the mass sink below its first rest, when it is caught softly: then a later dip or the
        hang is the lowest point. Worked out when first asked for.
        """
        return self._lowest()

    def require_solved(self) -> Catches:
        """Return self if every fall has an answer.

        Raises
        ------
        CatchError
            If one has none; says which, and why.
        """
        if self.solved.all():
            return self
        i = int(np.flatnonzero(~self.solved)[0])
        raise CatchError(f"fall {i}: {self._why_not(i)}")


def catch(chain: Chain, *, error_bound: float = ERROR_BOUND) -> Catches:
    """Fall and catch of each mass of a chain, to its first rest.

    Parameters
    ----------
    chain : Chain, shape (n,)
    error_bound : float
        Relative error in distance and force that the time step may bring, above 0; see `step_length`. [-]

    Returns
    -------
    Catches, shape (n,)
        Each fall's numbers are the same whatever the others are.

    Notes
    -----
    Stepped in time by `ropewright.arrest.kernel`; the first rest is found between steps from speed and acceleration.
    For a plain spring it gives F = m g (1 + sqrt(1 + 2 h k/(m g))). A rope with a load curve (`CurvedChain`) needs no
    steps: see `ropewright.arrest.curve_catch`.

    Examples
    --------
    >>> fall = catch(Chain(mass=100.0, free_fall=2.0, stiffness=10_000.0))
    >>> fall.peak_force.round(), fall.stop_distance.round(3)
    (array([7320.]), array([0.732]))
    >>> catch(Chain(mass=100.0, free_fall=0.0, stiffness=10_000.0)).peak_force.round(2)  # twice the weight
    array([1961.33])
    """
    if not error_bound > 0:
        raise ValueError(f"error_bound must be above 0, got {error_bound}")
    if isinstance(chain, CurvedChain):
        return _on_curve(chain)
    falls = Falls(chain.parts, error_bound)
    falls.run(_MOST_STEPS)
    error = energy_error(falls)
    solved = chain.parts.ends & ~falls.moving & (error <= ENERGY_TOLERANCE)
    return _results(falls, error, solved)


def _results(falls: Falls, error: Floats, solved: Bools) -> Catches:
    parts = falls.parts
    force, travel, rope = falls.force, falls.get(k.TRAVEL), falls.get(k.ROPE)
    opening, slip = falls.absorber_opening, falls.grab_slip
    rest, time_left = _to_rest(falls)
    # what is left of the travel goes where the chain gives at that force
    spent = opening >= parts.absorber_length
    opens = parts.has_absorber & ~spent & _is_at(force, parts.absorber_force)
    slides = parts.has_slip & (slip < parts.grab_slip_length) & _is_at(force, parts.grab_slip_force) & ~opens
    stiff = ~(opens | slides)
    share = np.where(force > falls.get(k.LOCK_FORCE), falls.get(k.LOCK_SHARE), falls.get(k.SHARE))
    opening = opening + np.where(opens, rest, 0.0)
    slip = slip + np.where(slides, rest, 0.0)
    stretch = rope + np.where(stiff, rest * share, 0.0)
    last_force = force + np.where(stiff, rest * share * falls.get(k.PULL), 0.0)
    distance = travel + rest
    counted = falls.get(k.COUNTED)
    with np.errstate(invalid="ignore", divide="ignore"):
        average = falls.get(k.IMPULSE) / counted

    def known(values: Floats) -> Floats:
        return np.where(solved, values, np.nan)

    return Catches(
        peak_force=known(np.maximum(falls.get(k.PEAK), last_force)),
        stop_distance=known(distance),
        stop_time=known(falls.get(k.STEPS) * falls.get(k.STEP) + time_left),
        rope_stretch=known(stretch),
        absorber_opening=known(opening),
        grab_slip=known(slip),
        spring_stretch=known(np.maximum(distance - stretch - opening - slip, 0.0)),
        average_force=known(average),
        hang_extension=known(hang_extension(falls)),
        bottomed_out=parts.has_absorber & spent,
        holds=parts.can_hold,
        energy_error=known(error),
        solved=solved,
        _lowest=lambda: lowest_extension(falls, known(distance), solved),
        _why_not=lambda i: _why_not(parts, falls.moving, error, i),
    )


def _on_curve(chain: CurvedChain) -> Catches:
    """Catches on a load curve, which gives back too little ever to sink below the first rest."""
    parts, found = chain.parts, curve_falls(chain)
    solved = parts.ends & (found.energy_error <= ENERGY_TOLERANCE)

    def known(values: Floats) -> Floats:
        return np.where(solved, values, np.nan)

    return Catches(
        peak_force=known(found.force),
        stop_distance=known(found.distance),
        stop_time=known(found.time),
        rope_stretch=known(found.rope),
        absorber_opening=known(found.absorber),
        grab_slip=known(found.grab),
        spring_stretch=known(np.maximum(found.distance - found.rope - found.absorber - found.grab, 0.0)),
        average_force=known(found.average),
        hang_extension=known(found.hang),
        bottomed_out=parts.has_absorber & (found.absorber >= parts.absorber_length),
        holds=parts.can_hold,
        energy_error=known(found.energy_error),
        solved=solved,
        _lowest=lambda: known(found.distance),
        _why_not=lambda i: _why_not(parts, np.zeros(len(chain), dtype=np.bool_), found.energy_error, i),
    )


def _why_not(parts: Parts, moving: Bools, error: Floats, i: int) -> str:
    if not parts.ends[i]:
        return "absorber or grab gives way under the weight alone and has no end"
    if moving[i]:
        return f"no rest within {_MOST_STEPS:,} steps; the chain is too stiff for so long a stop"
    return f"the energy account is off by {error[i]:.2%}"


def _to_rest(falls: Falls) -> tuple[Floats, Floats]:
    """Distance and time from the last step to the rest itself, at even acceleration."""
    v, a = falls.speed, falls.acceleration
    with np.errstate(invalid="ignore", divide="ignore"):
        distance = np.where(a < 0, v * v / (-2.0 * a), 0.0)
        time = np.where(a < 0, v / -a, 0.0)
    return distance, time


def _is_at(force: Floats, level: Floats) -> Bools:
    at: Bools = np.abs(force - level) <= 1e-9 * level
    return at
