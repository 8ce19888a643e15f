"""A rope put away as people tell it: reading, working out, and what is to be said of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.findings import Verdict
from ropewright.quantity import Dimension
from ropewright.quantity.told import TextReader, positive, zero_or_more
from ropewright.rope.names import canonical_construction, canonical_fibre, canonical_stretch
from ropewright.rope.stow import Lid, Stowed, Twisted, Way, lid, rope_mass, stow, twisted
from ropewright.rope.tables import figures

__all__ = ["PutAway", "stow_notes", "told_stow"]

_LENGTH = positive(Dimension.LENGTH)
_LADDER = (
    "No figure was found for what may be carried up a ladder. 29 CFR 1926.1053(b)(21) and (22) (from memory) ask for "
    "a hand on the ladder and forbid a load that could cost the balance: haul it up on a hand line."
)


@dataclass(frozen=True, slots=True)
class PutAway:
    """All that was worked out; lengths in m, masses in kg, the container's room in m3."""

    way: Way
    length: float
    diameter: float
    stowed: Stowed
    lid: Lid | None
    twisted: Twisted
    beside: float
    container: float | None

    @property
    def carried(self) -> float:
        """Rope at its heaviest, with its container. [kg]"""
        return self.stowed.mass.high + self.beside


def told_stow(reader: TextReader) -> PutAway:
    """Work out a rope that is put away.

    Parameters
    ----------
    reader : TextReader
        Of ``length``, ``diameter``, ``fibre``, ``construction``, ``stretch``, ``container_volume``,
        ``container_diameter``, ``container_height``, ``container_mass``, ``hole``, ``way``, ``loop``, ``overhang``,
        ``drop``.

    Raises
    ------
    InputError, InputErrors
        All faults at once.
    """
    length, diameter = reader.one("length", _LENGTH, 1.0), reader.one("diameter", _LENGTH, 0.01)
    fibre = reader.word("fibre", canonical_fibre)
    construction = reader.word("construction", canonical_construction)
    stretch = reader.word("stretch", canonical_stretch)
    container, hole = _container(reader), reader.one("hole", _LENGTH, None)
    beside = reader.one("container_mass", zero_or_more(Dimension.MASS), 0.0)
    way = Way(reader.texts["way"] or "straight-in")
    loop, droop = reader.one("loop", _LENGTH, None), _droop(reader)
    if way is Way.COIL and not reader.given("loop"):
        reader.refuse("loop", "give the rope in each loop, such as '0.9 m': each leaves a turn")
    if diameter > 0.2:
        reader.refuse("diameter", "give at most 0.2 m", value=reader.texts["diameter"])
    if loop is not None and loop > length:
        reader.refuse("loop", "give no more than the rope's length", value=reader.texts["loop"])
    reader.done("the stowing can't be worked out")
    mass = rope_mass(fibre, construction, stretch, diameter)
    return PutAway(
        way,
        length,
        diameter,
        stow(length, diameter, mass, way, container),
        None if hole is None else lid(hole, diameter),
        twisted(way, length, diameter, mass, loop, droop),
        beside,
        container,
    )


def _container(reader: TextReader) -> float | None:
    """Room inside the container [m3], told as a volume or as a round one's sizes."""
    volume = reader.one("container_volume", positive(Dimension.VOLUME), None)
    across, height = reader.one("container_diameter", _LENGTH, None), reader.one("container_height", _LENGTH, None)
    reader.needs("container_diameter", "container_height", "give the container's height inside, such as '40 cm'")
    reader.needs("container_height", "container_diameter", "give the container's diameter inside, such as '30 cm'")
    if reader.given("container_volume") and reader.given("container_diameter"):
        names = f"{reader.field('container_diameter')} and {reader.field('container_height')}"
        reader.refuse("container_volume", f"give it, or {names}, and not both")
    return volume if across is None or height is None else math.pi / 4 * across**2 * height


def _droop(reader: TextReader) -> tuple[float, float] | None:
    overhang, drop = reader.one("overhang", _LENGTH, None), reader.one("drop", _LENGTH, None)
    reader.needs("overhang", "drop", "give how far its end droops, such as '10 cm'")
    reader.needs("drop", "overhang", "give the length held out level, such as '30 cm'")
    if overhang is None or drop is None:
        return None
    if drop > overhang / 3 * (1 + 1e-9):
        expected = f"give at most a third of {reader.field('overhang')}: hold out a shorter length"
        reader.refuse("drop", expected, value=drop)
        return None
    return overhang, drop


def stow_notes(answer: PutAway, measure: str = "measure it") -> Iterator[str]:
    """Yield what is to be said beside the figures.

    Parameters
    ----------
    answer : PutAway
    measure : str
        How whoever asks can tell the stiffness of their own rope.
    """
    if answer.stowed.verdict is Verdict.ASK:
        yield "It fits only if it packs well: try it with the rope."
    if answer.stowed.verdict is Verdict.FAILS:
        yield "It does not fit, even laid tight."
    yield (
        "How rope packs in a bag is judged: no published figure was found. Level-wound reels imply 0.785 as the most "
        f"({figures('handling_figures')['packing/level-wound'].source}, grade B)."
    )
    if answer.lid is not None:
        yield _lid_note(answer.lid)
    if answer.way is Way.COIL_TURNED_BACK:
        yield "Its loops stand ready to snag: an end passed through them ties a row of knots."
    if answer.twisted.turns_per_metre:
        yield (
            "The pull is that of a long straight rod (linear rod theory, derived; the name Greenhill from memory). "
            f"Stiffness is judged, as no table was found: {measure}. Loops form where the rope is slack."
        )
    yield _LADDER
    yield "Steps are common practice; no source was found."


def _lid_note(told: Lid) -> str:
    if told.lifts:
        return "The stopper can't pass the hole: when the rope is all out, it lifts the container."
    if told.lifts is None:
        return "The stopper may be drawn through the hole: take a smaller one, or try it under load."
    return "The hole is wrong: the stopper passes it, or the rope does not."
