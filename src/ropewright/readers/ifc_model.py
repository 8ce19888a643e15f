"""Shapes of an IFC model's roof elements as triangles; run as a program of its own, so that it alone can break down.

``python -m ropewright.readers.ifc_model FILE`` prints one JSON document. The library that builds the shapes is compiled
code, which a broken file can make crash or run on for ever: `ropewright.readers.ifc` starts this, with limits of
memory and time, and reads what it prints.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from ropewright.errors import FileError
from ropewright.readers.bounded import bounded_bytes, refuses_broken

__all__ = ["MAX_BYTES", "main", "model_of"]

#: A larger model is more than a building. [byte]
MAX_BYTES = 100_000_000
#: More memory [byte] and processor time [s] than a model of this size needs.
_MEMORY, _TIME = 6_000_000_000, 120
#: More elements and corners than these are no roofs.
_MOST_ELEMENTS, _MOST_CORNERS = 3_000, 400_000

#: What can be a piece of roof one stands on; rafters, chimneys and windows are none.
_SHEETS = ("IfcRoof", "IfcSlab", "IfcPlate", "IfcCovering", "IfcBuildingElementProxy", "IfcBuildingElementPart")
_WANTED = "give an IFC file (STEP text, IFC2X3 or later)"

#: What every STEP text ends with (ISO 10303-21).
_END = "END-ISO-10303-21"


def model_of(text: str) -> dict[str, Any]:
    """Buildings of a model, and the elements that are or may be their roofs.

    Parameters
    ----------
    text : str
        Content of an IFC file.

    Returns
    -------
    dict
        ``unit``: metres per length unit, None if it states none; ``north``: bearing of +y [deg] and what says so, a map
        conversion or the true north, or None; ``buildings``: id, name, ``zero`` (height of their origin) and
        ``terrain`` and ``foot`` (or None) [m]; ``elements``: id, name, number of their building or None, ``roof``
        (called so by the model), ``points`` [m] and ``triangles``, or ``fault``, why they have none.

    Raises
    ------
    FileError
        If it is no IFC or too much of it.
    """
    if not text.lstrip("\ufeff \t\r\n").startswith("ISO-10303-21;"):
        raise FileError("file", text[:20], _WANTED)
    if _END not in text:  # its library reads what there is, and a roof that was cut off would never be missed
        raise FileError("file", "a file cut short", f"give the whole of it, down to {_END};")
    import ifcopenshell

    with refuses_broken("file", _WANTED):
        model = ifcopenshell.file.from_string(text)
        buildings = sorted(model.by_type("IfcBuilding"), key=lambda one: int(one.id()))
    unit = _unit(model)
    with refuses_broken("IfcElement", _WANTED):
        elements = list(_elements(model, buildings))
    if len(elements) > _MOST_ELEMENTS:
        raise FileError("IfcElement", f"{len(elements)} slabs and roofs", f"give at most {_MOST_ELEMENTS}")
    return {
        "unit": unit,
        "north": _north(model),
        "buildings": [_building(model, one, unit or 1.0) for one in buildings],
        "elements": _with_shapes(elements),
    }


def _unit(model: Any) -> float | None:
    """Metres per length unit."""
    import ifcopenshell.util.unit

    with refuses_broken("IfcUnitAssignment", "give the unit of lengths"):
        stated = [unit for one in model.by_type("IfcUnitAssignment") for unit in one.Units]
        if not any(getattr(unit, "UnitType", None) == "LENGTHUNIT" for unit in stated):
            return None
        scale = float(ifcopenshell.util.unit.calculate_unit_scale(model))
    if not 1e-6 < scale < 1e6:
        raise FileError("IfcUnitAssignment", scale, "give lengths in a unit between a micrometre and 1000 km")
    return scale


def _north(model: Any) -> tuple[float, str] | None:
    """Bearing of the model's +y [deg] from its map conversion, else from its true north, and which of them said it."""
    with refuses_broken("TrueNorth", "give a direction of two numbers"):
        for one in model.by_type("IfcMapConversion") if model.schema != "IFC2X3" else ():
            along, across = one.XAxisAbscissa, one.XAxisOrdinate
            if along is not None and across is not None and math.hypot(along, across) > 0:
                return _bearing(-across, along), "map conversion"
        contexts = model.by_type("IfcGeometricRepresentationContext", include_subtypes=False)
        # a plan's context may have a north of its own: that of the model's shapes counts
        for one in sorted(contexts, key=lambda context: context.ContextType != "Model"):
            if one.TrueNorth is not None:
                x, y = map(float, one.TrueNorth.DirectionRatios[:2])
                if math.hypot(x, y) > 0:
                    return _bearing(-x, y), "true north"
    return None


def _bearing(east: float, north: float) -> float:
    return round(math.degrees(math.atan2(east, north)), 6) % 360.0


def _building(model: Any, building: Any, unit: float) -> dict[str, Any]:
    from ifcopenshell.util.placement import get_local_placement

    with refuses_broken("IfcBuilding", "give it a placement with numbers"):
        zero = float(get_local_placement(building.ObjectPlacement)[2][3]) * unit if building.ObjectPlacement else 0.0
        reference, terrain = building.ElevationOfRefHeight, building.ElevationOfTerrain
        feet = [
            float(get_local_placement(wall.ObjectPlacement)[2][3]) * unit
            for wall in model.by_type("IfcWall")
            if wall.ObjectPlacement and _home(wall) in (building, None)
        ]
    known = reference is not None and terrain is not None
    return {
        "id": str(building.GlobalId or f"#{building.id()}"),
        "name": str(building.Name or ""),
        "zero": zero,
        "terrain": zero + (terrain - reference) * unit if known else None,
        "foot": min(feet, default=None),
    }


def _home(element: Any) -> Any:
    """Return the building that an element stands in, if any."""
    from ifcopenshell.util.element import get_aggregate, get_container

    here: Any = get_container(element)
    for _ in range(20):
        if here is None or here.is_a("IfcBuilding"):
            return here
        here = get_aggregate(here)
    return None


def _elements(model: Any, buildings: list[Any]) -> Iterator[tuple[Any, int | None, bool]]:
    """Elements with the number of their building: of each building its roofs, or, if it has none, all sheets."""
    sheets = {one.id(): one for kind in _SHEETS for one in _by_type(model, kind)}
    homes = {number: _home(one) for number, one in sheets.items()}
    numbers = {one.id(): number for number, one in enumerate(buildings)}
    only = 0 if len(buildings) == 1 else None
    place = {number: only if home is None else numbers.get(home.id()) for number, home in homes.items()}
    roofs = {one.id() for one in _roofs(sheets.values())}
    with_roof = {place[number] for number in roofs if number in place}
    for number, one in sheets.items():
        if number in roofs or place[number] not in with_roof:
            yield one, place[number], number in roofs


def _by_type(model: Any, kind: str) -> list[Any]:
    try:
        return list(model.by_type(kind))
    except RuntimeError:  # a class that this version of the schema does not know
        return []


def _roofs(sheets: Iterable[Any]) -> Iterator[Any]:
    from ifcopenshell.util.element import get_decomposition, get_predefined_type

    for one in sheets:
        kind = one.is_a()
        named = one.is_a("IfcRoof") or (kind.startswith("IfcSlab") and get_predefined_type(one) == "ROOF")
        if named or (kind == "IfcCovering" and get_predefined_type(one) == "ROOFING"):
            yield one
            parts: Iterable[Any] = get_decomposition(one)
            yield from (part for part in parts if any(part.is_a(sheet) for sheet in _SHEETS))


def _with_shapes(elements: Iterable[tuple[Any, int | None, bool]]) -> list[dict[str, Any]]:
    import ifcopenshell.geom

    geom: Any = ifcopenshell.geom
    settings = geom.settings()
    settings.set("use-world-coords", True)
    found, corners = [], 0
    for element, building, is_roof in elements:
        if element.Representation is None:
            continue
        one: dict[str, Any] = {
            "id": str(element.GlobalId or f"#{element.id()}"),
            "name": str(element.Name or ""),
            "building": building,
            "roof": is_roof,
        }
        try:
            shape = geom.create_shape(settings, element).geometry
            one["points"], one["triangles"] = list(shape.verts), list(shape.faces)
            corners += len(one["points"]) // 3
        except (RuntimeError, AttributeError) as error:
            one["fault"] = str(error)[:120]
        if corners > _MOST_CORNERS:
            raise FileError("IfcElement", f"more than {_MOST_CORNERS} corners", "give a model of fewer details")
        found.append(one)
    return found


def _limit() -> None:
    """Bound memory and time of this process, where the system can."""
    try:
        import resource
    except ImportError:  # Windows: only the time is bounded, by whoever started this
        return
    for kind, most in ((resource.RLIMIT_AS, _MEMORY), (resource.RLIMIT_CPU, _TIME)):
        resource.setrlimit(kind, (most, most))


def main(name: str) -> None:
    """Print the model in a file, or what is wrong with it, as JSON."""
    _limit()
    try:
        content = bounded_bytes(Path(name), MAX_BYTES)
        try:
            text = content.decode("utf-8")
        except UnicodeDecodeError:
            text = content.decode("latin-1")
        answer = model_of(text)
    except FileError as error:
        answer = {"error": [error.field, str(error.value), error.expected]}
    sys.stdout.write(json.dumps(answer))


if __name__ == "__main__":
    main(sys.argv[1])
