"""Twist that a way of stowing leaves in a rope, and the pull below which a twisted rope throws a loop."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ropewright.quantity import Range
from ropewright.rope.linking import linking_number, writhe
from ropewright.rope.tables import figures

__all__ = ["LoopTurns", "Way", "bending_stiffness", "loop_tension", "loop_turns", "stowed_curve"]

Floats = NDArray[np.float64]

#: Standard gravity, exact by definition. [m/s2]
_GRAVITY = 9.80665


class Way(StrEnum):
    """How a rope is put away."""

    COIL = "coil"
    COIL_TURNED_BACK = "coil-turned-back"
    BACK_AND_FORTH = "back-and-forth"
    STRAIGHT_IN = "straight-in"


def stowed_curve(way: Way, loops: int, rise: float = 0.02) -> Floats:
    """Middle line of a rope as it lies, closed far outside so that its ends can't turn.

    Parameters
    ----------
    way : Way
    loops : int
        Loops or bights, 1 or more.
    rise : float
        Height of a loop over the last, over the radius of a loop. [-]

    Returns
    -------
    array, shape (n, 3)
        Corners of a closed polygon; a loop has the radius 1, z is up.

    Notes
    -----
    A coil is a low helix. Turned back, its loops go round by turns the one way and the other, an eight folded upon
    itself. Bights run to and fro; fed straight in, they are of every width and lie where they fall.
    """
    steps = 40
    t = np.linspace(0.0, loops, loops * steps + 1)
    z = rise * t
    if way is Way.COIL:
        x, y = np.cos(2 * np.pi * t), np.sin(2 * np.pi * t)
    elif way is Way.COIL_TURNED_BACK:
        side = np.where(np.floor(np.minimum(t, loops - 1e-9)) % 2 == 0, 1.0, -1.0)
        x, y = side * (1 - np.cos(2 * np.pi * t)), np.sin(2 * np.pi * t)  # starts and ends each loop at the middle
    else:
        width = np.ones(loops + 1) if way is Way.BACK_AND_FORTH else 0.5 + (np.arange(loops + 1) * 0.618) % 1.0
        x, y = np.interp(t, np.arange(loops + 1), width) * np.cos(np.pi * t), 0.15 * t
    curve = np.column_stack([x, y, z])
    far = 30.0 + loops
    first, last = curve[0], curve[-1]
    out = np.array([[far, last[1], last[2]], [far, first[1] - 0.7, first[2] - far], [first[0] + 0.5, first[1], -far]])
    return np.concatenate([curve, out])


@dataclass(frozen=True, slots=True)
class LoopTurns:
    """What each loop adds, in turns.

    Parameters
    ----------
    linking : float
        Of the rope with the line along its top; kept when the rope is pulled out straight, then all of it twist. [-]
    writhe : float
        Of it, what lies in the shape of the loop. [-]
    twist : float
        Of it, what is twist already as the rope lies. [-]
    """

    linking: float
    writhe: float
    twist: float


@cache
def loop_turns(way: Way) -> LoopTurns:
    """Turns that each loop of a way of stowing leaves in the rope when it is pulled out straight over its end.

    Parameters
    ----------
    way : Way

    Returns
    -------
    LoopTurns
        Of four loops more, over four, so that the ends count for nothing.

    Notes
    -----
    The rope lies untwisted with a line along its top staying on top. Rope and line wind round each other Lk times.
    Pulled straight without letting its ends turn, the shape is gone (Wr = 0), so that Tw = Lk. Both by the Gauss
    integral; Lk = Tw + Wr (Calugareanu, White, Fuller; from memory).

    Examples
    --------
    >>> round(loop_turns(Way.COIL).linking, 6), abs(round(loop_turns(Way.BACK_AND_FORTH).linking, 6))
    (1.0, 0.0)
    """
    few, many = (stowed_curve(way, loops) for loops in (4, 8))
    beside = np.array([0.0008, 0.0006, 0.004])  # up, and a hair aside, so that no side lies along another
    linked = [linking_number(curve, curve + beside) for curve in (few, many)]
    writhed = [writhe(curve) for curve in (few, many)]
    linking, shape = (linked[1] - linked[0]) / 4, (writhed[1] - writhed[0]) / 4
    return LoopTurns(linking, shape, linking - shape)


def bending_stiffness(diameter: float, mass: float, droop: tuple[float, float] | None = None) -> Range:
    """Bending stiffness EI of a rope, as a range, since no table of it was found.

    Parameters
    ----------
    diameter : float
        Above 0. [m]
    mass : float
        Above 0. [kg/m]
    droop : tuple of float, optional
        Length held out level and how far its end droops, both above 0, as the user measured them; the drop is at most
        a third of the length. [m]

    Returns
    -------
    Range
        From a limp rope to one whose fibres can't slide; measured, a single value. [N m2]

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    A cantilever under its own weight droops by w a^4 / (8 EI) (beam theory). Upper end: EA d^2 / 16, a solid round
    bar of the same pull stiffness.

    Examples
    --------
    >>> round(bending_stiffness(0.0105, 0.065, (0.30, 0.10)).likely, 4)
    0.0065
    """
    if not (diameter > 0 and mass > 0):
        raise ValueError(f"diameter and mass must be above 0, got {diameter} m and {mass} kg/m")
    if droop is not None:
        if not 0 < droop[1] <= droop[0] / 3 + 1e-12:
            raise ValueError(f"drop must be above 0 and at most a third of {droop[0]} m, got {droop[1]} m")
        return Range.exact(mass * _GRAVITY * droop[0] ** 4 / (8 * droop[1]))
    known = figures("handling_figures")
    out, drop = known["limp overhang"].value.likely, known["limp drop"].value
    limp = [mass * _GRAVITY * out**4 / (8 * down) for down in (drop.high, drop.likely)]
    bonded = known["bonded stiffness over diameter squared"].value.high * diameter**2 * diameter**2 / 16
    return Range(limp[0], limp[1], max(bonded, limp[1]))


def loop_tension(turns_per_metre: float, bending: Range, ratio: Range | None = None) -> Range:
    """Pull below which a long straight twisted rope throws a loop.

    Parameters
    ----------
    turns_per_metre : float
        Twist; its sign does not matter. [1/m]
    bending : Range
        EI. [N m2]
    ratio : Range, optional
        Torsional over bending stiffness, GJ / EI; None: the range of the table. [-]

    Returns
    -------
    Range
        High end: twist stays in the rope without a loop above this pull. [N]

    Notes
    -----
    A straight rod under pull T and torque M is stable while M^2 < 4 EI T + 4 pi^2 EI^2 / L^2; for a long one
    T = M^2 / (4 EI), with M = 2 pi GJ turns / L. Derived in docs/derivations-stow.md from the rod's linear equation;
    the name (Greenhill 1883) from memory. Where a formed loop pops out again is not known from anything read.

    Examples
    --------
    >>> pull = loop_tension(1.0, Range.exact(0.0065), Range.exact(0.004 / 0.0065))
    >>> round(pull.likely, 4)
    0.0243
    """
    k = ratio or figures("handling_figures")["torsion over bending"].value
    square = (math.pi * turns_per_metre) ** 2
    return Range(
        square * k.low**2 * bending.low, square * k.likely**2 * bending.likely, square * k.high**2 * bending.high
    )
