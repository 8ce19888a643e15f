"""Putting a rope away: its mass and room, whether it fits, whether its stopper lifts the container."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.quantity import Range
from ropewright.rope.fibre import fibre_properties
from ropewright.rope.knot_curves import stopper_width
from ropewright.rope.sizes import sheathed_core_figures, table_mass
from ropewright.rope.stow_twist import LoopTurns, Way, bending_stiffness, loop_tension, loop_turns
from ropewright.rope.tables import Figure, figures

__all__ = ["STEPS", "Lid", "Stowed", "Twisted", "Way", "lid", "packing", "rope_mass", "stow", "twisted"]

#: Words for each way, a sentence a picture. Common practice, no source.
STEPS: Mapping[Way, tuple[str, ...]] = MappingProxyType(
    {
        Way.COIL: (
            "Each loop that is laid down the same way leaves one full turn in the rope.",
            "Give the rope a half turn back with the fingers at each loop, or it snarls when it runs out.",
        ),
        Way.COIL_TURNED_BACK: (
            "Lay one loop the usual way, the next turned back, by turns.",
            "The turns cancel. Keep the end on top: passed through the loops it ties a row of knots.",
        ),
        Way.BACK_AND_FORTH: (
            "Lay the rope back and forth in bights of one length, first left, then right.",
            "Leave three to four feet of the end.",
            "Wrap the bundle with it two to four times near one end.",
            "Pass the end through the bights beyond the wraps and draw it down: it is locked.",
        ),
        Way.STRAIGHT_IN: (
            "Tie a stopper in the rope's lower end.",
            "Put the stopper in first. The rope comes out through the hole in the lid.",
            "Feed the rest straight in, hand over hand, without coiling.",
            "When all of it is out, the stopper catches under the lid and lifts the container.",
        ),
    }
)


@cache
def rope_mass(fibre: str, construction: str, stretch: str, diameter: float) -> Figure:
    """Mass per length of a generic rope, from its table, or a range from density and fill where there is none.

    Parameters
    ----------
    fibre, construction, stretch : str
        Canonical names; what is unknown counts as the heaviest.
    diameter : float
        Above 0. [m]

    Returns
    -------
    Figure
        The high end is what is carried. [kg/m]

    Notes
    -----
    Without a table: fibre density times fill times the area of the circle; fill from 102 sheathed-core ropes, density
    that of the fibre, or of the densest known if nobody says which.

    Examples
    --------
    >>> round(rope_mass("nylon", "sheathed core", "low-stretch", 0.0105).value.likely, 3)
    0.066
    """
    known = table_mass(fibre, construction, stretch, diameter)
    if known is not None:
        return known
    fill, area = sheathed_core_figures()["import/fill"].value, math.pi / 4 * diameter**2
    density = fibre_properties().get(fibre, {}).get("density")
    if density is None:
        dense = [told["density"].value for told in fibre_properties().values() if "density" in told]
        low, likely, high = min(d.low for d in dense), 1140.0, max(d.high for d in dense)
    else:
        low, likely, high = density.value.low, density.value.likely, density.value.high
    value = Range(low * fill.low * area, likely * fill.likely * area, high * fill.high * area)
    source = Source("density of the fibre and fill of sheathed-core rope", "", SourceStatus.DERIVED)
    return Figure("mass from density", value, "kg/m", source)


@dataclass(frozen=True, slots=True)
class Stowed:
    """A length of rope put away.

    Parameters
    ----------
    mass : Range
        [kg]
    volume : float
        Of the rope as a solid cylinder. [m3]
    packing : Figure
        Share of a container that rope fills. [-]
    room : Range
        Container that it takes: low where it packs well. [m3]
    fill : float or None
        Share of the container told that the rope would fill. [-]
    fits : bool or None
        True if it fits however loosely it packs; None without a container.
    verdict : Verdict or None
        `ASK` where it fits only if it packs well, `FAILS` where not even level-wound rope would.
    mass_source : Figure
        [kg/m]
    """

    mass: Range
    volume: float
    packing: Figure
    room: Range
    fill: float | None
    fits: bool | None
    verdict: Verdict | None
    mass_source: Figure


def stow(length: float, diameter: float, mass: Figure, way: Way, container: float | None = None) -> Stowed:
    """Work out mass, volume and room of a length of rope.

    Parameters
    ----------
    length, diameter : float
        Above 0. [m]
    mass : Figure
        [kg/m]
    way : Way
    container : float, optional
        Inside, above 0. [m3]

    Returns
    -------
    Stowed

    Raises
    ------
    ValueError
        If a number is not above 0.

    Notes
    -----
    Packing of rope in a bag is judged: no published figure was found. Above the share that the formula for
    level-wound reels implies, pi/4, it is taken not to fit at all.

    Examples
    --------
    >>> told = stow(60.0, 0.0105, rope_mass("nylon", "sheathed core", "low-stretch", 0.0105), Way.STRAIGHT_IN, 0.025)
    >>> round(told.volume * 1000, 2), round(told.room.likely * 1000, 1), told.fits
    (5.2, 14.8, True)
    """
    if not (length > 0 and diameter > 0 and (container is None or container > 0)):
        raise ValueError(f"length, diameter and container must be above 0, got {length}, {diameter}, {container}")
    volume = math.pi / 4 * diameter**2 * length
    packed = packing(way)
    share = packed.value
    room = Range(volume / share.high, volume / share.likely, volume / share.low)
    kilograms = Range(mass.value.low * length, mass.value.likely * length, mass.value.high * length)
    if container is None:
        return Stowed(kilograms, volume, packed, room, None, None, None, mass)
    fits = container >= room.high
    most = figures("handling_figures")["packing/level-wound"].value.high
    verdict = Verdict.HOLDS if fits else Verdict.ASK if volume <= most * container else Verdict.FAILS
    return Stowed(kilograms, volume, packed, room, volume / container, fits, verdict, mass)


def packing(way: Way) -> Figure:
    """Share of a container that rope fills, put away in some way. [-]

    Examples
    --------
    >>> packing(Way.STRAIGHT_IN).value.low
    0.25
    """
    known = "coil" if way is Way.COIL_TURNED_BACK else way.value
    return figures("handling_figures")[f"packing/{known}"]


@dataclass(frozen=True, slots=True)
class Lid:
    """A hole in a lid that the rope runs out of, against the stopper inside.

    Parameters
    ----------
    hole : float
        [m]
    stopper : Range
        Least width across the stopper: low when drawn as hard as can be, likely and high as drawn. [m]
    lifts : bool or None
        True: the stopper can't pass; False: the drawn one passes, or the rope itself doesn't; None: between.
    verdict : Verdict
    """

    hole: float
    stopper: Range
    lifts: bool | None
    verdict: Verdict


def lid(hole: float, diameter: float) -> Lid:
    """Say whether a double overhand stopper inside lifts the container when the rope is all out.

    Parameters
    ----------
    hole, diameter : float
        Above 0. [m]

    Returns
    -------
    Lid

    Notes
    -----
    Two strands lie side by side inside two turns, so that no way through the knot is narrower than two ropes, but for
    flattening. The drawn width is that of the narrowest gap the dressed curve passes, seen along the rope.

    Examples
    --------
    >>> lid(0.020, 0.011).lifts, lid(0.060, 0.011).lifts, lid(0.010, 0.011).lifts
    (True, False, False)
    """
    if not (hole > 0 and diameter > 0):
        raise ValueError(f"hole and diameter must be above 0 m, got {hole} m and {diameter} m")
    drawn = stopper_width("double overhand stopper") * diameter
    stopper = Range(2 * diameter, drawn, drawn)
    lifts = None if stopper.low <= hole < drawn and hole > diameter else diameter < hole < stopper.low
    verdict = {True: Verdict.HOLDS, False: Verdict.FAILS, None: Verdict.ASK}[lifts]
    return Lid(hole, stopper, lifts, verdict)


@dataclass(frozen=True, slots=True)
class Twisted:
    """Twist that a way of stowing leaves.

    Parameters
    ----------
    turns : LoopTurns
        Of each loop.
    turns_per_metre : float
        When pulled out straight over the end. [1/m]
    turns_in_all : float
    tension : Range
        Pull below which it throws a loop. [N]
    hanging : float
        Rope whose weight is the high end of that: below it, free rope may loop. [m]
    bending : Range
        [N m2]
    """

    turns: LoopTurns
    turns_per_metre: float
    turns_in_all: float
    tension: Range
    hanging: float
    bending: Range


def twisted(
    way: Way,
    length: float,
    diameter: float,
    mass: Figure,
    loop: float | None = None,
    droop: tuple[float, float] | None = None,
) -> Twisted:
    """Work out the twist that is left in a rope pulled out straight over its end.

    Parameters
    ----------
    way : Way
    length, diameter : float
        Above 0. [m]
    mass : Figure
        [kg/m]
    loop : float, optional
        Rope in a loop or bight, above 0; a one-way coil needs it. [m]
    droop : tuple of float, optional
        See `bending_stiffness`. [m]

    Returns
    -------
    Twisted

    Raises
    ------
    ValueError
        If a one-way coil comes without its loop, or the loop is not above 0.

    Examples
    --------
    >>> told = twisted(Way.COIL, 60.0, 0.011, rope_mass("nylon", "sheathed core", "static", 0.011), 1.2)
    >>> round(told.turns_in_all)
    50
    """
    turns = loop_turns(way)
    whole = float(round(turns.linking))  # a linking number is whole; the rest is rounding
    if (whole and loop is None) or (loop is not None and not loop > 0):
        raise ValueError(f"loop must be above 0 m, got {loop}")
    each = whole / loop if loop is not None else 0.0
    bending = bending_stiffness(diameter, mass.value.likely, droop)
    tension = loop_tension(each, bending)
    return Twisted(turns, each, each * length, tension, tension.high / (mass.value.low * 9.80665), bending)
