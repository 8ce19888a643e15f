"""A CityJSON file as objects and real coordinates: one document, or a line for each feature (CityJSONSeq).

Source: CityJSON specifications 1.0, 1.1 and 2.0 (from memory), and real files of all three.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError
from ropewright.readers.bounded import bounded_text
from ropewright.readers.json_text import documents
from ropewright.readers.reference_system import check_reference_system

__all__ = ["MAX_BYTES", "CityFeature", "CityFile", "read_city_file"]

Points = NDArray[np.float64]

#: A larger file is no file of roofs to plan: a whole city district takes 3 MB. [byte]
MAX_BYTES = 200_000_000
#: Farther than this from its origin no map puts a house. [m]
_FARTHEST = 1e8

_VERSIONS = ("1.0", "1.1", "2.0")


@dataclass(frozen=True, slots=True)
class CityFeature:
    """City objects by id, with the corners [m], shape (n, 3), that their geometries point at."""

    objects: Mapping[str, Mapping[str, Any]]
    vertices: Points


@dataclass(frozen=True, slots=True)
class CityFile:
    """What a CityJSON file holds; `notes` are doubts that touch all of it."""

    version: str
    features: tuple[CityFeature, ...]
    notes: tuple[str, ...]


def read_city_file(path: Path) -> CityFile:
    """Objects and coordinates of a CityJSON or CityJSONSeq file.

    Parameters
    ----------
    path : Path
        UTF-8, at most 200 MB.

    Returns
    -------
    CityFile

    Raises
    ------
    FileError
        If it can't be read, is no CityJSON 1.0, 1.1 or 2.0, holds a number that is none, or its reference system
        does not count in metres.
    """
    try:
        return _city_file(path)
    except FileError as error:
        raise error.located(str(path)) from error.__cause__


def _city_file(path: Path) -> CityFile:
    values = documents(bounded_text(path, MAX_BYTES))
    head = next(values, None)
    if not isinstance(head, dict) or head.get("type") != "CityJSON":
        found = head.get("type") if isinstance(head, dict) else None
        raise FileError("type", found, "give a CityJSON file, whose first object has the type 'CityJSON'")
    version = str(head.get("version"))
    if version not in _VERSIONS:
        raise FileError("version", head.get("version"), f"give CityJSON {', '.join(_VERSIONS)}")
    metadata = head.get("metadata")
    notes = check_reference_system(metadata.get("referenceSystem") if isinstance(metadata, dict) else None)
    scale, shift = _transform(head.get("transform"), version)
    features = [_feature(head, "", scale, shift)]
    for number, document in enumerate(values, start=1):
        place = f"feature {number}: "
        if not isinstance(document, dict) or document.get("type") != "CityJSONFeature":
            raise FileError(f"{place}type", _type_of(document), "give 'CityJSONFeature' after the first object")
        features.append(_feature(document, place, scale, shift))
    return CityFile(version, tuple(features), notes)


def _type_of(document: object) -> object:
    return document.get("type") if isinstance(document, dict) else type(document).__name__


def _transform(value: object, version: str) -> tuple[Points, Points]:
    """Scale and shift from the integers of the file to metres."""
    if value is None and version == "1.0":  # optional there: vertices may be real coordinates
        return np.ones(3), np.zeros(3)
    if not isinstance(value, dict):
        raise FileError("transform", value, "give 'transform' with 'scale' and 'translate'")
    scale, shift = (_three_numbers(value, key) for key in ("scale", "translate"))
    if not (scale > 0).all():
        raise FileError("transform.scale", value["scale"], "give three numbers above 0")
    return scale, shift


def _three_numbers(transform: Mapping[str, object], key: str) -> Points:
    numbers = transform.get(key)
    if not (isinstance(numbers, list) and len(numbers) == 3 and all(map(_is_number, numbers))):
        raise FileError(f"transform.{key}", numbers, "give a list of three numbers")
    return np.array(numbers, float)


def _is_number(value: object) -> bool:
    """Tell whether a JSON value is a number of a size that occurs on maps."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e15  # nan is not less


def _feature(document: Mapping[str, Any], place: str, scale: Points, shift: Points) -> CityFeature:
    objects = document.get("CityObjects")
    if not isinstance(objects, dict) or not all(isinstance(one, dict) for one in objects.values()):
        raise FileError(f"{place}CityObjects", type(objects).__name__, "give an object of objects by their ids")
    return CityFeature(objects, _vertices(document.get("vertices"), place, scale, shift))


def _vertices(listed: object, place: str, scale: Points, shift: Points) -> Points:
    if not isinstance(listed, list):
        raise FileError(f"{place}vertices", type(listed).__name__, "give a list of corners")
    for number, corner in enumerate(listed):
        if not (isinstance(corner, list) and len(corner) == 3 and all(map(_is_number, corner))):
            raise FileError(f"{place}vertices[{number}]", corner, "give three numbers")
    points = np.array(listed, float).reshape(-1, 3) * scale + shift
    if not (np.abs(points) <= _FARTHEST).all():
        number = int(np.argmax((np.abs(points) > _FARTHEST).any(axis=1)))
        raise FileError(f"{place}vertices[{number}]", points[number].tolist(), "give coordinates in metres")
    return points
