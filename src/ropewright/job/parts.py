"""Wings and dormers of a job file, made one roof with the main one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.job.outlined import OUTLINE_FIELDS, Outlined, outlined_roof
from ropewright.job.reading import Table
from ropewright.quantity import Dimension
from ropewright.roof.surface import Roof

if TYPE_CHECKING:
    from ropewright.roof.dormers import DormerSpec

__all__ = ["PART_FIELDS", "roof_of_parts"]

Points = NDArray[np.float64]
Parts = list[tuple[str, Roof]]

#: Fields of a roof from outlines.
PART_FIELDS = (*OUTLINE_FIELDS, "wing", "dormer")
#: The same as in `ropewright.roof.dormers`, which is imported late.
_KINDS = ("gable", "hip", "shed", "flat")


def roof_of_parts(table: Table) -> Roof | None:
    """Read a roof from an outline with its wings and dormers; None if there are faults, gathered in the table.

    Parameters
    ----------
    table : Table
        The table ``[roof]``, with the fields `PART_FIELDS`.
    """
    names: list[str] = []
    before = len(table.faults.found)
    main = _part(table)
    parts: Parts = []
    for one in table.tables("wing"):
        name = _name(one, names, "give the wing a name, such as 'garage'")
        wing = _part(one)
        one.close()
        if wing is not None:
            parts.append((name, wing.roof))
    dormers = [(one, _dormer(one, names, main)) for one in table.tables("dormer")]
    if main is None or len(table.faults.found) > before:
        return None
    parts.insert(0, ("", main.roof))
    return _whole(table, parts, [(one, spec) for one, spec in dormers if spec is not None])


def _part(table: Table) -> Outlined | None:
    """One part, its refusal gathered at its own table."""
    try:
        return outlined_roof(table)
    except RoofError as error:
        table.faults.found.append(RoofError(f"{table.path}.{error.field}", error.value, error.expected))
        return None


def _name(table: Table, names: list[str], wanted: str) -> str:
    """Name of a wing or dormer; no two have one name, since facets and edges are called after them."""
    name = table.text("name", required=wanted)
    if name and name in names:
        table.fault("name", name, "this name is taken; give each wing and dormer its own")
    names.append(name)
    return name


def _whole(table: Table, parts: Parts, dormers: list[tuple[Table, DormerSpec]]) -> Roof | None:
    """All parts as one roof; dormers stand in what the others make."""
    if len(parts) == 1 and not dormers:
        return parts[0][1]
    from ropewright.roof.dormers import dormer_roof
    from ropewright.roof.union import union_of_roofs

    try:
        roof = union_of_roofs(parts) if len(parts) > 1 else parts[0][1]
        if not dormers:
            return roof
        before = len(table.faults.found)
        for one, spec in dormers:
            try:
                parts.append((spec.name, dormer_roof(roof, spec, one.path)))
            except RoofError as error:
                table.faults.found.append(_as_placed(one, error))
        return union_of_roofs(parts) if len(table.faults.found) == before else None
    except RoofError as error:
        table.faults.add(table.where("wing" if len(parts) > 1 else "dormer"), error.value, error.expected)
        return None


def _as_placed(table: Table, error: RoofError) -> RoofError:
    """Return an error at the field by which the dormer was placed."""
    if error.field.endswith(".at") and table.raw.get("at") is None:
        return RoofError(table.where("along"), error.value, error.expected)
    return error


# dormers -----------------------------------------------------------------------------------------------------------


def _dormer(table: Table, names: list[str], main: Outlined | None) -> DormerSpec | None:
    from ropewright.roof.dormers import DormerSpec

    before = len(table.faults.found)
    name = _name(table, names, "give the dormer a name, such as 'bath dormer'")
    kind = table.choice("kind", _KINDS, default="gable")
    place = _place(table, main)
    width = table.quantity("width", Dimension.LENGTH, (0.2, 50.0), required=True)
    height = table.quantity("front_height", Dimension.LENGTH, (0.05, 20.0), required=True)
    pitch = table.quantity("pitch", Dimension.ANGLE, (0.0, 85.0), required=kind != "flat")
    if kind == "flat" and pitch is not None:
        table.fault("pitch", table.raw["pitch"], "leave it out: a flat dormer is level; kind = 'shed' slopes")
    overhang = table.quantity("overhang", Dimension.LENGTH, (0.0, 3.0)) or 0.0
    table.close()
    if place is None or width is None or height is None or len(table.faults.found) > before:
        return None
    at = (float(place[0]), float(place[1]))
    return DormerSpec(name, at, width, height, kind, pitch or 0.0, overhang)


def _place(table: Table, main: Outlined | None) -> Points | None:
    """Middle of a dormer's front in plan: given, or so far along a wall of the main part and so far in from it."""
    at = table.point("at", sizes=(2,))
    by_wall = [table.get(key) is not None for key in ("side", "along", "setback")]
    if (table.raw.get("at") is not None) == any(by_wall):
        wanted = "give the middle of its front as 'at', or by 'side', 'along' and 'setback'"
        table.fault("at", "both" if any(by_wall) else None, wanted)
        return None
    if not any(by_wall):
        return at
    along = table.quantity("along", Dimension.LENGTH, (0.0, 1000.0), required=True)
    setback = table.quantity("setback", Dimension.LENGTH, (-3.0, 100.0), required=True)
    side = table.get("side")
    count = 0 if main is None else len(main.outline)
    if type(side) is not int or not 1 <= side <= max(count, 1):
        if count or type(side) is not int:
            table.fault("side", side, f"give the number of the wall it is measured from, 1 to {count or 'n'}")
        return None
    if main is None or along is None or setback is None:
        return None
    from ropewright.roof.dormers import place_by_wall

    return place_by_wall(main.outline, side - 1, along, setback)
