"""Closed forms for a mass caught by one undamped spring, forward and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["GRAVITY", "elastic_peak_force", "modulus_from_peak_force"]

#: Standard gravity. [m/s2] Source: 3rd CGPM (1901), exact by definition.
GRAVITY = 9.80665

Floats = NDArray[np.float64]


def elastic_peak_force(mass: ArrayLike, free_fall: ArrayLike, stiffness: ArrayLike) -> Floats:
    """Peak force of a free fall caught by one undamped spring.

    Parameters
    ----------
    mass : float or array, shape (n,)
        Above 0. [kg]
    free_fall : float or array, shape (n,)
        Before the spring is straight, 0 or more. [m]
    stiffness : float or array, shape (n,)
        Above 0. [N/m]

    Returns
    -------
    array
        At least twice the weight. [N]

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    F = W (1 + sqrt(1 + 2 h k/W)): the falling weight of every text on strength of materials (Bansal, Problem 4.9,
    read in its open companion notebook). Measured peaks of ropes were up to 30 % above it as mass and fall factor
    rose (Weber, International Technical Rescue Symposium 2002, abstract read).

    Examples
    --------
    >>> elastic_peak_force(100.0, [0.0, 2.0], 10_000.0).round(2)
    array([1961.33, 7320.09])
    """
    m, h, k = (np.asarray(v, dtype=np.float64) for v in (mass, free_fall, stiffness))
    if not ((m > 0).all() and (h >= 0).all() and (k > 0).all()):  # also catches nan
        raise ValueError("mass and stiffness must be above 0, free fall 0 or more")
    weight = m * GRAVITY
    force: Floats = np.asarray(weight * (1.0 + np.sqrt(1.0 + 2.0 * h * k / weight)))
    return force


def modulus_from_peak_force(peak_force: ArrayLike, mass: ArrayLike, fall_factor: ArrayLike) -> Floats:
    """Rope modulus (force per unit strain) with which an undamped rope gives a measured peak force.

    Parameters
    ----------
    peak_force : float or array, shape (n,)
        Above twice the weight. [N]
    mass : float or array, shape (n,)
        Above 0. [kg]
    fall_factor : float or array, shape (n,)
        Free fall over rope length, above 0. [-]

    Returns
    -------
    array
        [N]

    Raises
    ------
    ValueError
        If a value is out of its range; no undamped spring gives less than twice the weight.

    Notes
    -----
    M = ((F/W - 1)^2 - 1) W/(2 f): `elastic_peak_force` solved for k L.

    Examples
    --------
    >>> modulus_from_peak_force(8500.0, 80.0, 4.8 / 2.8).round(-1)
    np.float64(21900.0)
    """
    f, m, factor = (np.asarray(v, dtype=np.float64) for v in (peak_force, mass, fall_factor))
    if not ((m > 0).all() and (factor > 0).all()):  # also catches nan
        raise ValueError("mass and fall factor must be above 0")
    weight = m * GRAVITY
    if not (f > 2 * weight).all():
        raise ValueError("the peak force must be above twice the weight")
    modulus: Floats = np.asarray(((f / weight - 1.0) ** 2 - 1.0) * weight / (2.0 * factor))
    return modulus
