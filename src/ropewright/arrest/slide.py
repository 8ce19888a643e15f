"""A slide down a roof: the height of a fall that its speed at the edge stands for, and how a body rubs on roofing."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest.part_sets import TABLES
from ropewright.arrest.parts import GRAVITY
from ropewright.findings.figures import Figure

__all__ = ["roof_friction", "slide_height", "slide_speed"]

Floats = NDArray[np.float64]


def roof_friction() -> Figure:
    """Friction of a person who slides on roofing, where nobody told it, with its source. [-]

    Examples
    --------
    >>> roof_friction().value
    Range(low=0.1, likely=0.3, high=0.7)
    >>> roof_friction().source.status.value
    'judgement'
    """
    return TABLES.figures("roof_friction")["person sliding"]


def slide_height(drop: ArrayLike, run: ArrayLike, friction: float) -> Floats:
    """Height of a free fall that ends as fast as a slide from rest does.

    Parameters
    ----------
    drop, run : array, shape (n, k)
        Height above the edge, and level way to it down the line of steepest descent, of k starts further and further
        up. [m]
    friction : float
        Of the body on the roof, 0 or more. [-]

    Returns
    -------
    array, shape (n, k)
        That of the worst start no further up than each, 0 or more. [m]

    Notes
    -----
    On a slope of angle q friction takes mu m g cos(q) for each metre, and a metre is cos(q) in plan: v^2 / (2 g) =
    drop - mu run, whatever the slopes on the way. Blows where the slope turns flatter are left out: errs high. Derived
    in docs/derivations-slide.md.

    Examples
    --------
    Down 3 m on 4 m in plan, and 1 m more on a flatter part that holds whoever slips there:

    >>> slide_height([[3.0, 4.0]], [[4.0, 16.0]], 0.25)
    array([[2., 2.]])
    """
    left = np.asarray(drop, float) - friction * np.asarray(run, float)
    height: Floats = np.maximum.accumulate(np.maximum(left, 0.0), axis=-1)
    return height


def slide_speed(height: ArrayLike) -> Floats:
    """Speed of a body that fell freely from a height of 0 or more. [m/s]

    Examples
    --------
    >>> slide_speed([0.0, 1.0]).round(3)
    array([0.   , 4.429])
    """
    speed: Floats = np.sqrt(2.0 * GRAVITY * np.asarray(height, float))
    return speed
