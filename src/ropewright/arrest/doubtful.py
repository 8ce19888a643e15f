"""The inputs of a fall that may be in doubt, and the falls they make over many edge points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.catch import Catches, catch
from ropewright.arrest.corners import PartRanges
from ropewright.arrest.curve import CurvedChain, LoadCurve
from ropewright.arrest.distribution import Distribution, Exact, distribution_of
from ropewright.arrest.model_error import ErrorFactors, force_factors, further_opening
from ropewright.arrest.part_sets import model_errors
from ropewright.arrest.parts import Chain, effective_length
from ropewright.quantity import Range

__all__ = [
    "BATCH",
    "DRAWN_ERROR_BOUND",
    "INPUTS",
    "OUTPUTS",
    "FallPoints",
    "Input",
    "Inputs",
    "chain_of",
    "complete",
    "in_doubt",
    "inputs_of",
    "work_out",
]

Floats = NDArray[np.float64]
Inputs = Mapping[str, Distribution]

#: Falls worked out at once; bounds the memory (1 kB a fall).
BATCH = 131_072

#: Relative error that the steps in time may bring: small beside what draws leave open. [-]
DRAWN_ERROR_BOUND = 3e-4


class Input(NamedTuple):
    """One input: what it is called in words, its unit, and its value where none is given."""

    words: str
    unit: str
    default: Range | None = None  #: None: it must be given


_NONE, _RIGID = Range.exact(0.0), Range.exact(np.inf)


def _inputs() -> Mapping[str, Input]:
    errors = model_errors()
    return {
        "mass": Input("mass", "kg"),
        "modulus": Input("stiffness of the rope", "N"),
        "fast_modulus": Input("fast stiffness of the rope", "N", _NONE),
        "relaxation_time": Input("relaxation time", "s", _RIGID),
        "free_fall": Input("free fall", "m", _NONE),
        "length": Input("length of the rope", "m", _NONE),
        "friction": Input("friction at the edge", "-", _NONE),
        "grab_lock": Input("travel of the grab to lock", "m", _NONE),
        "grab_slip_force": Input("slip force of the grab", "N", _RIGID),
        "grab_slip_length": Input("slip of the grab", "m", _NONE),
        "grab_slide": Input("slide of the grab", "m", _NONE),
        "absorber_force": Input("force of the absorber", "N", _NONE),
        "absorber_length": Input("length of the absorber", "m", _NONE),
        "lockout_stiffness": Input("stiffness of the spent absorber", "N/m", _RIGID),
        "lanyard_stiffness": Input("stiffness of lanyard and body", "N/m", _RIGID),
        "anchor_stiffness": Input("stiffness of the anchor", "N/m", _RIGID),
        "body_shift": Input("harness stretch and D-ring shift", "m", _NONE),
        "rope_error": Input("model error: undamped rope", "-", errors["rope/undamped peak"].value),
        "absorber_error": Input("model error: absorber's peak", "-", errors["absorber/peak over average"].value),
        "opening_error": Input("model error: absorber's opening", "-", errors["absorber/opening"].value),
        "slide_friction": Input("friction of the roof", "-", _NONE),
    }


#: Every input by name. `free_fall` and `length` are added to each point's own. `grab_slide` lengthens the fall and
#: takes off no force, for a grab whose slip force is not known. The model errors are factors of published size. The
#: friction of the roof counts from 0 at its least to 1 where it eases a fall by each point's `FallPoints.eased`; more
#: than 1 eases it no further.
INPUTS: Mapping[str, Input] = _inputs()

#: What comes out of each fall; more of any is worse, and a fall that nothing stops has an infinite one.
OUTPUTS: Mapping[str, str] = {
    "peak_force": "N",  # on the D-ring, with the model's error
    "average_force": "N",  # over the time above 500 lbf; nan if it never is
    "stop_distance": "m",  # from first tension to the first rest
    "needed": "m",  # of the body from release to its lowest point, D-ring shift included: clearance below the feet
    "hang": "m",  # from release to where it hangs still
}


@dataclass(frozen=True)
class FallPoints:
    """Geometry of the falls at n edge points; fields broadcast to one shape (n,).

    Parameters
    ----------
    free_fall : float or array, shape (n,)
        Before the slack is out; 0 or more. [m]
    near : float or array, shape (n,)
        Rope between the person and the last bend. [m]
    far : float or array, shape (n,)
        Rope beyond it. [m]
    turn : float or array, shape (n,)
        Angle that the rope turns over its bends. [rad]
    rope_error : float or array, shape (n,)
        Share of the error of an undamped rope that applies, 0 to 1; 0 where the rope's stiffness was itself found in
        falls as hard. [-]
    eased : float or array, shape (n,)
        How much of the free fall is the speed of a slide that a roof with more friction takes off; at most the free
        fall. What the body comes down by stays. [m]

    Examples
    --------
    >>> len(FallPoints(free_fall=[1.0, 1.2], near=4.0))
    2
    """

    free_fall: ArrayLike = 0.0
    near: ArrayLike = 0.0
    far: ArrayLike = 0.0
    turn: ArrayLike = 0.0
    rope_error: ArrayLike = 1.0
    eased: ArrayLike = 0.0

    @property
    def table(self) -> Floats:
        """Rows in the order of the fields, shape (6, n)."""
        values = (self.free_fall, self.near, self.far, self.turn, self.rope_error, self.eased)
        return np.stack(np.broadcast_arrays(*(np.atleast_1d(np.asarray(v, dtype=np.float64)) for v in values)))

    def chosen(self, index: int | slice) -> FallPoints:
        """Some of the points."""
        return FallPoints(*self.table[:, index])

    def __len__(self) -> int:
        return int(self.table.shape[1])


def complete(given: Mapping[str, Distribution | Range | float]) -> dict[str, Distribution]:
    """Return the inputs with those left out at their defaults.

    Parameters
    ----------
    given : mapping of str to Distribution, Range or float
        By the names of `INPUTS`; ranges are taken as triangular.

    Raises
    ------
    ValueError
        If a name is unknown, or mass or modulus is missing.

    Examples
    --------
    >>> complete({"mass": 100.0, "modulus": Range(26e3, 35e3, 41e3)})["grab_lock"]
    Exact(value=0.0)
    """
    unknown = sorted(set(given) - set(INPUTS))
    if unknown:
        raise ValueError(f"unknown input {unknown[0]!r}, known are {', '.join(INPUTS)}")
    found: dict[str, Distribution] = {}
    for name, about in INPUTS.items():
        value = given.get(name, about.default)
        if value is None:
            raise ValueError(f"{name} must be given")
        found[name] = distribution_of(value)
    return found


def inputs_of(parts: PartRanges) -> dict[str, Range]:
    """Inputs of the ranges that corners are taken from."""
    return {name: getattr(parts, name) for name in PartRanges.__dataclass_fields__}


def in_doubt(inputs: Inputs) -> list[str]:
    """Names of the inputs that are not known, in the order of `INPUTS`; those that do nothing are left out."""
    found = [name for name, distribution in inputs.items() if not isinstance(distribution, Exact)]
    idle = _idle(inputs)
    return [name for name in found if name not in idle]


def _idle(inputs: Inputs) -> set[str]:
    """Inputs without effect: errors and lengths of parts that are not there."""
    ends = {name: distribution.ends for name, distribution in inputs.items()}
    idle: set[str] = set()
    if ends["absorber_force"].high <= 0 or ends["absorber_length"].high <= 0:
        idle |= {"absorber_force", "absorber_length", "absorber_error", "opening_error", "lockout_stiffness"}
    if ends["fast_modulus"].low > 0:
        idle |= {"rope_error"}
    if ends["fast_modulus"].high <= 0:
        idle |= {"relaxation_time"}
    if np.isinf(ends["grab_slip_force"].low):
        idle |= {"grab_slip_length"}
    return idle


def work_out(
    columns: Mapping[str, ArrayLike], points: FallPoints, *, curve: LoadCurve | None, error_bound: float
) -> dict[str, Floats]:
    """Every output for each draw and point, shape (draws, n); ``arrested`` and ``spent`` (absorber) are 1 or 0.

    Parameters
    ----------
    columns : mapping of str to array, shape (draws,)
        Every input.
    points : FallPoints, shape (n,)
    curve : LoadCurve, optional
        Of the rope; its `modulus` is then that of the first piece.
    error_bound : float
        See `ropewright.arrest.catch`. [-]
    """
    c = {name: np.asarray(values, dtype=np.float64).reshape(-1, 1) for name, values in columns.items()}
    shape = (max(len(values) for values in c.values()), len(points))
    chain = _chain(c, points, shape, curve)
    caught = catch(chain, error_bound=error_bound)
    c = c | {"rope_error": 1.0 + points.table[4] * (c["rope_error"] - 1.0), "eased": _eased(c, points)}
    return _outputs(chain, caught, {name: np.broadcast_to(values, shape).ravel() for name, values in c.items()}, shape)


def chain_of(case: Mapping[str, float], points: FallPoints, *, curve: LoadCurve | None = None) -> Chain:
    """Chain of one case of the inputs at every point, shape (n,).

    Parameters
    ----------
    case : mapping of str to float
        Every input.
    points : FallPoints, shape (n,)
    curve : LoadCurve, optional

    Examples
    --------
    >>> case = {name: float(value.at(0.5)) for name, value in complete({"mass": 90.0, "modulus": 35e3}).items()}
    >>> chain_of(case, FallPoints(1.8, 7.0)).parts.stiffness
    array([5000.])
    """
    return _chain({name: np.full((1, 1), value) for name, value in case.items()}, points, (1, len(points)), curve)


def _eased(c: Mapping[str, Floats], points: FallPoints) -> Floats:
    """Height that the roof's friction takes off each fall, shape (draws, n). [m]"""
    eased: Floats = points.table[5] * np.clip(c["slide_friction"], 0.0, 1.0)
    return eased


def _chain(c: Mapping[str, Floats], points: FallPoints, shape: tuple[int, int], curve: LoadCurve | None) -> Chain:
    """Chain of every case and point, laid out case after case."""
    free_fall, near, far, turn, *_ = points.table
    fall = free_fall + c["free_fall"] - _eased(c, points)
    length = effective_length(near, far, turn, c["friction"]) + c["length"]
    if not ((fall >= 0).all() and (length > 0).all()):
        raise ValueError("free fall must stay 0 or more, and rope above 0, over all that they may be")
    fields = {name: c[name] for name in _AS_THEY_ARE} | {"free_fall": fall, "stiffness": c["modulus"] / length}
    fields["fast_stiffness"] = c["fast_modulus"] / length
    flat = {name: np.broadcast_to(values, shape).ravel() for name, values in fields.items()}
    if curve is not None:
        return CurvedChain(**flat, curve=curve, length=np.broadcast_to(length, shape).ravel())
    return Chain(**flat)


#: Inputs that are fields of a chain under the same name.
_AS_THEY_ARE = (
    *("mass", "relaxation_time", "grab_lock", "grab_slip_force", "grab_slip_length", "absorber_force"),
    *("absorber_length", "lockout_stiffness", "lanyard_stiffness", "anchor_stiffness"),
)


def _outputs(chain: Chain, caught: Catches, c: Mapping[str, Floats], shape: tuple[int, int]) -> dict[str, Floats]:
    """Outputs with the model's errors on them; infinite where nothing stops the fall or holds the weight."""
    p = chain.parts
    arrested = caught.solved & caught.holds
    errors = ErrorFactors(c["rope_error"], c["absorber_error"], c["opening_error"])
    force = caught.peak_force * np.maximum(*force_factors(p, caught, errors))
    more = further_opening(caught, errors) + c["grab_slide"]
    # a slower body comes down as far: its fall is less only in speed
    down = p.drop + c["eased"] + c["body_shift"] + more
    found = {
        "peak_force": force,
        "stop_distance": caught.stop_distance + more,
        "needed": down + caught.lowest,
        "hang": down + caught.hang_extension,
    }
    # what gives way under the weight alone may still be stopped by what lies behind it, but nobody may count on it
    endless = {name: np.where(arrested, values, np.inf) for name, values in found.items()}
    endless |= {"average_force": caught.average_force}
    endless |= {"arrested": arrested.astype(np.float64), "spent": caught.bottomed_out.astype(np.float64)}
    return {name: values.reshape(shape) for name, values in endless.items()}
