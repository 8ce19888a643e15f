"""Any file of roofs: told by its name's ending and by what stands in it, read, its buildings handed on."""

from __future__ import annotations

import re
from difflib import get_close_matches
from pathlib import Path

from ropewright.errors import FileError
from ropewright.readers.bounded import bounded_text, first_bytes
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.cityjson_file import MAX_BYTES

__all__ = ["ENDINGS", "read_roofs"]

#: Endings of the names of files that can be read, with the format each stands for.
ENDINGS = {
    ".json": "CityJSON or GeoJSON",
    ".jsonl": "CityJSONSeq",
    ".geojson": "GeoJSON",
    ".ifc": "IFC",
    ".dxf": "DXF",
    ".csv": "CSV",
}
_CITY = re.compile(r'"type"\s*:\s*"CityJSON"')


def read_roofs(path: Path, building: str | None = None, *, length_unit: str | None = None) -> tuple[BuildingRoof, ...]:
    """Roofs of the buildings in a file: CityJSON, IFC, DXF, GeoJSON or CSV, by the ending of its name.

    Parameters
    ----------
    path : Path
    building : str, optional
        Id of the one building wanted; None: all.
    length_unit : str, optional
        Unit of lengths, such as ``m`` or ``ft``, for a DXF, IFC or CSV file that does not say so.

    Returns
    -------
    tuple of BuildingRoof
        In the order of the file; a building that can't be used is among them, refused with its reason.

    Raises
    ------
    FileError
        If the file as a whole can't be read, holds no building, or not the one wanted.
    """
    try:
        roofs = _read(path, building, length_unit)
        return roofs if building is None else (_wanted(roofs, building),)
    except FileError as error:
        raise (error if error.source else error.located(str(path))) from error.__cause__


def _read(path: Path, building: str | None, length_unit: str | None) -> tuple[BuildingRoof, ...]:
    ending = _ending(path)
    if ending == ".ifc":
        from ropewright.readers.ifc import read_ifc

        return read_ifc(path, length_unit=length_unit)
    if ending == ".dxf":
        from ropewright.readers.dxf import read_dxf

        return read_dxf(path, length_unit=length_unit)
    if ending == ".csv":
        from ropewright.readers.corner_csv import read_corner_csv

        return read_corner_csv(path, length_unit=length_unit)
    if length_unit is not None:
        raise FileError("length unit", length_unit, f"leave it out: {ENDINGS[ending]} says itself what it counts in")
    return _read_json(path, building)


def _ending(path: Path) -> str:
    """Ending that tells the format; where the name has none of them, that of what the content looks like."""
    ending = path.suffix.lower()
    if ending in ENDINGS:
        return ending
    start = first_bytes(path, 200).removeprefix(b"\xef\xbb\xbf").lstrip()
    for sign, meant in ((b"{", ".json"), (b"ISO-10303-21;", ".ifc")):
        if start.startswith(sign):
            return meant
    if re.match(rb"(0|999)\s*\n", start):  # a group code alone in its line
        return ".dxf"
    listed = ", ".join(f"{one} ({name})" for one, name in ENDINGS.items())
    raise FileError("file", path.name[:80], f"give a file whose name ends in {listed}")


def _read_json(path: Path, building: str | None) -> tuple[BuildingRoof, ...]:
    """CityJSON or GeoJSON, whichever the first object says it is: both are named .json."""
    text = bounded_text(path, MAX_BYTES)
    if _CITY.search(text) is None and '"CityObjects"' not in text:
        from ropewright.readers.geojson import read_geojson

        return read_geojson(path)
    from ropewright.readers.cityjson import read_cityjson

    return read_cityjson(path, building)


def _wanted(roofs: tuple[BuildingRoof, ...], building: str) -> BuildingRoof:
    found = next((one for one in roofs if one.id == building), None)
    if found is None:
        names = [one.id for one in roofs]
        near = get_close_matches(building, names, n=3) or names[:3]
        raise FileError("building", building[:80], f"give an id of the file, such as {', '.join(near)}")
    return found
