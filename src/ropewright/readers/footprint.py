"""A roof over a footprint, from what the properties of the footprint say of it: form, pitch, eave height.

The properties are described in ``docs/roof-files.md``; they are named as in a job file, with the unit in the text
(``"8:12"``) or, for plain numbers, in the name (``pitch_deg``).  Of OpenStreetMap's tags ``roof:shape`` and
``roof:angle`` are understood (its wiki; from memory).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import InputError, RoofError
from ropewright.quantity import Dimension, parse_quantity
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.footprint_rings import squared, without_straight, without_twice
from ropewright.roof.mending.notes import Mendings
from ropewright.roof.outline import FORMS, roof_from_outline

__all__ = ["footprint_building"]

Points = NDArray[np.float64]

#: Corners nearer than this stand twice. [m]
_TWICE = 0.01
#: Corners moved by less than this to make them square are not worth a word. [m]
_SQUARE_ENOUGH = 2e-3
#: A footprint has no more corners than this, and no building reaches farther. [-], [m]
_MOST_CORNERS, _FARTHEST = 400, 2_000.0
#: Words of OpenStreetMap for forms.
_SHAPES = {"flat": "flat", "gabled": "gable", "hipped": "hip", "pyramidal": "hip", "skillion": "shed"}
#: Properties that count sides; corners may then not be left out.
_BY_SIDE = ("pitches", "pitches_deg", "gable_sides", "high_side")


def footprint_building(
    name: str, rings: Sequence[Points], properties: Mapping[str, Any], *, accuracy: float, notes: Mendings
) -> BuildingRoof:
    """Roof over a footprint; refused, with the reason as its note, if it can't be told or can't stand.

    Parameters
    ----------
    name : str
        Id of the building.
    rings : sequence of arrays, shape (n, 2)
        Outline and courtyards, the first corner not repeated. [m]
    properties : mapping
        What the file says of the footprint.
    accuracy : float
        How near a corner is to where it was meant: corners are made square, and left out of a straight side, within
        it. [m]
    notes : Mendings
        What was mended and found so far.
    """
    try:
        mended = _mended_rings(name, rings, properties, accuracy, notes)
        eave = _length(properties, "eave_height", 300.0)
        form = _form(properties, notes)
        roof = roof_from_outline(
            mended[0],
            form=form,
            pitches=_pitches(properties, form),
            eave_height=0.0 if eave is None else eave,
            overhang=_length(properties, "overhang", 3.0) or 0.0,
            gable_sides=_sides(properties, "gable_sides"),
            high_side=_high_side(properties, form),
            holes=mended[1:],
        )
    except InputError as error:
        return BuildingRoof(name, "refused", (f"{name}: {error}",))
    if eave is None:
        notes.find("no eave height: heights count from the eave; give the ground as a height below it")
    found = tuple(note for note in roof.notes)
    return BuildingRoof(
        id=name,
        status="mended" if notes.mended else "read",
        notes=(*notes.mended, *found, *notes.found),
        roof=dataclasses.replace(roof, notes=()),
        ground=None if eave is None else 0.0,
    )


def _mended_rings(
    name: str, rings: Sequence[Points], properties: Mapping[str, Any], accuracy: float, notes: Mendings
) -> list[Points]:
    corners = np.vstack(rings)
    if len(corners) > _MOST_CORNERS:
        raise RoofError("outline", f"{len(corners)} corners", f"give at most {_MOST_CORNERS}")
    if float(np.ptp(corners, axis=0).max()) > _FARTHEST:
        raise RoofError("outline", f"{np.ptp(corners, axis=0).max():.0f} m across", "give the outline of one building")
    return [_mended(name, ring, properties, accuracy, notes) for ring in rings]


def _mended(name: str, ring: Points, properties: Mapping[str, Any], accuracy: float, notes: Mendings) -> Points:
    once = without_twice(ring, _TWICE)
    counted = next((key for key in _BY_SIDE if properties.get(key) is not None), None)
    if len(once) < len(ring):
        if counted is not None:
            raise RoofError("outline", "corners that stand twice", f"leave them out, so that '{counted}' can count")
        notes.mend("corners that stood twice removed", name)
    if len(once) < 3:
        raise RoofError("outline", f"{len(once)} corners", "give three or more")
    plain = once if counted is not None else without_straight(once, accuracy)
    if len(plain) < len(once):
        notes.mend(f"corners within {accuracy:g} m of a straight side left out", name)
    square = squared(plain, accuracy)
    if square is None:
        return plain
    moved = float(np.hypot(*(square - plain).T).max())
    if moved > _SQUARE_ENOUGH:
        notes.mend(f"corners moved by up to {moved:.3f} m to make them square", name)
    return square


def _form(properties: Mapping[str, Any], notes: Mendings) -> str:
    given = properties.get("form")
    if given is None:
        shape = properties.get("roof:shape")
        given = _SHAPES.get(shape, shape) if isinstance(shape, str) else shape
    if given is None:
        notes.find("no form given: a slope over every side (hip)")
        return "hip"
    if given not in FORMS:
        raise RoofError("form", given, f"give one of {', '.join(FORMS)}")
    return str(given)


def _pitches(properties: Mapping[str, Any], form: str) -> list[float]:
    """Pitches in degrees: one, or one for each side."""
    for key in ("pitches", "pitches_deg"):
        many = properties.get(key)
        if many is not None:
            if not isinstance(many, list) or not many:
                raise RoofError(key, many, "give a list with the pitch of each side")
            return [_angle(one, f"{key}[{number}]", bare=key == "pitches_deg") for number, one in enumerate(many)]
    for key in ("pitch", "pitch_deg", "roof:angle"):
        one = properties.get(key)
        if one is not None:
            return [_angle(one, key, bare=key != "pitch")]
    if form == "flat":
        return [0.0]
    raise RoofError("pitch", None, "give the property 'pitch', such as \"8:12\" or \"35 deg\", or 'pitch_deg'")


def _angle(value: object, key: str, *, bare: bool) -> float:
    if not bare:
        if not isinstance(value, str):
            raise RoofError(key, value, 'give a text with its unit, such as "35 deg" or "8:12", or \'pitch_deg\'')
        return parse_quantity(value, Dimension.ANGLE, key)
    return _number(value, key, -90.0, 90.0)


def _number(value: object, key: str, least: float, most: float) -> float:
    if isinstance(value, str):  # tags of maps are texts
        try:
            return _number(float(value), key, least, most)
        except ValueError as error:
            raise RoofError(key, value[:40], "give a number") from error
    if not isinstance(value, (int, float)) or isinstance(value, bool) or not least <= value <= most:
        raise RoofError(key, value, f"give a number from {least:g} to {most:g}")
    return float(value)


def _length(properties: Mapping[str, Any], key: str, most: float) -> float | None:
    """Length of 0 or more, given as text with its unit, or as metres in the property that ends in ``_m``."""
    if properties.get(f"{key}_m") is not None:
        return _number(properties[f"{key}_m"], f"{key}_m", 0.0, most)
    value = properties.get(key)
    if value is None:
        return None
    if not isinstance(value, str):
        raise RoofError(key, value, f'give a text with its unit, such as "3 m" or "10 ft", or \'{key}_m\'')
    length = parse_quantity(value, Dimension.LENGTH, key)
    if not 0.0 <= length <= most:
        raise RoofError(key, value, f"give a length from 0 m to {most:g} m")
    return length


def _sides(properties: Mapping[str, Any], key: str) -> list[int]:
    """Numbers of sides, counted from 1 in the file and from 0 here."""
    given = properties.get(key)
    if given is None:
        return []
    if not isinstance(given, list) or not all(type(side) is int and 1 <= side <= _MOST_CORNERS for side in given):
        raise RoofError(key, given, "give a list of numbers of sides, counted from 1")
    return [side - 1 for side in given]


def _high_side(properties: Mapping[str, Any], form: str) -> int | None:
    if properties.get("high_side") is None and form != "shed":
        return None
    given = properties.get("high_side")
    if type(given) is not int or not 1 <= given <= _MOST_CORNERS:
        raise RoofError("high_side", given, "give the number of the side that the roof rises to, counted from 1")
    return given - 1
