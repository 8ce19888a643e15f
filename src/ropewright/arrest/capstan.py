"""Rope round a post, a drum or an edge: what friction holds, and what it costs to pull over."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["bend_ratio", "edge_force", "friction_from_hold", "held_force", "raising_force"]

Floats = NDArray[np.float64]


def held_force(tension: ArrayLike, turn: ArrayLike, friction: ArrayLike) -> Floats:
    """Force that holds a tension on the far side of a post or an edge, so that the rope does not run.

    Parameters
    ----------
    tension : float or array, shape (n,)
        On the loaded side, 0 or more. [N]
    turn : float or array, shape (n,)
        Angle that the rope turns on the surface, in all, 0 or more. [rad]
    friction : float or array, shape (n,)
        Of rope on surface, 0 or more; take the least that it may be. [-]

    Returns
    -------
    array
        Between 0 and `tension`. [N]

    Raises
    ------
    ValueError
        If a value is negative or not a number.

    Notes
    -----
    T exp(-mu turn), whatever the radius: Euler's capstan law, in every text on statics (worked in Beer and Johnston,
    Sample Problem 8.8, read in its open companion notebook). The rope is taken as limp and thin beside the radius.

    Examples
    --------
    >>> held_force(1000.0, [0.0, np.pi], 0.25).round(1)
    array([1000. ,  455.9])
    """
    t, theta, mu = _checked(tension, turn, friction)
    force: Floats = np.asarray(t * np.exp(-mu * theta))
    return force


def raising_force(tension: ArrayLike, turn: ArrayLike, friction: ArrayLike) -> Floats:
    """Force that pulls a tension over a post or an edge, against friction.

    Parameters
    ----------
    tension, turn
        See `held_force`.
    friction : float or array, shape (n,)
        Of rope on surface, 0 or more; take the most that it may be. [-]

    Returns
    -------
    array
        At least `tension`. [N]

    Raises
    ------
    ValueError
        If a value is negative or not a number.

    Examples
    --------
    >>> raising_force(800.0, np.pi / 2, 0.4).round()  # an edge nearly doubles the load
    np.float64(1500.0)
    """
    t, theta, mu = _checked(tension, turn, friction)
    force: Floats = np.asarray(t * np.exp(mu * theta))
    return force


def edge_force(near: ArrayLike, far: ArrayLike, turn: ArrayLike) -> Floats:
    """Force of a rope on the edge that it turns over.

    Parameters
    ----------
    near, far : float or array, shape (n,)
        Tension on both sides, 0 or more. [N]
    turn : float or array, shape (n,)
        Angle that the rope turns, 0 to pi. [rad]

    Returns
    -------
    array
        Resultant of both tensions. [N]

    Raises
    ------
    ValueError
        If a value is out of its range.

    Examples
    --------
    >>> edge_force(3.0, 4.0, [0.0, np.pi / 2, np.pi])
    array([1., 5., 7.])
    """
    a, b, theta = _checked(near, far, turn)
    if not (theta <= np.pi * (1 + 1e-12)).all():
        raise ValueError("a rope turns over an edge by at most half a turn")
    # (a - b)^2 + 2 a b (1 - cos turn), which stays exact for a small turn
    force: Floats = np.asarray(np.sqrt((a - b) ** 2 + 4.0 * a * b * np.sin(0.5 * theta) ** 2))
    return force


def friction_from_hold(tension: ArrayLike, held_by: ArrayLike, turn: ArrayLike) -> Floats:
    """Friction of a rope on a surface, from two weights and the turn between them.

    Parameters
    ----------
    tension : float or array, shape (n,)
        The larger weight. [N]
    held_by : float or array, shape (n,)
        The smaller weight, above 0 and at most `tension`. [N]
    turn : float or array, shape (n,)
        Angle that the rope turns on the surface, above 0. [rad]

    Returns
    -------
    array
        If the rope holds, friction is at least this; if it slips, at most. [-]

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    ln(tension/held_by)/turn: `held_force` solved for friction. Only the ratio of the weights counts, so that a tilted
    board or a lever does for a load cell.

    Examples
    --------
    >>> friction_from_hold(14.0, 1.0, 1.5 * 2 * np.pi).round(3)  # 1.5 turns on a roller that held 14 to 1
    np.float64(0.28)
    """
    t, small, theta = _checked(tension, held_by, turn)
    if not ((small > 0).all() and (small <= t).all() and (theta > 0).all()):
        raise ValueError("the smaller weight must be above 0 and the turn too, and it must be the smaller one")
    friction: Floats = np.asarray(np.log(t / small) / theta)
    return friction


def bend_ratio(radius: float, diameter: float) -> float:
    """Diameter of what a rope is bent round over diameter of the rope.

    Parameters
    ----------
    radius : float
        Of the edge or pin, 0 or more. [m]
    diameter : float
        Of the rope, above 0. [m]

    Returns
    -------
    float
        [-]

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    Texts that give "4 to 1" mean the radius or the diameter; here it is always the diameter of the bend.

    Examples
    --------
    >>> bend_ratio(0.022, 0.011)
    4.0
    """
    if not (radius >= 0 and 0 < diameter < np.inf):  # also catches nan
        raise ValueError("the radius must be 0 or more and the rope's diameter above 0")
    return 2.0 * radius / diameter


def _checked(*values: ArrayLike) -> list[Floats]:
    arrays = [np.asarray(value, dtype=np.float64) for value in values]
    if not all((array >= 0).all() for array in arrays):  # also catches nan
        raise ValueError("tensions, turn and friction must be 0 or more")
    return arrays
