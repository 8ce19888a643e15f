"""Rope stiffness from what certificates print, and the check that a stiffness is possible."""

from __future__ import annotations

import math

from ropewright.errors import InputError

__all__ = ["FIBRE_MODULUS_LIMIT", "check_stiffness", "stiffness_from_elongation", "stiffness_from_impact_force"]

#: Stiffer than any fibre that ropes are made of; a greater modulus is a misprint. [Pa] (Judgement; steel has 200 GPa.)
FIBRE_MODULUS_LIMIT = 150e9

#: Standard gravity, exact by definition. [m/s2]
_GRAVITY = 9.80665


def stiffness_from_impact_force(force: float, mass: float, fall_factor: float) -> float:
    """Stiffness of the undamped elastic rope that gives this peak force.

    Parameters
    ----------
    force : float
        Peak force, above twice the weight. [N]
    mass : float
        Above 0. [kg]
    fall_factor : float
        Free fall over rope length, above 0. [-]

    Returns
    -------
    float
        Force per unit strain. [N]

    Raises
    ------
    ValueError
        If mass or fall factor is not above 0, or the force is not above twice the weight, which any fall exceeds.

    Notes
    -----
    From F = W (1 + sqrt(1 + 2 f M / W)): M = ((F/W - 1)^2 - 1) W / (2 f). A certificate's own elongation is smaller
    than F / M, since real ropes damp.

    Examples
    --------
    >>> round(stiffness_from_impact_force(8500.0, 80.0, 4.8 / 2.8))
    21902
    """
    if not (mass > 0 and fall_factor > 0):
        raise ValueError(f"mass and fall factor must be above 0, got {mass} kg and {fall_factor}")
    weight = mass * _GRAVITY
    if not force > 2 * weight:
        raise ValueError(f"peak force must be above twice the weight of {weight:.0f} N, got {force:.0f} N")
    return ((force / weight - 1) ** 2 - 1) * weight / (2 * fall_factor)


def stiffness_from_elongation(load: float, elongation: float) -> float:
    """Stiffness of a rope that this load stretches by this share of its length.

    Parameters
    ----------
    load : float
        Load, or step between two loads, above 0. [N]
    elongation : float
        Stretch over length that goes with it, above 0. [-]

    Returns
    -------
    float
        Force per unit strain. [N]

    Raises
    ------
    ValueError
        If either is not above 0.

    Examples
    --------
    >>> stiffness_from_elongation(1000.0, 0.05)
    20000.0
    """
    if not (load > 0 and elongation > 0):
        raise ValueError(f"load and elongation must be above 0, got {load} N and {elongation}")
    return load / elongation


def check_stiffness(stiffness: float, diameter: float, field: str) -> None:
    """Refuse a stiffness that no fibre can give.

    Parameters
    ----------
    stiffness : float
        Force per unit strain. [N]
    diameter : float
        Of the rope, above 0. [m]
    field : str
        Where it stood, for the error.

    Raises
    ------
    InputError
        If it is not above 0, or the modulus over the full section is above 150 GPa.

    Examples
    --------
    >>> check_stiffness(35e3, 0.011, "rope.stiffness")
    >>> check_stiffness(4.8e11 * 2.83e-5, 0.006, "rope.stiffness")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    ropewright.errors.InputError: rope.stiffness: got '1.36e+07 N'; no fibre is stiffer than 150 GPa...
    """
    if not stiffness > 0:
        raise InputError(field, f"{stiffness:g} N", "give a force per unit strain above 0, such as '35 kN'")
    greatest = FIBRE_MODULUS_LIMIT * math.pi * diameter**2 / 4
    if not stiffness <= greatest:
        raise InputError(
            field,
            f"{stiffness:.3g} N",
            f"no fibre is stiffer than 150 GPa, which is {greatest:.3g} N per unit strain at this diameter",
        )
