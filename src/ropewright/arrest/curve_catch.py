"""Catches on a rope with a measured load curve, in closed form.

While the mass goes down, the chain is one path of straight pieces: those of the rope with the springs added, and a
level one for each part that slides. The energy of each piece is known, so the rest is found without steps in time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.curve import CurvedChain
from ropewright.arrest.steps import AVERAGE_ABOVE

__all__ = ["CurveFall", "curve_falls"]

Floats = NDArray[np.float64]

#: Stands for a slide without end. [m]
_ENDLESS = 1e6


@dataclass(frozen=True)
class CurveFall:
    """Where n falls came to their first rest, and what they did on the way; see `Catches`."""

    force: Floats  #: at the rest, the greatest [N]
    distance: Floats  #: [m]
    time: Floats  #: [s]
    rope: Floats  #: [m]
    absorber: Floats  #: [m]
    grab: Floats  #: [m]
    average: Floats  #: above 500 lbf; nan if never [N]
    hang: Floats  #: [m]
    energy_error: Floats  #: [-]


@dataclass(frozen=True)
class _Path:
    """Loading path of n chains through p points: force, extension, and what has slid up to there; shape (n, p)."""

    force: Floats
    extension: Floats
    absorber: Floats
    grab: Floats


def curve_falls(chain: CurvedChain) -> CurveFall:
    """Work out falls on a load curve to their first rest.

    Parameters
    ----------
    chain : CurvedChain, shape (n,)

    Returns
    -------
    CurveFall, shape (n,)
        Exact but for rounding, where something stops the fall.

    Notes
    -----
    At extension e the energy left in motion is K = W (drop + e) - U(e). Force never falls while e grows, so K has one
    root below the place where force equals weight. Time over a piece of stiffness k is that of a harmonic motion,
    from one phase atan2(w u, v) to the other with u counted from where force equals weight; impulse above the window
    is W t + m v. Derived here.
    """
    p, path = chain.parts, _loading_path(chain)
    weight, mass = p.weight[:, None], p.mass[:, None]
    f, e = path.force, path.extension
    stored = np.concatenate(
        [np.zeros((len(p.mass), 1)), np.cumsum(0.5 * (f[:, 1:] + f[:, :-1]) * np.diff(e), axis=1)], axis=1
    )
    left = weight * (p.drop[:, None] + e) - stored
    last = _last_point(left)
    rows = np.arange(len(last))
    f0, e0, k0 = f[rows, last], e[rows, last], np.maximum(left[rows, last], 0.0)
    rate = _rate_after(chain, path, last)
    more = _to_rest(k0, p.weight - f0, rate)
    force, distance = f0 + rate * more, e0 + more
    is_open = (rate == 0) & (f0 > 0)
    absorber, grab = path.absorber[rows, last].copy(), path.grab[rows, last].copy()
    opens = is_open & p.has_absorber & (f0 == p.absorber_force) & (absorber < p.absorber_length)
    absorber = absorber + np.where(opens, more, 0.0)
    grab = grab + np.where(is_open & ~opens, more, 0.0)
    speed = np.sqrt(2 * np.maximum(left, 0.0) / mass)
    time, since = _times(chain, path, last, speed, rate, more)
    entered = np.where(np.isfinite(since), since, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        average = (p.weight * entered + p.mass * _speed_entering(path, last, speed)) / since
    rope = _rope_stretch(chain, force)
    return CurveFall(
        force, distance, time, rope, absorber, grab, average,
        hang=_hang(chain, force, absorber + grab),
        energy_error=_energy_error(chain, force, distance, rope, absorber, grab),
    )  # fmt: skip


def _rope_stretch(chain: CurvedChain, force: Floats) -> Floats:
    """Stretch of each rope on its loading path, shape of `force` with the falls first. [m]"""
    factor, length = chain.factor, chain.lengths
    if force.ndim == 2:
        factor, length = factor[:, None], length[:, None]
    stretch: Floats = length * chain.curve.strain_at(force / factor)
    return stretch


def _loading_path(chain: CurvedChain) -> _Path:
    p, n = chain.parts, len(chain)
    curve = np.asarray(chain.curve.force)[None, :] * chain.factor[:, None]
    far = np.full(n, curve.max() * 4 + 1e6)  # where there is no such part, nor ever such a force
    opens, slides = np.where(p.has_absorber, p.absorber_force, far), np.where(p.has_slip, p.grab_slip_force, far)
    window = np.full(n, AVERAGE_ABOVE)
    force = np.column_stack([curve, slides, slides, opens, opens, window])
    k = curve.shape[1]
    gains_grab, gains_absorber = np.zeros_like(force), np.zeros_like(force)
    gains_grab[:, k + 1] = np.where(p.has_slip, np.minimum(p.grab_slip_length, _ENDLESS), 0.0)
    gains_absorber[:, k + 3] = np.where(p.has_absorber, np.minimum(p.absorber_length, _ENDLESS), 0.0)
    order = np.argsort(force, axis=1, kind="stable")
    force, gains_grab, gains_absorber = (np.take_along_axis(a, order, 1) for a in (force, gains_grab, gains_absorber))
    grab, absorber = np.cumsum(gains_grab, axis=1), np.cumsum(gains_absorber, axis=1)
    lockout = np.where(p.has_absorber, 1.0 / p.lockout_stiffness, 0.0)
    elastic = _rope_stretch(chain, force) + force * p.compliance[:, None]
    elastic = elastic + np.maximum(force - opens[:, None], 0.0) * lockout[:, None]
    return _Path(force, elastic + grab + absorber, absorber, grab)


def _last_point(left: Floats) -> NDArray[np.intp]:
    """Last point of each path that is passed with energy left, shape (n,)."""
    passed = left > 0
    passed[:, 0] = True  # a fall from rest starts there
    # a piece without length has the same energy at both ends: the later one counts
    last: NDArray[np.intp] = left.shape[1] - 1 - np.argmax(passed[:, ::-1], axis=1)
    return last


def _rate_after(chain: CurvedChain, path: _Path, last: NDArray[np.intp]) -> Floats:
    """Stiffness of the piece that follows a point, shape (n,). [N/m]"""
    p, rows = chain.parts, np.arange(len(last))
    end = last == path.force.shape[1] - 1
    after = np.minimum(last + 1, path.force.shape[1] - 1)
    rise = path.force[rows, after] - path.force[rows, last]
    run = path.extension[rows, after] - path.extension[rows, last]
    lockout = np.where(p.has_absorber, 1.0 / p.lockout_stiffness, 0.0)
    soft = chain.lengths / (chain.factor * chain.curve.slopes[-1]) + p.compliance + lockout
    with np.errstate(invalid="ignore", divide="ignore"):
        rate: Floats = np.where(end, 1.0 / soft, rise / run)
    return rate


def _to_rest(left: Floats, surplus: Floats, rate: Floats) -> Floats:
    """Distance over which energy `left` is used up against ``rate d - surplus``, shape (n,). [m]"""
    root = np.sqrt(surplus * surplus + 2 * rate * left)
    with np.errstate(invalid="ignore", divide="ignore"):
        # two forms of one root, each without a difference of like numbers on its side
        distance: Floats = np.where(surplus > 0, (surplus + root) / rate, 2 * left / (root - surplus))
    return distance


def _piece_time(
    mass: Floats, weight: Floats, force: Floats, rate: Floats, v0: Floats, v1: Floats, way: Floats
) -> Floats:
    """Time over a straight piece that begins at `force` and `v0` and ends at `v1`. [s]"""
    w = np.sqrt(np.maximum(rate, 1e-30) / mass)
    u0 = (force - weight) / np.maximum(rate, 1e-30)
    swing = (np.arctan2(w * (u0 + way), v1) - np.arctan2(w * u0, v0)) / w
    with np.errstate(invalid="ignore", divide="ignore"):
        level = np.where(way > 0, 2 * way / (v0 + v1), 0.0)  # even acceleration
    time: Floats = np.where(rate > 1e-9, swing, level)
    return time


def _times(
    chain: CurvedChain, path: _Path, last: NDArray[np.intp], speed: Floats, rate: Floats, more: Floats
) -> tuple[Floats, Floats]:
    """Time to the rest, and time since the force passed the window; the latter nan where it never did. [s]"""
    p = chain.parts
    way = np.diff(path.extension)
    with np.errstate(invalid="ignore", divide="ignore"):
        rates = np.where(way > 0, np.diff(path.force) / way, 0.0)
    mass, weight = p.mass[:, None], p.weight[:, None]
    pieces = _piece_time(mass, weight, path.force[:, :-1], rates, speed[:, :-1], speed[:, 1:], way)
    index = np.arange(pieces.shape[1])[None, :]
    whole = np.where(index < last[:, None], pieces, 0.0)
    rows = np.arange(len(last))
    none = np.zeros(len(last))
    end = _piece_time(p.mass, p.weight, path.force[rows, last], rate, speed[rows, last], none, more)
    above = path.force[:, :-1] >= AVERAGE_ABOVE
    since = np.where(above, whole, 0.0).sum(axis=1) + np.where(path.force[rows, last] >= AVERAGE_ABOVE, end, np.nan)
    return whole.sum(axis=1) + end, since


def _speed_entering(path: _Path, last: NDArray[np.intp], speed: Floats) -> Floats:
    """Speed at which the force passes the window, shape (n,); 0 where it never does. [m/s]"""
    first = np.argmax(path.force >= AVERAGE_ABOVE, axis=1)
    return np.where(first <= last, speed[np.arange(len(last)), first], 0.0)


def _hang(chain: CurvedChain, peak: Floats, slid: Floats) -> Floats:
    """Extension once the mass hangs still, on the unloading path from the peak, shape (n,). [m]"""
    p = chain.parts
    back = (peak - p.weight) * chain.lengths / (chain.factor * chain.curve.unloading)
    lockout = np.where(p.has_absorber, np.maximum(p.weight - p.absorber_force, 0.0) / p.lockout_stiffness, 0.0)
    hang: Floats = slid + _rope_stretch(chain, peak) - back + p.weight * p.compliance + lockout
    return hang


def _energy_error(
    chain: CurvedChain, force: Floats, distance: Floats, rope: Floats, absorber: Floats, grab: Floats
) -> Floats:
    """Part of the energy released that rope, springs and slides can't place, shape (n,). [-]"""
    p = chain.parts
    released = p.weight * (p.drop + distance)
    stored = chain.factor * chain.lengths * chain.curve.energy_at(rope / chain.lengths)
    springs = 0.5 * force * force * p.compliance
    beyond = np.where(p.has_absorber, np.maximum(force - p.absorber_force, 0.0), 0.0)
    locked = beyond / p.lockout_stiffness * (p.absorber_force + 0.5 * beyond)
    slid = p.absorber_force * absorber + np.where(p.has_slip, p.grab_slip_force, 0.0) * grab
    with np.errstate(invalid="ignore", divide="ignore"):
        error: Floats = np.abs(released - stored - springs - locked - slid) / released
    return error
