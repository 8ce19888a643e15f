"""Surfaces of a city object: the geometry worth reading, taken apart into rings with their meaning."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ropewright.errors import RoofError

__all__ = ["Geometry", "Surface", "best_geometry"]

#: How deep the surfaces lie in `boundaries`.
_DEPTH = {"MultiSurface": 0, "CompositeSurface": 0, "Solid": 1, "MultiSolid": 2, "CompositeSolid": 2}
_LOD = re.compile(r"[0-4](\.[0-9])?")


@dataclass(frozen=True, slots=True)
class Surface:
    """One surface: rings of indices of corners, the first its outline; `meaning` as the file's semantics have it."""

    id: str
    meaning: str | None
    rings: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Geometry:
    """The best geometry of an object; `has_meaning` if any of its surfaces has one."""

    lod: float
    solid: bool
    surfaces: tuple[Surface, ...]

    @property
    def has_meaning(self) -> bool:
        """True if semantics tell its surfaces apart."""
        return any(surface.meaning for surface in self.surfaces)


def best_geometry(name: str, thing: Mapping[str, Any], corners: int) -> Geometry | None:
    """Surfaces of an object's most detailed geometry; of equals, of one with semantics.

    Parameters
    ----------
    name : str
        Id of the object; a surface's id is this and the surface's number, counted from 0 through the geometry.
    thing : mapping
        The object as the file has it.
    corners : int
        How many corners there are to point at.

    Returns
    -------
    Geometry or None
        None if it has no geometry made of surfaces.

    Raises
    ------
    RoofError
        If the geometry is not built as its type says, or points at a corner that does not exist.
    """
    listed = thing.get("geometry", [])
    if not isinstance(listed, list):
        raise RoofError(name, type(listed).__name__, "give 'geometry' as a list")
    usable = [one for one in listed if isinstance(one, dict) and _has_surfaces(one) and _lod(one) is not None]
    if not usable:
        return None
    best = max(usable, key=lambda one: (_lod(one), isinstance(one.get("semantics"), dict)))
    return Geometry(_lod(best) or 0.0, _DEPTH[best["type"]] > 0, tuple(_surfaces(name, best, corners)))


def _has_surfaces(geometry: Mapping[str, Any]) -> bool:
    kind = geometry.get("type")
    return isinstance(kind, str) and kind in _DEPTH


def _lod(geometry: Mapping[str, Any]) -> float | None:
    """Level of detail; a string since version 1.1, a number before."""
    text = str(geometry.get("lod"))
    return float(text) if _LOD.fullmatch(text) else None


def _surfaces(name: str, geometry: Mapping[str, Any], corners: int) -> Iterator[Surface]:
    semantics = geometry.get("semantics")
    meanings, values = _meanings(name, semantics) if isinstance(semantics, dict) else ([], None)
    flat = _flat(name, geometry.get("boundaries"), values, _DEPTH[geometry["type"]])
    for number, (rings, value, outer) in enumerate(flat):
        surface_id = f"{name}/{number}"
        if outer:
            yield Surface(surface_id, _meaning(surface_id, meanings, value), _rings(surface_id, rings, corners))


def _meanings(name: str, semantics: Mapping[str, Any]) -> tuple[list[str | None], object]:
    listed = semantics.get("surfaces")
    if not isinstance(listed, list):
        raise RoofError(name, type(listed).__name__, "give 'semantics.surfaces' as a list")
    kinds = [one.get("type") if isinstance(one, dict) else None for one in listed]
    return [kind if isinstance(kind, str) else None for kind in kinds], semantics.get("values")


def _flat(
    name: str, boundaries: object, values: object, depth: int, *, outer: bool = True
) -> Iterator[tuple[object, object, bool]]:
    """Surfaces in order with their semantic value, and whether they bound a solid from outside.

    The values nest as the boundaries do; null stands for a whole branch without meaning.
    """
    if not isinstance(boundaries, list):
        raise RoofError(name, type(boundaries).__name__, "give 'boundaries' nested as the geometry's type says")
    if values is not None and not (isinstance(values, list) and len(values) == len(boundaries)):
        raise RoofError(name, "semantics that don't match the boundaries", "give one value for each surface")
    for i, part in enumerate(boundaries):
        value = values[i] if isinstance(values, list) else None
        if depth == 0:
            yield part, value, outer
        else:
            # the shells of a solid after its first are voids inside it
            yield from _flat(name, part, value, depth - 1, outer=outer and (depth > 1 or i == 0))


def _meaning(surface_id: str, meanings: list[str | None], value: object) -> str | None:
    if value is None:
        return None
    if type(value) is not int or not 0 <= value < len(meanings):
        raise RoofError(surface_id, value, f"give a semantic value from 0 to {len(meanings) - 1}, or null")
    return meanings[value]


def _rings(surface_id: str, rings: object, corners: int) -> tuple[tuple[int, ...], ...]:
    if not (isinstance(rings, list) and rings and all(isinstance(ring, list) for ring in rings)):
        raise RoofError(surface_id, type(rings).__name__, "give a surface as a list of rings")
    for ring in rings:
        for corner in ring:
            if type(corner) is not int or not 0 <= corner < corners:
                raise RoofError(surface_id, corner, f"give indices of vertices from 0 to {corners - 1}")
    return tuple(tuple(ring) for ring in rings)
