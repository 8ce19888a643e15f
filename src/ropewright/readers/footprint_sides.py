"""The roof over the rings of a footprint, from its properties: form, pitches, and what is told of single sides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.readers.footprint_values import (
    MOST_SIDES,
    angle_of,
    length_of,
    pitch_of,
    refuse_unknown,
    side_of,
    sides_of,
    tables_of,
    word_of,
)
from ropewright.roof.mending.notes import Mendings
from ropewright.roof.outline import FORMS
from ropewright.roof.surface import Roof
from ropewright.roof.told_sides import COURTYARD_KINDS, SIDE_KINDS, ToldSides, misplaced_on_side, roof_of_sides

__all__ = ["BY_SIDE", "OUTLINE_MEMBERS", "OVERHANG", "roof_on"]

Points = NDArray[np.float64]

#: Properties that count sides; corners may then not be left out.
BY_SIDE = ("pitches", "pitches_deg", "gable_sides", "high_side", "side")
#: Widest overhang. [m]
OVERHANG = 3.0
#: Properties of a roof over an outline; of a wing nothing else is read but its name and outline.
OUTLINE_MEMBERS = (
    *("form", "pitch", "pitch_deg", "pitches", "pitches_deg", "eave_height", "eave_height_m"),
    *("overhang", "overhang_m", "gable_sides", "high_side", "side"),
)
_SIDE = (
    *("number", "kind", "pitch", "pitch_deg", "hip_from", "hip_from_m", "overhang", "overhang_m"),
    *("upper_pitch", "upper_pitch_deg", "break_from", "break_from_m"),
)
_COURTYARD = ("kind", "overhang", "overhang_m")
#: Words of OpenStreetMap for forms.
_SHAPES = {"flat": "flat", "gabled": "gable", "hipped": "hip", "pyramidal": "hip", "skillion": "shed"}


def roof_on(rings: Sequence[Points], properties: Mapping[str, Any], eave_height: float, notes: Mendings) -> Roof:
    """Roof over an outline and its courtyards.

    Parameters
    ----------
    rings : sequence of arrays, shape (n, 2)
        Outline, then courtyards. [m]
    properties : mapping
        What is told of it.
    eave_height : float
        [m]
    notes : Mendings
        What was found so far.

    Raises
    ------
    InputError
        If a property can't be used, or no roof can stand on them together.
    """
    form = _form(properties, notes)
    count, outer = sum(map(len, rings)), len(rings[0])
    told = ToldSides()
    _courtyards(properties, [len(ring) for ring in rings], told)
    _sides(properties, form, count, told)
    gables = sides_of(properties, "gable_sides")
    for side in gables:
        if told.kinds.get(side, "gable") != "gable":
            raise RoofError("gable_sides", side + 1, f"take it out: 'side' says that it is a {told.kinds[side]}")
    return roof_of_sides(
        rings[0],
        told,
        form=form,
        pitches=_pitches(properties, form, count, told),
        eave_height=eave_height,
        overhang=length_of(properties, "overhang", OVERHANG) or 0.0,
        gable_sides=gables,
        high_side=_high_side(properties, form, outer),
        holes=rings[1:],
        count=count,
    )


def _form(properties: Mapping[str, Any], notes: Mendings) -> str:
    given = properties.get("form")
    if given is None:
        shape = properties.get("roof:shape")
        given = _SHAPES.get(shape, shape) if isinstance(shape, str) else shape
    if given is None:
        notes.find("no form given: a slope over every side (hip) that nothing else is told of")
        return "hip"
    if given not in FORMS:
        raise RoofError("form", given, f"give one of {', '.join(FORMS)}")
    return str(given)


# single sides --------------------------------------------------------------------------------------------------------


def _courtyards(properties: Mapping[str, Any], counts: Sequence[int], told: ToldSides) -> None:
    """Take what is told of all sides of each courtyard, in the order of the inner rings."""
    tables = tables_of(properties, "courtyard")
    if len(tables) > len(counts) - 1:
        inner = len(counts) - 1
        raise RoofError("courtyard", f"{len(tables)} courtyards", f"give one for each inner ring: there are {inner}")
    first = counts[0]
    for (path, one), count in zip(tables, counts[1:], strict=False):
        refuse_unknown(one, path, _COURTYARD)
        kind = word_of(one, "kind", COURTYARD_KINDS, path=path)
        overhang = length_of(one, "overhang", OVERHANG, path=path)
        for side in range(first, first + count):
            told.tell(side, "wall" if kind == "wall" else "", None, overhang, None)
        first += count


def _sides(properties: Mapping[str, Any], form: str, count: int, told: ToldSides) -> None:
    """Take what is told of single sides; each object speaks of another one."""
    seen: set[int] = set()
    for path, one in tables_of(properties, "side"):
        refuse_unknown(one, path, _SIDE)
        side = side_of(one.get("number"), f"{path}number", count)
        if side in seen:
            raise RoofError(f"{path}number", side + 1, "give each side once: put all of it in one object")
        seen.add(side)
        _side(one, path, form, side, told)


def _side(one: Mapping[str, Any], path: str, form: str, side: int, told: ToldSides) -> None:
    kind = word_of(one, "kind", SIDE_KINDS, path=path)
    pitch = pitch_of(one, path)
    start = length_of(one, "hip_from", 50.0, least=0.01, path=path)
    upper, break_from = (
        pitch_of(one, path, key="upper_pitch"),
        length_of(one, "break_from", 50.0, least=0.01, path=path),
    )
    values = {
        "kind": kind or None, "pitch": pitch, "hip_from": start, "upper_pitch": upper, "break_from": break_from
    }  # fmt: skip
    for key, wanted in misplaced_on_side(form, kind, [key for key, value in values.items() if value is not None]):
        raise RoofError(f"{path}{key}", values[key], wanted)
    if kind == "half-hip" and start is None:
        raise RoofError(f"{path}hip_from", None, "give the height above the roof's edge at which the hip begins")
    told.tell(side, kind, pitch, length_of(one, "overhang", OVERHANG, path=path), start)
    if upper is not None and break_from is not None:
        told.breaks[side] = break_from, upper


# pitches -------------------------------------------------------------------------------------------------------------


def _pitches(properties: Mapping[str, Any], form: str, count: int, told: ToldSides) -> list[float]:
    """Pitches in degrees: one, or one for each side."""
    each = _listed(properties)
    if each is None:
        one = pitch_of(properties, more=("roof:angle",))
        is_told = len({*told.pitches, *told.plumb}) == count
        if one is None and form != "flat" and not is_told:
            wanted = "give the property 'pitch', such as \"8:12\" or \"35 deg\", or 'pitch_deg'"
            raise RoofError("pitch", None, wanted)
        each = [0.0 if one is None else one]
    if not told.pitches and (len(each) == 1 or len(each) == count):
        return each
    if len(each) not in (1, count):
        raise RoofError("pitches", f"{len(each)} pitches", f"give one for each of the {count} sides")
    whole = each if len(each) == count else each * count
    return [told.pitches.get(side, pitch) for side, pitch in enumerate(whole)]


def _listed(properties: Mapping[str, Any]) -> list[float] | None:
    for key in ("pitches", "pitches_deg"):
        many = properties.get(key)
        if many is not None:
            if not isinstance(many, list) or not 1 <= len(many) <= MOST_SIDES:
                raise RoofError(key, type(many).__name__, "give a list with the pitch of each side")
            return [angle_of(one, f"{key}[{number}]", bare=key == "pitches_deg") for number, one in enumerate(many)]
    return None


def _high_side(properties: Mapping[str, Any], form: str, count: int) -> int | None:
    given = properties.get("high_side")
    if given is None and form != "shed":
        return None
    if type(given) is not int or not 1 <= given <= count:
        raise RoofError("high_side", given, "give the number of the side that the roof rises to, counted from 1")
    return given - 1
