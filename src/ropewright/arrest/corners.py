"""Spread of a catch: the likely case and every corner of the ranges of what goes into it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.catch import Catches, catch
from ropewright.arrest.model_error import NO_ERRORS, ErrorFactors, force_factors, further_opening
from ropewright.arrest.parts import Chain, effective_length
from ropewright.arrest.steps import ERROR_BOUND
from ropewright.quantity import Range

__all__ = ["CatchSpread", "ErrorsAt", "PartRanges", "Spread", "catch_corners"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_NONE = Range.exact(0.0)
_RIGID = Range.exact(np.inf)

#: Falls worked out at once; bounds the memory (1 kB a fall).
_BATCH = 262_144


@dataclass(frozen=True)
class PartRanges:
    """Ranges of all that goes into a catch and is the same at every edge point.

    Parameters
    ----------
    mass : Range
        [kg]
    modulus : Range
        Force per unit strain of the rope pulled slowly; above 0. [N]
    fast_modulus : Range
        What a fast pull adds to it. [N]
    relaxation_time : Range
        In which that relaxes. [s]
    friction : Range
        Rope on the edge it turns over. [-]
    grab_lock, grab_slip_force, grab_slip_length : Range
        [m], [N], [m]
    absorber_force, absorber_length : Range
        [N], [m]
    lockout_stiffness, lanyard_stiffness, anchor_stiffness : Range
        [N/m]

    Notes
    -----
    What each is, and what leaving it out means: see `Chain`.
    """

    mass: Range
    modulus: Range
    fast_modulus: Range = _NONE
    relaxation_time: Range = _RIGID
    friction: Range = _NONE
    grab_lock: Range = _NONE
    grab_slip_force: Range = _RIGID
    grab_slip_length: Range = _NONE
    absorber_force: Range = _NONE
    absorber_length: Range = _NONE
    lockout_stiffness: Range = _RIGID
    lanyard_stiffness: Range = _RIGID
    anchor_stiffness: Range = _RIGID


#: Inputs that go to their ends together, because force and distance each move one way with all of them: a heavier
#: mass and a later lock are both more energy to take up; a stiffer rope, spring or bend shortens what gives. Mixed
#: ends lie between the two joint ones (but for peaks below twice the weight, which damping can bring about at either
#: end; checked on 400,000 random chains). The others stand alone: a stronger absorber stops shorter, but one that is
#: too weak runs out and hits harder.
_GROUPS: tuple[tuple[str, ...], ...] = (
    ("mass", "grab_lock"),
    ("modulus", "fast_modulus", "friction", "lockout_stiffness", "lanyard_stiffness", "anchor_stiffness"),
    ("relaxation_time",),
    ("absorber_force",),
    ("absorber_length",),
    ("grab_slip_force",),
    ("grab_slip_length",),
)


class Spread(NamedTuple):
    """A quantity over n edge points: least over the corners, at the likely inputs, greatest over the corners."""

    low: Floats
    likely: Floats
    high: Floats


class ErrorsAt(NamedTuple):
    """What the model's own errors add at the unsafe end at n edge points; nan where a point was left out."""

    rope: Floats  #: factor of the rope's error on the hardest corner's force; 1 where it does not bear there [-]
    absorber: Floats  #: factor of the absorber's peak, likewise [-]
    opening: Floats  #: how much further the absorber opens in the deepest corner [m]


@dataclass(frozen=True)
class CatchSpread:
    """Catches over n edge points with their spread; nan where a point was left out or has no answer.

    What the quantities are: see `Catches`. The high end of force and distances holds the model's errors.
    """

    peak_force: Spread  #: [N]
    average_force: Spread  #: above 500 lbf; nan where the force never is [N]
    stop_distance: Spread  #: [m]
    lowest: Spread  #: greatest extension ever, hang and later dips included [m]
    stop_time: Spread  #: [s]
    rope_stretch: Spread  #: [m]
    absorber_opening: Spread  #: [m]
    grab_slip: Spread  #: [m]
    device_travel: Spread  #: absorber opening and grab slip together [m]
    hang_extension: Spread  #: [m]
    bottomed_out: Bools  #: (n,) the absorber opens all the way in some corner
    holds: Bools  #: (n,) absorber and grab carry the weight alone in every corner
    solved: Bools  #: (n,) False: some corner has no answer, or the point was left out
    energy_error: Floats  #: (n,) greatest over the corners [-]
    errors: ErrorsAt
    corners: int  #: falls worked out at each point, the likely one included


def catch_corners(
    parts: PartRanges,
    free_fall: ArrayLike,
    near: ArrayLike,
    far: ArrayLike = 0.0,
    turn: ArrayLike = 0.0,
    *,
    errors: ErrorFactors = NO_ERRORS,
    error_bound: float = ERROR_BOUND,
) -> CatchSpread:
    """Catches at the likely inputs and at every corner of their ranges, over n edge points.

    Parameters
    ----------
    parts : PartRanges
    free_fall : float or array, shape (n,)
        Before the slack is out, without the grab's travel to lock; 0 or more. nan leaves a point out. [m]
    near : float or array, shape (n,)
        Rope that stretches between the person and the last bend; with `far`, above 0. [m]
    far : float or array, shape (n,)
        Rope beyond the bend. [m]
    turn : float or array, shape (n,)
        Angle that the rope turns over its bends, in all. [rad]
    errors : ErrorFactors
        Of the laws, on the unsafe side: they raise the high ends alone. Each a float or of shape (n,). [-]
    error_bound : float
        See `catch`. [-]

    Returns
    -------
    CatchSpread, shape (n,)

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    Full factorial over seven groups of inputs, at most 128 corners: see `effective_length` for the rope that works
    behind an edge. Inputs of a group go to their ends together.

    Examples
    --------
    >>> parts = PartRanges(mass=Range(90.0, 100.0, 110.0), modulus=Range(26e3, 35e3, 41e3))
    >>> spread = catch_corners(parts, free_fall=[1.2, 1.8], near=6.0)
    >>> spread.corners, spread.peak_force.likely.round(-1), spread.peak_force.high.round(-1)
    (5, array([4810., 5620.]), array([5420., 6340.]))
    """
    shape = np.broadcast_shapes((1,), *(np.shape(v) for v in (free_fall, near, far, turn)))
    points = np.stack([np.broadcast_to(np.asarray(v, dtype=np.float64), shape) for v in (free_fall, near, far, turn)])
    known = np.flatnonzero(np.isfinite(points).all(axis=0))
    factors = np.stack([np.broadcast_to(np.asarray(factor, dtype=np.float64), shape) for factor in errors])
    cases = _cases(parts)
    size = max(_BATCH // len(cases), 1)
    pieces = [
        _work_out(cases, points[:, here], ErrorFactors(*factors[:, here]), error_bound)
        for here in (known[i : i + size] for i in range(0, max(len(known), 1), size))
    ]
    joined = {name: np.concatenate([piece[name] for piece in pieces], axis=-1) for name in pieces[0]}
    return _spread_over(joined, known, shape[0], len(cases))


def _cases(parts: PartRanges) -> tuple[dict[str, float], ...]:
    """Return the inputs of the likely case, then of each corner."""
    moving = [group for group in _GROUPS if not all(getattr(parts, name).is_exact for name in group)]
    likely = {item.name: getattr(parts, item.name).likely for item in fields(parts)}
    cases = [likely]
    for ends in product(("low", "high"), repeat=len(moving)) if moving else ():
        ended = {
            name: getattr(getattr(parts, name), end) for group, end in zip(moving, ends, strict=True) for name in group
        }
        cases.append({**likely, **ended})
    return tuple(cases)


def _work_out(
    cases: tuple[dict[str, float], ...], points: Floats, errors: ErrorFactors, error_bound: float
) -> dict[str, Floats]:
    """Every quantity for each case and point, shape (cases, points)."""
    shape = (len(cases), points.shape[1])
    if shape[1] == 0:
        return {name: np.empty(shape) for name in (*_QUANTITIES, *_CLAIMS, *ErrorsAt._fields)}
    # cases vary slowest, so that the falls side by side in a block are alike and end together
    column = {name: np.array([[case[name]] for case in cases]) for name in cases[0]}
    free_fall, near, far, turn = points
    length = effective_length(near, far, turn, column["friction"])
    given = {name: values for name, values in column.items() if name not in ("modulus", "fast_modulus", "friction")}
    given |= {
        "free_fall": np.broadcast_to(free_fall, shape),
        "stiffness": column["modulus"] / length,
        "fast_stiffness": column["fast_modulus"] / length,
    }
    chain = Chain(**{k: np.broadcast_to(v, shape).ravel() for k, v in given.items()})
    caught = catch(chain, error_bound=error_bound)
    found = {name: _quantity(caught, name) for name in (*_QUANTITIES, *_CLAIMS)}
    each = ErrorFactors(*(np.broadcast_to(np.asarray(factor), shape).ravel() for factor in errors))
    found |= zip(("rope", "absorber"), force_factors(chain.parts, caught, each), strict=True)
    found["opening"] = further_opening(caught, each)
    return {name: values.reshape(shape) for name, values in found.items()}


_QUANTITIES = (
    *("peak_force", "average_force", "stop_distance", "lowest", "stop_time", "rope_stretch"),
    *("absorber_opening", "grab_slip", "device_travel", "hang_extension"),
)
_CLAIMS = ("bottomed_out", "holds", "solved", "energy_error")

#: What an absorber that opens further adds to.
_OPENING = ("stop_distance", "lowest", "absorber_opening", "device_travel")


def _quantity(caught: Catches, name: str) -> Floats:
    if name == "device_travel":
        return caught.absorber_opening + caught.grab_slip
    values: Floats = np.asarray(getattr(caught, name), dtype=np.float64)
    return values


def _spread_over(joined: dict[str, Floats], known: NDArray[np.intp], n: int, corners: int) -> CatchSpread:
    """Least, likely and greatest over the cases, put back among the points that were left out."""

    def among(values: Floats, otherwise: float) -> Floats:
        out = np.full(n, otherwise)
        out[known] = values
        return out

    unsafe = {name: joined[name] + joined["opening"] for name in _OPENING}
    unsafe["peak_force"] = joined["peak_force"] * np.maximum(joined["rope"], joined["absorber"])

    def spread(name: str) -> Spread:
        # one corner without an answer leaves the point without one: nan passes through min and max
        values, high = joined[name], unsafe.get(name, joined[name])
        return Spread(*(among(v, np.nan) for v in (values.min(axis=0), values[0], high.max(axis=0))))

    def at_worst(name: str, of: str) -> Floats:
        worst = unsafe[of].argmax(axis=0)
        return among(joined[name][worst, np.arange(len(worst))], np.nan)

    return CatchSpread(
        **{name: spread(name) for name in _QUANTITIES},
        bottomed_out=among(joined["bottomed_out"].max(axis=0), 0.0) > 0,
        holds=among(joined["holds"].min(axis=0), 0.0) > 0,
        solved=among(joined["solved"].min(axis=0), 0.0) > 0,
        energy_error=among(joined["energy_error"].max(axis=0), np.nan),
        errors=ErrorsAt(
            at_worst("rope", "peak_force"), at_worst("absorber", "peak_force"), at_worst("opening", "lowest")
        ),
        corners=corners,
    )
