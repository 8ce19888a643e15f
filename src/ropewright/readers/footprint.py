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
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.footprint_parts import DORMER, WING, Placed, with_parts
from ropewright.readers.footprint_rings import squared, without_straight, without_twice
from ropewright.readers.footprint_sides import BY_SIDE, roof_on
from ropewright.readers.footprint_values import MOST_SIDES, length_of
from ropewright.roof.mending.notes import Mendings

__all__ = ["footprint_building"]

Points = NDArray[np.float64]

#: Corners nearer than this stand twice. [m]
_TWICE = 0.01
#: Corners moved by less than this to make them square are not worth a word. [m]
_SQUARE_ENOUGH = 2e-3
#: No building reaches farther. [m]
_FARTHEST = 2_000.0
_ALONE = Placed()
#: Properties that are lists of objects.
_LISTS = ("side", "courtyard", WING, DORMER)


def footprint_building(
    name: str,
    rings: Sequence[Points],
    properties: Mapping[str, Any],
    *,
    accuracy: float,
    notes: Mendings,
    placed: Placed = _ALONE,
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
    placed : Placed
        Its wings and dormers.
    """
    try:
        _refuse_misnamed(properties)
        counted = _counting(properties) or (DORMER if placed.counts_sides else None)
        mended = _mended_rings(name, rings, counted, accuracy, notes)
        wings = [
            (path, one, _mended_rings(name, [ring], _counting(one), accuracy, notes, path)[0])
            for path, one, ring in placed.wings
        ]
        _check_near(mended[0], wings)
        eave = length_of(properties, "eave_height", 300.0)
        height = 0.0 if eave is None else eave
        main = roof_on(mended, properties, height, notes)
        roof = with_parts(main, mended[0], dataclasses.replace(placed, wings=wings), height, notes)
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


def _check_near(outline: Points, wings: Sequence[tuple[str, Mapping[str, Any], Points]]) -> None:
    for path, _, ring in wings:
        away = float(np.abs(ring - outline[0]).max())
        if not away <= _FARTHEST:  # nan too: over the horizon
            raise RoofError(f"{path}outline", f"a wing {away:.0f} m away", "give wings that stand at their building")


def _refuse_misnamed(properties: Mapping[str, Any]) -> None:
    """Refuse a list that is told under the name of more than one: what it says of the roof would be lost."""
    for key in properties:
        one = key.lower().removesuffix("s")
        if one != key and one in _LISTS:
            raise RoofError(key[:40], "a property that is not known", f"name it '{one}'")


def _counting(properties: Mapping[str, Any]) -> str | None:
    """Return a property that counts sides, so that no corner may be left out."""
    return next((key for key in BY_SIDE if properties.get(key) is not None), None)


def _mended_rings(
    name: str, rings: Sequence[Points], counted: str | None, accuracy: float, notes: Mendings, path: str = ""
) -> list[Points]:
    corners = np.vstack(rings)
    if len(corners) > MOST_SIDES:
        raise RoofError(f"{path}outline", f"{len(corners)} corners", f"give at most {MOST_SIDES}")
    across = float(np.ptp(corners, axis=0).max())
    if across > _FARTHEST:
        raise RoofError(f"{path}outline", f"{across:.0f} m across", "give the outline of one building")
    return [_mended(name, ring, counted, accuracy, notes, path) for ring in rings]


def _mended(name: str, ring: Points, counted: str | None, accuracy: float, notes: Mendings, path: str) -> Points:
    once = without_twice(ring, _TWICE)
    if len(once) < len(ring):
        if counted is not None:
            raise RoofError(
                f"{path}outline", "corners that stand twice", f"leave them out, so that '{counted}' can count"
            )
        notes.mend("corners that stood twice removed", name)
    if len(once) < 3:
        raise RoofError(f"{path}outline", f"{len(once)} corners", "give three or more")
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
