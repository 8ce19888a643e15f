"""Falls with every input in doubt at an end of what it may be, and which of those corners is the worst."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.curve import LoadCurve
from ropewright.arrest.distribution import Distribution
from ropewright.arrest.doubtful import BATCH, DRAWN_ERROR_BOUND, OUTPUTS, FallPoints, complete, in_doubt, work_out
from ropewright.quantity import Range

__all__ = ["Corners", "worst_corners"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Corners:
    """Falls at the ends of all inputs in doubt, at n edge points."""

    cases: tuple[Mapping[str, float], ...]  #: inputs of each corner, the middle of all ahead
    low: Mapping[str, Floats]  #: (n,) least over the corners
    middle: Mapping[str, Floats]  #: (n,) all inputs in the middle
    high: Mapping[str, Floats]  #: (n,) greatest over the corners
    worst: Mapping[str, NDArray[np.intp]]  #: (n,) corner that is
    spent: NDArray[np.bool_]  #: (n,) the absorber opens all the way in some corner


#: Inputs that go to their ends together; see `ropewright.arrest.corners`. Those with a minus go to the other end.
_GROUPS: tuple[tuple[str, ...], ...] = (
    (
        *("mass", "free_fall", "grab_lock", "grab_slide", "body_shift", "rope_error", "absorber_error"),
        *("opening_error", "-slide_friction"),
    ),
    ("modulus", "fast_modulus", "friction", "lockout_stiffness", "lanyard_stiffness", "anchor_stiffness", "-length"),
    ("relaxation_time",),
    ("absorber_force",),
    ("absorber_length",),
    ("grab_slip_force",),
    ("grab_slip_length",),
)


def worst_corners(
    inputs: Mapping[str, Distribution | Range | float],
    points: FallPoints,
    *,
    curve: LoadCurve | None = None,
    error_bound: float = DRAWN_ERROR_BOUND,
) -> Corners:
    """Falls with every input at an end of what it may be.

    Parameters
    ----------
    inputs, points, curve, error_bound
        As for `doubt`.

    Notes
    -----
    Inputs without ends go to where 1 in 1,000 lies beyond. Seven groups of inputs that work one way go together, at
    most 128 corners.

    Examples
    --------
    >>> inputs = {"mass": Range(80.0, 100.0, 120.0), "modulus": Range(26e3, 35e3, 41e3), "rope_error": 1.0}
    >>> found = worst_corners(inputs, FallPoints(free_fall=1.8, near=6.0))
    >>> found.high["peak_force"].round(-1), found.cases[found.worst["peak_force"][0]]["mass"]
    (array([6680.]), 120.0)
    """
    given = complete(inputs)
    cases = _cases({name: distribution.ends for name, distribution in given.items()}, set(in_doubt(given)))
    columns = {name: np.array([case[name] for case in cases]) for name in given}
    size = max(BATCH // len(cases), 1)
    pieces = [
        work_out(columns, points.chosen(slice(i, i + size)), curve=curve, error_bound=error_bound)
        for i in range(0, len(points), size)
    ]
    outputs = {name: np.concatenate([piece[name] for piece in pieces], axis=1) for name in (*OUTPUTS, "spent")}
    spent = outputs.pop("spent").max(axis=0) > 0
    # an average force that is no number is below every window, and so the least
    ranked = {name: np.where(np.isnan(values), -np.inf, values) for name, values in outputs.items()}
    return Corners(
        cases=cases,
        low={name: _known(values.min(axis=0)) for name, values in ranked.items()},
        middle={name: values[0] for name, values in outputs.items()},
        high={name: _known(values.max(axis=0)) for name, values in ranked.items()},
        worst={name: values.argmax(axis=0) for name, values in ranked.items()},
        spent=spent,
    )


def _known(values: Floats) -> Floats:
    return np.where(np.isneginf(values), np.nan, values)


def _cases(ends: Mapping[str, Range], moving: set[str]) -> tuple[dict[str, float], ...]:
    """Inputs of the middle case, then of each corner."""
    groups = [[name for name in group if name.lstrip("-") in moving] for group in _GROUPS]
    groups = [group for group in groups if group]
    middle = {name: value.likely for name, value in ends.items()}
    cases = [middle]
    for corner in product(("low", "high"), repeat=len(groups)) if groups else ():
        case = dict(middle)
        for group, end in zip(groups, corner, strict=True):
            other = "high" if end == "low" else "low"
            for name in group:
                plain = name.lstrip("-")
                case[plain] = getattr(ends[plain], other if name.startswith("-") else end)
        cases.append(case)
    return tuple(cases)
