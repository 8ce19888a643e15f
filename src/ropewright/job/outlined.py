"""A roof, or one wing of it, from the fields of a table: outline, courtyards, and what stands over each side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.job.reading import Table
from ropewright.quantity import Dimension
from ropewright.roof.surface import Roof
from ropewright.roof.told_sides import COURTYARD_KINDS, SIDE_KINDS, ToldSides, misplaced_on_side, roof_of_sides

__all__ = ["FORMS", "OUTLINE_FIELDS", "Outlined", "outlined_roof"]

Points = NDArray[np.float64]

FORMS = ("flat", "shed", "gable", "hip")
#: Fields of a roof from an outline.
OUTLINE_FIELDS = (
    *("form", "outline", "size", "corner", "eave_height", "pitch", "pitches", "gable_sides", "high_side", "overhang"),
    *("courtyard", "side"),
)

_PITCHES = (0.0, 85.0)
_OVERHANGS = (0.0, 3.0)


@dataclass(frozen=True)
class Outlined:
    """A roof, and the outline of its walls as it was given."""

    roof: Roof
    outline: Points


def outlined_roof(table: Table) -> Outlined | None:
    """Read a roof from an outline; None if it has faults, which are then gathered in the table.

    Parameters
    ----------
    table : Table
        With the fields `OUTLINE_FIELDS`.

    Raises
    ------
    RoofError
        If no roof can stand on what was read; its field is one of the table's.
    """
    before = len(table.faults.found)
    form = table.choice("form", FORMS)
    outline = _outline(table)
    holes = [_courtyard(one) for one in table.tables("courtyard")]
    whole = [hole.ring for hole in holes if hole is not None]
    eave = table.quantity("eave_height", Dimension.LENGTH, (0.0, 300.0), required=True)
    overhang = table.quantity("overhang", Dimension.LENGTH, _OVERHANGS) or 0.0
    outer = 0 if outline is None else len(outline)
    count = outer + sum(map(len, whole)) if outer and len(whole) == len(holes) else 0
    told = _of_courtyards([hole for hole in holes if hole is not None], outer)
    _sides_told(table, form, count, told)
    pitches = _pitches(table, form, count, told)
    gables = _numbers(table, "gable_sides", count)
    high_side = _high_side(table, form, outer)
    _refuse_two_ends(table, gables or [])
    if len(table.faults.found) > before or outline is None or eave is None or pitches is None or gables is None:
        return None
    try:
        roof = roof_of_sides(
            outline,
            told,
            form=form,
            pitches=pitches,
            eave_height=eave,
            overhang=overhang,
            gable_sides=gables,
            high_side=high_side,
            holes=whole,
            count=count,
        )
    except RoofError as error:
        raise _as_written(table, error) from error
    return Outlined(roof, outline)


def _refuse_two_ends(table: Table, gables: list[int]) -> None:
    """Report a side that is listed among the gables and told to be something else."""
    for one in table.tables("side"):
        number, kind = one.raw.get("number"), one.raw.get("kind")
        if type(number) is int and number - 1 in gables and kind not in (None, "gable"):
            one.fault("kind", kind, f"side {number} stands in 'gable_sides' too; take it out there")


def _as_written(table: Table, error: RoofError) -> RoofError:
    """Return an error with field and value as the file has them: one pitch for all sides, sides counted from 1."""
    name = error.field
    if name.startswith("pitches") and table.raw.get("pitches") is None:
        name = "pitch"
    elif name.startswith("holes"):
        name = name.replace("holes", "courtyard", 1)
    elif name in ("hip_sides", "wall_sides", "half_hips", "breaks") or (
        name == "gable_sides" and "gable_sides" not in table.raw
    ):
        name = "side" if table.raw.get("side") else name
    if name == "side":
        return RoofError(name, error.value if isinstance(error.value, str) else "these ends", error.expected)
    value = error.value if isinstance(error.value, str) else table.raw.get(name, error.value)
    return RoofError(name, value, error.expected)


# where -------------------------------------------------------------------------------------------------------------


def _outline(table: Table) -> Points | None:
    """Walls in plan: given corner by corner, or as a rectangle from one of its corners."""
    if (table.get("outline") is None) == (table.get("size") is None):
        found = None if table.get("size") is None else "both 'outline' and 'size'"
        table.fault("outline", found, "give the corners as 'outline', or 'size' for a rectangle from the origin")
        table.get("corner")
        return None
    corner = table.point("corner", sizes=(2,))
    if table.get("outline") is not None:
        if corner is not None:
            table.fault("corner", table.raw["corner"], "give 'corner' only with 'size': it says where a rectangle lies")
        return table.points("outline", size=2, least=3)
    size = table.point("size", sizes=(2,))
    if size is None:
        return None
    if not (size > 0).all():
        table.fault("size", table.raw["size"], "give two lengths above zero")
        return None
    rectangle = np.array([[0.0, 0.0], [size[0], 0.0], size, [0.0, size[1]]])
    return rectangle if corner is None else rectangle + corner


@dataclass(frozen=True)
class _Courtyard:
    """A courtyard; a shaft has plumb walls and cuts the slopes that it stands in."""

    ring: Points
    is_shaft: bool
    overhang: float | None


def _courtyard(table: Table) -> _Courtyard | None:
    kind = table.choice("kind", COURTYARD_KINDS, default="hip")
    overhang = table.quantity("overhang", Dimension.LENGTH, _OVERHANGS)
    ring = _area(table)
    table.close()
    return None if ring is None else _Courtyard(ring, kind == "wall", overhang)


def _area(table: Table) -> Points | None:
    """Corners in plan from an outline, or from a center and size; None if there are faults."""
    outline = table.points("outline", size=2, least=3)
    center, size = table.point("center", sizes=(2,)), table.point("size", sizes=(2,))
    by_size = table.raw.get("center") is not None and table.raw.get("size") is not None
    if (table.raw.get("outline") is not None) == by_size:
        table.fault("outline", None, "give the corners as 'outline', or a rectangle by 'center' and 'size'")
        return None
    if not by_size:
        return outline
    if center is None or size is None:
        return None
    if not (size > 0).all():
        table.fault("size", table.raw["size"], "give two lengths above zero")
        return None
    corners: Points = center + size / 2 * np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])
    return corners


# what stands over the sides ----------------------------------------------------------------------------------------


def _of_courtyards(holes: list[_Courtyard], first: int) -> ToldSides:
    """What courtyards say of all their sides."""
    told = ToldSides()
    for hole in holes:
        sides = range(first, first + len(hole.ring))
        first += len(hole.ring)
        if hole.is_shaft:
            told.kinds.update(dict.fromkeys(sides, "wall"))
        if hole.overhang is not None:
            told.overhangs.update(dict.fromkeys(sides, hole.overhang))
    return told


def _sides_told(table: Table, form: str, count: int, told: ToldSides) -> None:
    """Read the tables of single sides; each speaks of another side."""
    seen = set[int]()
    for one in table.tables("side"):
        number = one.get("number")
        is_side = type(number) is int and 1 <= number <= max(count, 1)
        if not is_side and (count or type(number) is not int):
            one.fault("number", number, f"give the number of a side, from 1 to {count or 'n'}")
        side = number - 1 if type(number) is int else -1
        if is_side and side in seen:
            one.fault("number", number, "this side has a table already; put all of it there")
        seen.add(side)
        _read_side(one, form, side, told)


def _read_side(table: Table, form: str, side: int, told: ToldSides) -> None:
    kind = table.choice("kind", SIDE_KINDS) if table.get("kind") is not None else ""
    pitch = table.quantity("pitch", Dimension.ANGLE, _PITCHES)
    overhang = table.quantity("overhang", Dimension.LENGTH, _OVERHANGS)
    start = table.quantity("hip_from", Dimension.LENGTH, (0.01, 50.0), required=kind == "half-hip")
    upper = table.quantity("upper_pitch", Dimension.ANGLE, _PITCHES)
    break_from = table.quantity("break_from", Dimension.LENGTH, (0.01, 50.0))
    keys = ("kind", "pitch", "hip_from", "upper_pitch", "break_from")
    for key, wanted in misplaced_on_side(form, kind, [key for key in keys if table.raw.get(key) is not None]):
        table.fault(key, table.raw.get(key), wanted)
    table.close()
    told.tell(side, kind, pitch, overhang, start)
    if upper is not None and break_from is not None:
        told.breaks[side] = break_from, upper


def _pitches(table: Table, form: str, sides: int, told: ToldSides) -> list[float] | None:
    """Pitch of each side in degrees; a flat roof has none unless it is given."""
    many = table.get("pitches")
    if many is None or table.get("pitch") is not None:
        if many is not None:
            table.fault("pitches", "both 'pitch' and 'pitches'", "give 'pitch' for all sides or 'pitches' for each")
        is_told = sides > 0 and len(told.pitches) + len(told.plumb) == sides
        pitch = table.quantity("pitch", Dimension.ANGLE, _PITCHES, required=form != "flat" and not is_told)
        if pitch is None and form != "flat" and not is_told:
            return None
        each = [0.0 if pitch is None else pitch] * sides
    elif not isinstance(many, list) or (sides and len(many) != sides):
        table.fault("pitches", many, f"give one pitch for each of the {sides} sides, such as ['8:12', '6:12', ...]")
        return None
    else:
        read = [table.element("pitches", index, Dimension.ANGLE, _PITCHES) for index in range(len(many))]
        each = [pitch for pitch in read if pitch is not None]
        if len(each) < len(read):
            return None
    return [told.pitches.get(side, pitch) for side, pitch in enumerate(each)]


def _numbers(table: Table, key: str, sides: int) -> list[int] | None:
    """Read numbers of sides, counted from 1 in the file and from 0 here."""
    given = table.get(key)
    if given is None:
        return []
    if isinstance(given, list) and all(type(side) is int and 1 <= side <= max(sides, 1) for side in given):
        return sorted({side - 1 for side in given})
    if sides:
        table.fault(key, given, f"give numbers of sides from 1 to {sides}, such as [2, 4]; side 1 starts at corner 1")
    return None


def _high_side(table: Table, form: str, sides: int) -> int | None:
    """Read the side that a shed roof rises to, from 0."""
    given = table.get("high_side")
    if given is None and form != "shed":
        return None
    if type(given) is int and 1 <= given <= max(sides, 1):
        return given - 1
    table.fault("high_side", given, f"give the number of the side that the roof rises to, from 1 to {sides or 'n'}")
    return None
