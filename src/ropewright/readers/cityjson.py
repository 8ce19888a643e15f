"""Buildings of a CityJSON file as roofs."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from ropewright.errors import FileError
from ropewright.readers.building import building_roof
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.cityjson_file import CityFeature, read_city_file

__all__ = ["read_cityjson"]

_KINDS = ("Building", "BuildingPart")

Things = Mapping[str, Mapping[str, Any]]


def read_cityjson(path: Path, building: str | None = None) -> tuple[BuildingRoof, ...]:
    """Roofs of the buildings in a CityJSON 1.0, 1.1 or 2.0 file, or in a CityJSONSeq.

    Parameters
    ----------
    path : Path
    building : str, optional
        Id of the one building wanted; None: all.

    Returns
    -------
    tuple of BuildingRoof
        In the order of the file; a building that can't be used is among them, refused with its reason. Coordinates
        are the file's, in metres.

    Raises
    ------
    FileError
        If the file as a whole can't be read, holds no building, or not the one wanted.
    """
    city = read_city_file(path)
    wanted = [(name, things, feature) for feature in city.features for name, things in _buildings(feature).items()]
    names = [name for name, _, _ in wanted]
    if not names:
        raise FileError("CityObjects", "no Building", "give a file with buildings", source=str(path))
    if building is not None:
        if building not in names:
            near = ", ".join(_nearest(building, names))
            raise FileError("building", building, f"give an id of the file, such as {near}", source=str(path))
        wanted = [one for one in wanted if one[0] == building]
    seen: set[str] = set()
    roofs = []
    for name, things, feature in wanted:
        if name in seen:
            roofs.append(BuildingRoof(name, "refused", (f"{name}: an id that stands twice in the file",)))
        else:
            roofs.append(building_roof(name, things, feature.vertices, city.notes))
        seen.add(name)
    return tuple(roofs)


def _nearest(given: str, names: list[str]) -> list[str]:
    """Names that begin like the given one, or look like it, or any."""
    begin = [name for name in names if given and name.startswith(given)]
    return begin[:3] or get_close_matches(given, names, n=3) or names[:3]


def _buildings(feature: CityFeature) -> dict[str, dict[str, Mapping[str, Any]]]:
    """Objects of each building by its id: itself first, then its parts."""
    objects = {name: thing for name, thing in feature.objects.items() if thing.get("type") in _KINDS}
    parents = _parents(objects)
    found: dict[str, dict[str, Mapping[str, Any]]] = {}
    for name in objects:
        found.setdefault(_root(name, parents), {})
    for name, thing in objects.items():
        found[_root(name, parents)][name] = thing
    return {root: dict(sorted(things.items(), key=lambda one: one[0] != root)) for root, things in found.items()}


def _parents(objects: Things) -> dict[str, str]:
    """Parent of each part, as the part says or as the parent says."""
    parents: dict[str, str] = {}
    for name, thing in objects.items():
        for parent in _ids(thing, "parents"):
            if parent in objects:
                parents.setdefault(name, parent)
        for child in _ids(thing, "children"):
            if child in objects:
                parents.setdefault(child, name)
    return parents


def _ids(thing: Mapping[str, Any], key: str) -> list[str]:
    listed = thing.get(key)
    return [one for one in listed if isinstance(one, str)] if isinstance(listed, list) else []


def _root(name: str, parents: Mapping[str, str]) -> str:
    """Id of the building that a part belongs to; where parents go round in a ring, the first of it by name."""
    way = [name]
    while (parent := parents.get(way[-1])) is not None:
        if parent in way:
            return min(way[way.index(parent) :])
        way.append(parent)
    return way[-1]
