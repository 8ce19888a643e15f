"""The roof of a job file: from an outline, from measured facets or from one building of a file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.job.outlined import FORMS
from ropewright.job.parts import PART_FIELDS, roof_of_parts
from ropewright.job.reading import Table
from ropewright.job.roof_file import roof_from_cityjson, roof_from_file
from ropewright.roof.surface import Roof

__all__ = ["FORMS", "roof_of"]

Points = NDArray[np.float64]

#: Fields of each way to give a roof; the first of each says which way is meant.
_WAYS: Mapping[str, tuple[str, ...]] = {
    "form": PART_FIELDS,
    "facets": ("facets",),
    "file": ("file", "building", "ground", "length_unit"),
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
        expected = "give the roof in one way: 'form' with an outline, 'facets', or 'file' with 'building'"
        table.faults.add(table.path, given, expected)
        return None
    before = len(table.faults.found)
    read = {"form": _from_outline, "facets": _from_facets, "file": roof_from_file, "cityjson": roof_from_cityjson}
    try:
        roof = read[ways[0]](table, folder)
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
    return roof_of_parts(table)


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
