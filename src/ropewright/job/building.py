"""The roof of a job file: from an outline, from measured facets or from one building of a CityJSON file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.job.reading import Table
from ropewright.job.roof_file import roof_from_cityjson
from ropewright.quantity import Dimension
from ropewright.roof.surface import Roof

__all__ = ["FORMS", "roof_of"]

Points = NDArray[np.float64]

FORMS = ("flat", "shed", "gable", "hip")

#: Fields of each way to give a roof; the first of each says which way is meant.
_WAYS: Mapping[str, tuple[str, ...]] = {
    "form": ("form", "outline", "size", "eave_height", "pitch", "pitches", "gable_sides", "high_side", "overhang"),
    "facets": ("facets",),
    "cityjson": ("cityjson", "building", "ground"),
}


def roof_of(table: Table, folder: Path) -> Roof | None:
    """Read the roof without its openings; None if it has faults, which are then gathered in the table.

    Parameters
    ----------
    table : Table
        The table ``[roof]``.
    folder : Path
        Where a file named in it is looked for.
    """
    ways = [way for way in _WAYS if table.raw.get(way) is not None]
    if len(ways) != 1:
        for key in (key for fields in _WAYS.values() for key in fields):
            table.get(key)
        given = " and ".join(f"'{way}'" for way in ways) or None
        expected = "give the roof in one way: 'form' with an outline, 'facets', or 'cityjson' with 'building'"
        table.faults.add(table.path, given, expected)
        return None
    before = len(table.faults.found)
    try:
        roof = {"form": _from_outline, "facets": _from_facets, "cityjson": roof_from_cityjson}[ways[0]](table, folder)
    except RoofError as error:
        table.faults.found.append(RoofError(_inside(table.path, error.field), error.value, error.expected))
        return None
    if roof is None or len(table.faults.found) > before:
        return None
    for note in roof.notes:
        table.faults.note(f"Roof: {note}")
    return roof


def _inside(path: str, field: str) -> str:
    """Return the field of an error from the layers below as a field of the file."""
    return field if field == path or field.startswith((f"{path}.", f"{path}[")) else f"{path}.{field}"


# from an outline ---------------------------------------------------------------------------------------------------


def _from_outline(table: Table, _folder: Path) -> Roof | None:
    from ropewright.roof.outline import roof_from_outline

    form = table.choice("form", FORMS)
    outline = _outline(table)
    eave = table.quantity("eave_height", Dimension.LENGTH, (0.0, 300.0), required=True)
    overhang = table.quantity("overhang", Dimension.LENGTH, (0.0, 3.0)) or 0.0
    sides = 0 if outline is None else len(outline)
    pitches = _pitches(table, form, sides)
    gables = _sides(table, "gable_sides", sides)
    high_side = _high_side(table, form, sides)
    if outline is None or eave is None or pitches is None or gables is None:
        return None
    try:
        return roof_from_outline(
            outline,
            form=form,
            pitches=pitches,
            eave_height=eave,
            overhang=overhang,
            gable_sides=gables,
            high_side=high_side,
        )
    except RoofError as error:
        raise _as_written(table, error) from error


def _as_written(table: Table, error: RoofError) -> RoofError:
    """Return an error with field and value as the file has them: one pitch for all sides, sides counted from 1."""
    field = error.field
    if field.startswith("pitches") and table.raw.get("pitches") is None:
        field = "pitch"
    value = error.value if isinstance(error.value, str) else table.raw.get(field, error.value)
    return RoofError(field, value, error.expected)


def _outline(table: Table) -> Points | None:
    """Walls in plan: given corner by corner, or as a rectangle from the origin."""
    if (table.get("outline") is None) == (table.get("size") is None):
        found = None if table.get("size") is None else "both 'outline' and 'size'"
        table.fault("outline", found, "give the corners as 'outline', or 'size' for a rectangle from the origin")
        return None
    if table.get("outline") is not None:
        return table.points("outline", size=2, least=3)
    size = table.point("size", sizes=(2,))
    if size is None:
        return None
    if not (size > 0).all():
        table.fault("size", table.raw["size"], "give two lengths above zero")
        return None
    return np.array([[0.0, 0.0], [size[0], 0.0], size, [0.0, size[1]]])


def _pitches(table: Table, form: str, sides: int) -> list[float] | None:
    """Pitch of each side in degrees; a flat roof has none unless it is given."""
    between = (0.0, 85.0)
    many = table.get("pitches")
    if many is None or table.get("pitch") is not None:
        if many is not None:
            table.fault("pitches", "both 'pitch' and 'pitches'", "give 'pitch' for all sides or 'pitches' for each")
        pitch = table.quantity("pitch", Dimension.ANGLE, between, required=form != "flat")
        pitch = 0.0 if pitch is None and form == "flat" else pitch
        return None if pitch is None else [pitch] * sides
    if not isinstance(many, list) or (sides and len(many) != sides):
        table.fault("pitches", many, f"give one pitch for each of the {sides} sides, such as ['8:12', '6:12', ...]")
        return None
    read = [table.element("pitches", index, Dimension.ANGLE, between) for index in range(len(many))]
    return [pitch for pitch in read if pitch is not None] if None not in read else None


def _sides(table: Table, key: str, sides: int) -> list[int] | None:
    """Read numbers of sides, counted from 1 in the file and from 0 here."""
    given = table.get(key)
    if given is None:
        return []
    if isinstance(given, list) and all(type(side) is int and 1 <= side <= max(sides, 1) for side in given):
        return sorted({side - 1 for side in given})
    if sides:
        table.fault(key, given, f"give numbers of sides from 1 to {sides}, such as [2, 4]; side 1 starts at corner 1")
    return None


def _high_side(table: Table, form: str, sides: int) -> int | None:
    """Read the side that a shed roof rises to, from 0."""
    given = table.get("high_side")
    if given is None and form != "shed":
        return None
    if type(given) is int and 1 <= given <= max(sides, 1):
        return given - 1
    table.fault("high_side", given, f"give the number of the side that the roof rises to, from 1 to {sides or 'n'}")
    return None


# from measured facets ----------------------------------------------------------------------------------------------


def _from_facets(table: Table, _folder: Path) -> Roof | None:
    from ropewright.roof.measured import roof_from_facets

    facets = [_facet(one, index) for index, one in enumerate(table.tables("facets"))]
    if not facets:
        if isinstance(table.raw["facets"], list) and not table.raw["facets"]:
            table.fault("facets", "an empty list", "give at least one facet with its 'ring'")
        return None
    whole = [facet for facet in facets if facet is not None]
    if len(whole) < len(facets):
        return None
    try:
        return roof_from_facets(whole)
    except RoofError as error:
        places = {f"facet {name}": f"facets[{index}].ring" for index, (name, _, _) in enumerate(whole)}
        raise RoofError(places.get(error.field, error.field), error.value, error.expected) from error


def _facet(table: Table, index: int) -> tuple[str, Points, tuple[Points, ...]] | None:
    name = table.text("id") or f"facet {index + 1}"
    ring = table.points("ring", size=3, least=3, required=True)
    holes = table.get("holes")
    if holes is not None and not isinstance(holes, list):
        table.fault("holes", holes, "give a list of rings")
        holes = None
    read = [
        table.points_of(hole, f"{table.where('holes')}[{number}]", size=3, least=3)
        for number, hole in enumerate(holes or [])
    ]
    table.close()
    if ring is None or any(hole is None for hole in read):
        return None
    return name, ring, tuple(hole for hole in read if hole is not None)
