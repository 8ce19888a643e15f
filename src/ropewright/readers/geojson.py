"""Buildings of a GeoJSON file as roofs: footprints in longitude and latitude, with their pitch among the properties.

Source: RFC 7946 (from memory): sections 3.1.6 (rings), 4 (WGS 84), 5.2 (no ring crosses the antimeridian).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError, QuantityError, RoofError
from ropewright.quantity import Dimension, parse_quantity
from ropewright.readers.bounded import bounded_text
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.footprint import footprint_building
from ropewright.readers.footprint_parts import DORMER, MOST_PARTS, WING, Placed
from ropewright.readers.footprint_values import tables_of
from ropewright.readers.json_text import documents
from ropewright.readers.local_plane import local_metres
from ropewright.roof.mending.notes import Mendings

__all__ = ["LOCAL_UNIT", "MAX_BYTES", "read_geojson"]

Points = NDArray[np.float64]

#: A larger file is no file of roofs to plan. [byte]
MAX_BYTES = 50_000_000
#: Member of the file's object that says that coordinates are no degrees but lengths in a plan, and in what unit.
LOCAL_UNIT = "coordinates_unit"
#: How near the corners of a map are to where they were meant: 6 decimals of a degree are 0.11 m. [m]
_MAP_ACCURACY, _PLAN_ACCURACY = 0.10, 0.02
#: Names under which files of before RFC 7946 say that they keep to what it asks for.
_WGS84 = frozenset({"urn:ogc:def:crs:ogc:1.3:crs84", "urn:ogc:def:crs:epsg::4326", "epsg:4326", "ogc:crs84"})
_SHAPES = ("Polygon", "MultiPolygon")


@dataclass(frozen=True, slots=True)
class _Plan:
    """How coordinates become metres: by unit [m], or, if None, from degrees."""

    unit: float | None

    @property
    def accuracy(self) -> float:
        return _MAP_ACCURACY if self.unit is None else _PLAN_ACCURACY

    def laid_from(self, rings: list[Points]) -> Callable[[Points], Points]:
        """Return what lays positions into metres: from the middle of these rings' extent where they are in degrees."""
        unit = self.unit
        if unit is not None:
            return lambda points: points * unit
        corners = np.vstack(rings)
        origin = (corners.min(axis=0) + corners.max(axis=0)) / 2
        return lambda points: local_metres(points, origin)


def read_geojson(path: Path) -> tuple[BuildingRoof, ...]:
    """Roofs over the footprints of a GeoJSON file.

    Parameters
    ----------
    path : Path
        UTF-8, at most 50 MB.

    Returns
    -------
    tuple of BuildingRoof
        In the order of the file; x east, y north from the middle of each footprint, heights from the ground. What
        can't be used is among them, refused with its reason.

    Raises
    ------
    FileError
        If the file as a whole can't be read, or is in another reference system than RFC 7946 asks for.
    """
    values = documents(bounded_text(path, MAX_BYTES))
    head = next(values, None)
    if next(values, None) is not None:
        raise FileError("file", "more than one object", "give one GeoJSON object")
    if not isinstance(head, dict):
        raise FileError("type", None, "give a GeoJSON object with a 'type'")
    plan = _plan(head)
    features = list(_features(head))
    if not features:
        raise FileError("features", "no footprint", "give Polygons of buildings")
    seen: set[str] = set()
    roofs = []
    for name, feature in features:
        if name in seen:
            roofs.append(BuildingRoof(name, "refused", (f"{name}: an id that stands twice in the file",)))
            continue
        seen.add(name)
        roofs += _buildings(name, feature, plan)
    return tuple(roofs)


def _plan(head: Mapping[str, Any]) -> _Plan:
    unit = head.get(LOCAL_UNIT)
    if unit is not None:
        try:
            return _Plan(parse_quantity(f"1 {unit}", Dimension.LENGTH, LOCAL_UNIT))
        except QuantityError as error:
            raise FileError(LOCAL_UNIT, unit, "give a unit of length, such as m or ft") from error
    system = head.get("crs")
    if system is not None:
        properties = system.get("properties") if isinstance(system, dict) else None
        name = properties.get("name") if isinstance(properties, dict) else None
        if not isinstance(name, str) or name.lower() not in _WGS84:
            wanted = f"give longitude and latitude on WGS 84 (RFC 7946), or lengths in a plan with '{LOCAL_UNIT}'"
            raise FileError("crs", name, wanted)
    return _Plan(None)


def _features(head: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Features with their ids, those without one counted from 1."""
    kind = head.get("type")
    if kind == "FeatureCollection":
        listed = head.get("features")
        if not isinstance(listed, list):
            raise FileError("features", type(listed).__name__, "give a list of features")
        for number, feature in enumerate(listed, 1):
            if not isinstance(feature, dict) or feature.get("type") != "Feature":
                raise FileError(f"features[{number - 1}]", type(feature).__name__, "give an object of type 'Feature'")
            yield _id(feature, number), feature
    elif kind == "Feature":
        yield _id(head, 1), head
    elif kind in _SHAPES:
        yield "feature 1", {"geometry": head}
    else:
        raise FileError("type", kind, "give a FeatureCollection, a Feature, a Polygon or a MultiPolygon")


def _id(feature: Mapping[str, Any], number: int) -> str:
    given = feature.get("id")
    if isinstance(given, str) and given.strip():
        return given
    return str(given) if isinstance(given, int) and not isinstance(given, bool) else f"feature {number}"


def _buildings(name: str, feature: Mapping[str, Any], plan: _Plan) -> list[BuildingRoof]:
    """Building of each polygon of a feature."""
    properties = feature.get("properties")
    properties = properties if isinstance(properties, dict) else {}
    geometry = feature.get("geometry")
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if not isinstance(geometry, dict) or kind not in _SHAPES:
        return [BuildingRoof(name, "refused", (f"{name}: got {kind!r} as geometry; give a Polygon",))]
    polygons = geometry.get("coordinates")
    polygons = [polygons] if kind == "Polygon" else polygons
    if not isinstance(polygons, list) or not polygons:
        return [BuildingRoof(name, "refused", (f"{name}: no coordinates; give the rings of its outline",))]
    names = [name] if len(polygons) == 1 else [f"{name}/{number}" for number in range(1, len(polygons) + 1)]
    return [_building(one, rings, properties, plan) for one, rings in zip(names, polygons, strict=True)]


def _building(name: str, given: object, properties: Mapping[str, Any], plan: _Plan) -> BuildingRoof:
    notes = Mendings()
    try:
        rings = _rings(name, given, "coordinates", plan, notes)
        laid = plan.laid_from(rings)
        placed = _placed(name, properties, laid, plan, notes)
    except RoofError as error:
        return BuildingRoof(name, "refused", (f"{name}: {error}",))
    if plan.unit is None:
        notes.find(
            "longitude and latitude (WGS 84) laid into the level plane at the footprint's middle, x east, y north"
        )
    else:
        notes.find("coordinates are lengths in a plan: +y taken as north")
    whole = [laid(ring) for ring in rings]
    return footprint_building(name, whole, properties, accuracy=plan.accuracy, notes=notes, placed=placed)


def _placed(
    name: str, properties: Mapping[str, Any], laid: Callable[[Points], Points], plan: _Plan, notes: Mendings
) -> Placed:
    """Wings and dormers, their positions laid into the plan of the footprint."""
    wings, dormers = [], []
    for path, one in tables_of(properties, WING, MOST_PARTS):
        [ring] = _rings(name, [one.get("outline")], f"{path}outline", plan, notes)
        wings.append((path, one, laid(ring)))
    for path, one in tables_of(properties, DORMER, MOST_PARTS):
        at = one.get("at")
        place = None if at is None else laid(np.array([_position(at, f"{path}at", plan, notes)]))[0]
        dormers.append((path, one, place))
    return Placed(tuple(wings), tuple(dormers))


def _rings(name: str, given: object, path: str, plan: _Plan, notes: Mendings) -> list[Points]:
    """Rings as numbers, opened; as they stand in the file."""
    if not isinstance(given, list) or not given:
        raise RoofError(path, type(given).__name__, "give a list of rings")
    rings = []
    for number, ring in enumerate(given):
        place = f"{path}[{number}]" if path == "coordinates" else path
        if not isinstance(ring, list) or len(ring) < 3:
            raise RoofError(place, type(ring).__name__, "give a list of four positions or more")
        points = np.array([_position(one, f"{place}[{i}]", plan, notes) for i, one in enumerate(ring)])
        if (points[0] == points[-1]).all():
            points = points[:-1]
        elif path == "coordinates":  # a wing's outline need not be closed
            notes.mend("rings not closed by their first position closed", name)
        rings.append(points)
    if plan.unit is None and float(np.ptp(np.vstack(rings)[:, 0])) > 180.0:
        raise RoofError(path, "a ring across the antimeridian", "cut it there, as RFC 7946 asks for")
    return rings


def _position(given: object, place: str, plan: _Plan, notes: Mendings) -> tuple[float, float]:
    if not isinstance(given, list) or not 2 <= len(given) <= 4:
        raise RoofError(place, type(given).__name__, "give a position of two numbers")
    if not all(isinstance(one, (int, float)) and not isinstance(one, bool) for one in given):
        raise RoofError(place, "something that is no number", "give a position of two numbers")
    x, y = given[:2]
    if len(given) > 2:
        notes.find("heights of positions not looked at: the eave height is a property")
    if plan.unit is None and not (abs(x) <= 180.0 and abs(y) <= 90.0):
        wanted = f"give longitude and latitude in degrees; for lengths in a plan say so with '{LOCAL_UNIT}'"
        raise RoofError(place, f"({str(x)[:20]}, {str(y)[:20]})", wanted)
    if not (abs(x) <= 1e9 and abs(y) <= 1e9):
        raise RoofError(place, "a place that is on no map", "give lengths in a plan")
    return float(x), float(y)
