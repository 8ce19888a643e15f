"""The parts between an anchor and a person, in series: rope, grab, absorber, lanyard, anchor."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.elastic import GRAVITY, elastic_peak_force

__all__ = ["GRAVITY", "Chain", "Parts", "effective_length"]

Floats = NDArray[np.float64]


class Parts(NamedTuple):
    """The fields of a `Chain` as arrays of one shape (n,)."""

    mass: Floats
    free_fall: Floats
    stiffness: Floats
    fast_stiffness: Floats
    relaxation_time: Floats
    grab_lock: Floats
    grab_slip_force: Floats
    grab_slip_length: Floats
    absorber_force: Floats
    absorber_length: Floats
    lockout_stiffness: Floats
    lanyard_stiffness: Floats
    anchor_stiffness: Floats

    @property
    def weight(self) -> Floats:
        """Weight of the falling mass [N]."""
        return self.mass * GRAVITY

    @property
    def drop(self) -> Floats:
        """Fall before the first tension: free fall and travel of the grab until it locks [m]."""
        return self.free_fall + self.grab_lock

    @property
    def has_absorber(self) -> NDArray[np.bool_]:
        """True where there is an absorber that can open."""
        return (self.absorber_force > 0) & (self.absorber_length > 0)

    @property
    def has_slip(self) -> NDArray[np.bool_]:
        """True where the locked grab can slide along the rope."""
        return np.isfinite(self.grab_slip_force) & (self.grab_slip_length > 0)

    @property
    def compliance(self) -> Floats:
        """Stretch per force of the plain springs beside the rope: lanyard and anchor [m/N]."""
        return 1.0 / self.lanyard_stiffness + 1.0 / self.anchor_stiffness

    @property
    def can_hold(self) -> NDArray[np.bool_]:
        """False where a part gives way under the resting weight, so that it opens or slides all the way."""
        opens = self.has_absorber & (self.absorber_force <= self.weight)
        slides = self.has_slip & (self.grab_slip_force <= self.weight)
        return ~(opens | slides)

    @property
    def ends(self) -> NDArray[np.bool_]:
        """False where such a part has no end either, so that nothing stops the fall."""
        opens = self.has_absorber & (self.absorber_force <= self.weight) & np.isinf(self.absorber_length)
        slides = self.has_slip & (self.grab_slip_force <= self.weight) & np.isinf(self.grab_slip_length)
        return ~(opens | slides)


#: Fields that may be zero, and those that may be infinite; mass and rope stiffness must be finite and above zero.
_MAY_BE_ZERO = frozenset(
    {
        "free_fall",
        "fast_stiffness",
        "relaxation_time",
        "grab_lock",
        "grab_slip_length",
        "absorber_force",
        "absorber_length",
    }
)
_MAY_BE_INFINITE = frozenset(
    {
        "relaxation_time",
        "grab_slip_force",
        "grab_slip_length",
        "absorber_length",
        "lockout_stiffness",
        "lanyard_stiffness",
        "anchor_stiffness",
    }
)


@dataclass(frozen=True)
class Chain:
    """A falling mass and the massless parts in series that stop it; fields broadcast to one shape (n,).

    The rope is a standard linear solid: a spring `stiffness` beside a second spring `fast_stiffness` that sits in
    series with a dashpot. A fast pull meets both springs, a slow one the first alone.

    Parameters
    ----------
    mass : float or array, shape (n,)
        Person with clothing and tools, above 0. [kg]
    free_fall : float or array, shape (n,)
        Fall before the slack is out, 0 or more. [m]
    stiffness : float or array, shape (n,)
        Force per stretch of the rope pulled slowly, EA/L, above 0. [N/m]
    fast_stiffness : float or array, shape (n,)
        What a fast pull adds to it; 0 makes the rope a plain spring. [N/m]
    relaxation_time : float or array, shape (n,)
        Time in which that addition relaxes to 1/e at a held stretch. At 0 it is never felt, at infinity (the default,
        which errs high in force) it never relaxes. [s]
    grab_lock : float or array, shape (n,)
        Travel of the rope grab until it locks; falls without force. [m]
    grab_slip_force, grab_slip_length : float or array, shape (n,)
        The locked grab slides at this force, for at most this length. [N], [m]
    absorber_force, absorber_length : float or array, shape (n,)
        The energy absorber is rigid below this force, opens at it, for at most this length, and does not close.
        Force or length 0: no absorber. [N], [m]
    lockout_stiffness : float or array, shape (n,)
        What a spent absorber gives beyond its force; infinite (rigid, the default) errs high in force. [N/m]
    lanyard_stiffness, anchor_stiffness : float or array, shape (n,)
        Plain springs; infinite: rigid. [N/m]

    Raises
    ------
    ValueError
        If a field is negative, not a number, zero or infinite where that has no meaning; or shapes don't broadcast.

    Notes
    -----
    Each law starts from zero force at zero stretch (a dashpot straight beside a spring would jump at first contact)
    and settles under a held load (a dashpot in line with a spring would creep for ever).
    Rope law: Zener's standard linear solid, from memory, in every text on viscoelasticity.

    Examples
    --------
    >>> chain = Chain(mass=100.0, free_fall=[0.6, 1.8], stiffness=10_000.0)
    >>> len(chain), chain.parts.mass
    (2, array([100., 100.]))
    >>> Chain(mass=0.0, free_fall=1.8, stiffness=10_000.0)
    Traceback (most recent call last):
    ...
    ValueError: mass must be above 0 and finite, got 0
    """

    mass: ArrayLike
    free_fall: ArrayLike
    stiffness: ArrayLike
    fast_stiffness: ArrayLike = 0.0
    relaxation_time: ArrayLike = np.inf
    grab_lock: ArrayLike = 0.0
    grab_slip_force: ArrayLike = np.inf
    grab_slip_length: ArrayLike = 0.0
    absorber_force: ArrayLike = 0.0
    absorber_length: ArrayLike = 0.0
    lockout_stiffness: ArrayLike = np.inf
    lanyard_stiffness: ArrayLike = np.inf
    anchor_stiffness: ArrayLike = np.inf

    def __post_init__(self) -> None:
        for name, values in self.parts._asdict().items():
            _check(name, values)

    @cached_property
    def parts(self) -> Parts:
        """The fields as float arrays of one shape (n,)."""
        raw = [np.asarray(getattr(self, item.name), dtype=np.float64) for item in fields(Chain)]
        shape = np.broadcast_shapes((1,), *(values.shape for values in raw))
        if len(shape) != 1:
            raise ValueError(f"the fields of a chain must broadcast to one axis, got shape {shape}")
        return Parts(*(np.broadcast_to(values, shape) for values in raw))

    def __len__(self) -> int:
        return len(self.parts.mass)

    def slow_stretch(self, force: ArrayLike) -> Floats:
        """Stretch of rope and springs under a force that pulls slowly, shape (n,) [m]."""
        stretch: Floats = np.asarray(force) * (1.0 / self.parts.stiffness + self.parts.compliance)
        return stretch

    def undamped_peak(self) -> Floats:
        """Peak force with the rope at its stiffest and nothing that slides, shape (n,) [N]."""
        p = self.parts
        stiffest = 1.0 / (1.0 / (p.stiffness + p.fast_stiffness) + p.compliance)
        return elastic_peak_force(p.mass, p.drop, stiffest)


def _check(name: str, values: Floats) -> None:
    low_enough = values >= 0 if name in _MAY_BE_ZERO else values > 0  # also catches nan
    good = low_enough if name in _MAY_BE_INFINITE else low_enough & np.isfinite(values)
    if good.all():
        return
    floor = "0 or more" if name in _MAY_BE_ZERO else "above 0"
    ceiling = "" if name in _MAY_BE_INFINITE else " and finite"
    raise ValueError(f"{name} must be {floor}{ceiling}, got {values[~good][0]:g}")


def effective_length(near: ArrayLike, far: ArrayLike, turn: ArrayLike, friction: ArrayLike) -> Floats:
    """Length of rope that works in a catch when part of it lies beyond an edge.

    Parameters
    ----------
    near : float or array, shape (n,)
        Rope from the person to the edge. [m]
    far : float or array, shape (n,)
        Rope from the edge to the anchor. [m]
    turn : float or array, shape (n,)
        Angle that the rope turns over the edge, in all, 0 or more. [rad]
    friction : float or array, shape (n,)
        Coefficient of friction of rope on edge, 0 or more. [-]

    Returns
    -------
    array
        Between `near` and ``near + far``. [m]

    Raises
    ------
    ValueError
        If a value is negative or not a number.

    Notes
    -----
    L = L1 + L2 exp(-mu turn): beyond the edge the tension, and with it the stretch, is less by the capstan factor.
    From memory, standard in writing on the mechanics of climbing ropes; friction of 0 and of infinity bound it.

    Examples
    --------
    >>> effective_length(2.0, 6.0, [0.0, np.pi / 2], 0.4).round(2)
    array([8. , 5.2])
    """
    values = [np.asarray(v, dtype=np.float64) for v in (near, far, turn, friction)]
    if not all((v >= 0).all() for v in values):  # also catches nan
        raise ValueError("lengths, turn and friction must be 0 or more")
    l1, l2, theta, mu = values
    length: Floats = np.asarray(l1 + l2 * np.exp(-mu * theta))
    return length
