"""What measurement gave over what the laws of the parts give, put onto the falls in which it bears."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.catch import Catches
from ropewright.arrest.part_sets import model_errors
from ropewright.arrest.parts import Parts

__all__ = ["ERRORS", "NO_ERRORS", "ErrorFactors", "force_factors", "further_opening", "published_errors"]

Floats = NDArray[np.float64]

#: Input that carries a model's error -> its row in the table.
ERRORS: Mapping[str, str] = {
    "rope_error": "rope/undamped peak",
    "absorber_error": "absorber/peak over average",
    "opening_error": "absorber/opening",
}


class ErrorFactors(NamedTuple):
    """Factors of 1 or more, each a float or one for each fall; 1 adds nothing. [-]"""

    rope: ArrayLike = 1.0  #: force of a rope without damping
    absorber: ArrayLike = 1.0  #: peak force of an absorber over the average at which it opens
    opening: ArrayLike = 1.0  #: how far an absorber opens


NO_ERRORS = ErrorFactors()


def published_errors(*, rope: ArrayLike = True) -> ErrorFactors:
    """Return the errors at their published size, on the unsafe side.

    Parameters
    ----------
    rope : bool or array of bool, shape (n,)
        False where the rope's stiffness was itself found in falls as hard: its range then holds the error already.

    Examples
    --------
    >>> published_errors(rope=[True, False])
    ErrorFactors(rope=array([1.3, 1. ]), absorber=1.25, opening=1.7)
    """
    ends = {name: model_errors()[row].value.high for name, row in ERRORS.items()}
    ropes = np.where(np.asarray(rope), ends["rope_error"], 1.0)
    return ErrorFactors(ropes, ends["absorber_error"], ends["opening_error"])


def force_factors(parts: Parts, caught: Catches, errors: ErrorFactors) -> tuple[Floats, Floats]:
    """What each law's error makes of the peak force, over that force, shape (n,); the greater counts.

    Parameters
    ----------
    parts : Parts, shape (n,)
    caught : Catches, shape (n,)
    errors : ErrorFactors

    Returns
    -------
    tuple of array, shape (n,)
        Of the rope, whose error bears where it has no damping and no absorber takes the force; and of the absorber,
        whose peak counts where it opens, and may lie below a peak that comes of something else. 1 where one does not
        bear. [-]
    """
    unlimited = ~parts.has_absorber | caught.bottomed_out
    rope = np.where((parts.fast_stiffness == 0) & unlimited, errors.rope, 1.0)
    opened = parts.has_absorber & (caught.absorber_opening > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        peak = parts.absorber_force * np.asarray(errors.absorber) / caught.peak_force
    return rope, np.where(opened & (peak > 1.0), peak, 1.0)


def further_opening(caught: Catches, errors: ErrorFactors) -> Floats:
    """How much further the absorber may open than worked out, shape (n,) [m]."""
    more: Floats = caught.absorber_opening * (np.asarray(errors.opening) - 1.0)
    return more
