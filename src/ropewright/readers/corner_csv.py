"""Roofs measured corner by corner, from a table in CSV: facet, corner number, x, y, z with their unit.

The columns are described in ``docs/roof-files.md``. Source of the form: RFC 4180 (from memory).
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError, QuantityError, RoofError
from ropewright.quantity import Dimension, parse_quantity
from ropewright.readers.bounded import bounded_text
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.drawn import DrawnFace, drawn_building
from ropewright.roof.mending.notes import Mendings, listed

__all__ = ["MAX_BYTES", "read_corner_csv"]

Points = NDArray[np.float64]

#: More than what anyone measures by hand. [byte]
MAX_BYTES = 10_000_000
_MOST_ROWS = 50_000
#: Rows of this facet are points of the ground.
_GROUND = "ground"
_NEEDED = ("facet", "corner", "x", "y", "z")
#: Headings, in any case and with any of blank, dash and underscore, by the column they mean.
_HEADINGS = {
    **{name: name for name in (*_NEEDED, "building", "ring", "unit")},
    "facet id": "facet",
    "corner number": "corner",
    "building id": "building",
    "units": "unit",
}
_HEADING = re.compile(r"([^\[\]()]*?)\s*(?:[\[(]([^\[\]()]*)[\])])?")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,2})?")
_WHOLE = re.compile(r"[0-9]{1,6}")


@dataclass
class _Measured:
    """What stands in the table of one building: corners by facet, ring and number; points of the ground; faults."""

    rings: dict[str, dict[int, dict[int, tuple[float, ...]]]] = field(default_factory=dict)
    ground: list[float] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


def read_corner_csv(path: Path, *, length_unit: str | None = None) -> tuple[BuildingRoof, ...]:
    """Roofs out of a table of measured corners.

    Parameters
    ----------
    path : Path
        UTF-8, at most 10 MB; fields parted by commas, semicolons or tabs.
    length_unit : str, optional
        Unit of bare numbers where neither heading nor row gives one.

    Returns
    -------
    tuple of BuildingRoof
        In the order of the table; without a column ``building`` it is one, named after the file.

    Raises
    ------
    FileError
        If it can't be read, lacks a column, or a number's unit is nowhere given.
    """
    rows = _rows(bounded_text(path, MAX_BYTES))
    _, heading = next(rows, (0, []))
    columns, units = _columns(heading)
    unit = None if length_unit is None else _metres(length_unit, "length unit")
    buildings: dict[str, _Measured] = {}
    for line, cells in rows:
        row = {name: cells[at].strip() if at < len(cells) else "" for name, at in columns.items()}
        name = row.get("building", "") or path.stem
        _take(buildings.setdefault(name, _Measured()), row, line, units, unit)
    if not buildings:
        raise FileError("line 2", None, "give a row for each corner")
    return tuple(_building(name, measured) for name, measured in buildings.items())


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with the number of their line; empty ones, and notes that begin with #, left out."""
    first = next((line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")), "")
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True, strict=True)
    count = 0
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise FileError(f"line {reader.line_num}", str(error), "give a table in CSV") from error
        if cells is None:
            return
        if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
            continue
        count += 1
        if count > _MOST_ROWS:
            raise FileError(f"line {reader.line_num}", f"more than {_MOST_ROWS} rows", "split the table")
        yield reader.line_num, cells


def _columns(heading: Sequence[str]) -> tuple[dict[str, int], dict[str, float]]:
    """Place of each column, and the unit of those whose heading gives one. [m]"""
    columns: dict[str, int] = {}
    units: dict[str, float] = {}
    for at, cell in enumerate(heading):
        match = _HEADING.fullmatch(cell.strip())
        words = "" if match is None else re.sub(r"[\s_-]+", " ", match[1]).strip().lower()
        unit = None if match is None else match[2]
        if words not in _HEADINGS and words[:2] in ("x ", "y ", "z "):  # x_m, "x ft"
            words, unit = words[0], words[2:]
        name = _HEADINGS.get(words)
        if name is None:
            continue
        if name in columns:
            raise FileError("heading", cell, f"give one column '{name}'")
        columns[name] = at
        if unit is not None and name in ("x", "y", "z"):
            units[name] = _metres(unit.strip(), f"heading {cell[:40]!r}")
    missing = [name for name in _NEEDED if name not in columns]
    if missing:
        shown = ",".join(heading)[:80] or None
        wanted = f"give a first row with the columns facet, corner, x [m], y [m], z [m]; missing: {', '.join(missing)}"
        raise FileError("heading", shown, wanted)
    return columns, units


def _metres(unit: str, place: str) -> float:
    try:
        return parse_quantity(f"1 {unit}", Dimension.LENGTH, place)
    except QuantityError as error:
        raise FileError(place, unit, "give a unit of length, such as m, mm, ft or in") from error


def _take(
    measured: _Measured, row: Mapping[str, str], line: int, units: Mapping[str, float], default: float | None
) -> None:
    """Add a row to what is known of its building; what is wrong with it alone is a fault of the building."""
    facet = row["facet"]
    if not facet:
        measured.faults.append(f"line {line}, facet: missing; name the facet of each corner")
        return
    own = _metres(row["unit"], f"line {line}, unit") if row.get("unit") else None
    try:
        corner = tuple(
            _length(row[axis], units.get(axis, default) if own is None else own, f"line {line}, {axis}")
            for axis in ("x", "y", "z")
        )
        if facet.lower() == _GROUND:
            measured.ground.append(corner[2])
            return
        ring = _whole(row.get("ring") or "0", f"line {line}, ring")
        number = _whole(row["corner"], f"line {line}, corner")
    except (QuantityError, RoofError) as error:
        measured.faults.append(f"facet {facet}: {error}")
        return
    corners = measured.rings.setdefault(facet, {}).setdefault(ring, {})
    if number in corners:
        measured.faults.append(f"facet {facet}: line {line}, corner: got {number} a second time; number each once")
    corners[number] = corner


def _length(cell: str, unit: float | None, place: str) -> float:
    if not _NUMBER.fullmatch(cell):
        return parse_quantity(cell, Dimension.LENGTH, place)
    if unit is None:
        wanted = "give the unit in the heading, such as x [m], in a column 'unit', or with --length-unit"
        raise FileError(place, cell, wanted)
    return float(cell) * unit


def _whole(cell: str, place: str) -> int:
    if not _WHOLE.fullmatch(cell):
        raise RoofError(place, cell or None, "give a whole number")
    return int(cell)


def _building(name: str, measured: _Measured) -> BuildingRoof:
    faces = []
    for facet, rings in measured.rings.items():
        measured.faults += _gaps(facet, rings)
        ordered = [np.array([corners[number] for number in sorted(corners)]) for _, corners in sorted(rings.items())]
        faces.append(DrawnFace(facet, tuple(ordered)))
    if not faces and not measured.faults:
        measured.faults.append(f"{name}: no facet; give the corners of its roof")
    if measured.faults:
        return BuildingRoof(name, "refused", (listed(measured.faults),))
    notes = Mendings()
    if not measured.ground:
        notes.find("no point of the ground in the table: give the height of the ground")
        return drawn_building(name, faces, None, notes)
    if len(set(measured.ground)) > 1:
        notes.find("ground taken at the highest of its points, the nearest below the roof: lower places fall farther")
    return drawn_building(name, faces, max(measured.ground), notes)


def _gaps(facet: str, rings: Mapping[int, Mapping[int, object]]) -> list[str]:
    """Tell what is missing from a facet: a corner that was lost on the way cuts a piece of roof off."""
    faults = []
    if 0 not in rings:
        faults.append(f"facet {facet}: rings {sorted(rings)[:4]}; give its outline as ring 0")
    for ring, corners in rings.items():
        first = min(corners)
        lost = next((number for number in range(min(first, 1), max(corners)) if number not in corners), None)
        if lost is not None:
            place = f"facet {facet}" if ring == 0 else f"facet {facet}, ring {ring}"
            faults.append(f"{place}: corner {lost} is missing; number its corners 1, 2, 3 as one walks round")
        elif len(corners) < 3:
            faults.append(f"facet {facet}, ring {ring}: {len(corners)} corners; give three or more")
    return faults
