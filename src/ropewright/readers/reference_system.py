"""The reference system of a city model: whether its coordinates are metres one can measure in."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources

from ropewright.errors import FileError

__all__ = ["KnownSystems", "check_reference_system", "known_systems"]

#: The three ways in which the code is written: an OGC address, a URN, or as it is spoken.
_CODE = re.compile(
    r"(?:https?://www\.opengis\.net/def/crs/|urn:ogc:def:crs:|)EPSG(?:/[\w.]*/|:[\w.]*:|:)(\d{1,8})/?", re.IGNORECASE
)
_DEGREES_BY_NAME = re.compile(r"\bCRS:?84h?\b", re.IGNORECASE)

_WHY_NOT = {
    "degree": "coordinates in degrees can't be measured in",
    "geocentric": "coordinates from the middle of the earth have no level",
    "stretched": "a web map's metres are stretched, by half at 48 degrees of latitude",
    "foot": "this system counts in feet",
}
_WANTED = "give the file in a projected system in metres, such as the national grid or UTM"


@dataclass(frozen=True, slots=True)
class KnownSystems:
    """Codes from `first` to `last` that are of one kind: metre, foot, degree, geocentric or stretched."""

    first: int
    last: int
    kind: str
    name: str
    status: str


@cache
def known_systems() -> tuple[KnownSystems, ...]:
    """Table of reference systems whose unit is known here, by EPSG code; all from memory, as the table says."""
    text = (resources.files("ropewright.readers") / "data" / "reference_systems.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return tuple(
        KnownSystems(int(row["first"]), int(row["last"]), row["kind"], row["name"], row["status"]) for row in rows
    )


def check_reference_system(value: object) -> tuple[str, ...]:
    """Doubts about the unit of a file's coordinates, as notes.

    Parameters
    ----------
    value : object
        ``metadata.referenceSystem`` as it stood in the file, None if it was missing.

    Returns
    -------
    tuple of str
        Empty for a system known to count in metres.

    Raises
    ------
    FileError
        If the system counts in something other than level metres.

    Examples
    --------
    >>> check_reference_system("https://www.opengis.net/def/crs/EPSG/0/7415")
    ()
    >>> check_reference_system("urn:ogc:def:crs:EPSG::99999")
    ('the unit of EPSG:99999 is not known here: coordinates taken as metres',)
    """
    if value is None:
        return ("no reference system in the file: coordinates taken as metres and +y as north",)
    match = _CODE.fullmatch(value.strip()) if isinstance(value, str) else None
    if isinstance(value, str) and _DEGREES_BY_NAME.search(value):
        raise FileError("metadata.referenceSystem", value, f"{_WHY_NOT['degree']}; {_WANTED}")
    if match is None:
        return (f"reference system {str(value)[:80]!r} not understood: coordinates taken as metres",)
    code = int(match[1])
    known = next((system for system in known_systems() if system.first <= code <= system.last), None)
    if known is None:
        return (f"the unit of EPSG:{code} is not known here: coordinates taken as metres",)
    if known.kind != "metre":
        raise FileError("metadata.referenceSystem", value, f"{_WHY_NOT[known.kind]} ({known.name}); {_WANTED}")
    return ()
