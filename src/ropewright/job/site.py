"""The site of a job file: ground and lower levels, obstacles, overhead lines; and the anchors on the roof."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.job.model import Anchor, Level, Obstacle, PowerLine, Site
from ropewright.job.reading import Table
from ropewright.quantity import Dimension, Range
from ropewright.roof.surface import Roof

__all__ = ["BASES", "anchor_fields", "anchors_of", "plan_area", "site_of"]

Points = NDArray[np.float64]

#: What an anchor's figure can be; the two are never compared with each other.
BASES = ("ultimate", "allowable")

_HEIGHT = (-300.0, 300.0)


def site_of(table: Table) -> Site:
    """Read the table ``[site]``.

    Parameters
    ----------
    table : Table

    Returns
    -------
    Site
        The ground is the first of its levels and reaches everywhere. Of no use if there were faults.
    """
    ground = table.quantity("ground", Dimension.LENGTH, _HEIGHT)
    if ground is None:
        ground = 0.0
        table.faults.note("The ground is taken as level at height 0, since the file gives no other height for it.")
    lower = [_level(one) for one in table.tables("level")]
    site = Site(
        levels=(Level("ground", ground), *lower),
        obstacles=tuple(_obstacle(one, ground) for one in table.tables("obstacle")),
        power_lines=tuple(_power_line(one) for one in table.tables("power_line")),
        north=table.quantity("north", Dimension.ANGLE, (-360.0, 360.0)) or 0.0,
    )
    table.close()
    return site


def _level(table: Table) -> Level:
    level = Level(
        name=table.text("name", required="give the level a name, such as 'porch roof'"),
        height=table.quantity("height", Dimension.LENGTH, _HEIGHT, required=True) or 0.0,
        outline=plan_area(table),
    )
    table.close()
    return level


def _obstacle(table: Table, ground: float) -> Obstacle:
    base = table.quantity("base", Dimension.LENGTH, _HEIGHT)
    top = table.quantity("top", Dimension.LENGTH, _HEIGHT, required=True)
    base = ground if base is None else base
    if top is not None and top <= base:
        table.fault("top", table.raw["top"], "the top must lie above the base (or the ground, where no base is given)")
    obstacle = Obstacle(
        name=table.text("name", required="give the obstacle a name, such as 'chimney'"),
        outline=plan_area(table),
        base=base,
        top=base if top is None else top,
    )
    table.close()
    return obstacle


def plan_area(table: Table) -> Points:
    """Corners in plan, counterclockwise, from an outline or from a center and size."""
    outline = table.points("outline", size=2, least=3)
    center, size = table.point("center", sizes=(2,)), table.point("size", sizes=(2,))
    by_size = table.raw.get("center") is not None and table.raw.get("size") is not None
    if (table.raw.get("outline") is not None) == by_size:
        table.fault("outline", None, "give the corners as 'outline', or a rectangle by 'center' and 'size'")
        return np.zeros((0, 2))
    if outline is None:
        if center is None or size is None:
            return np.zeros((0, 2))
        half = size / 2
        outline = center + half * np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])
    key = "size" if by_size else "outline"
    x, y = outline.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    if abs(area) < 1e-4 or (by_size and size is not None and not (size > 0).all()):
        table.fault(key, table.raw[key], "this must enclose an area")
    return outline if area > 0 else outline[::-1]


def _power_line(table: Table) -> PowerLine:
    points = table.points("points", size=3, least=2, required=True)
    line = PowerLine(
        name=table.text("name", required="give the overhead line a name, such as 'service drop'"),
        points=np.zeros((0, 3)) if points is None else points,
        voltage=table.quantity("voltage", Dimension.VOLTAGE, (1.0, 2e6), required=True, unsafe="high") or 0.0,
        confirmed_dead_by=table.text("confirmed_dead_by"),
    )
    table.close()
    return line


def anchors_of(tables: list[Table], roof: Roof | None) -> list[Anchor]:
    """Read the anchors; a place of two lengths is put on the roof.

    Parameters
    ----------
    tables : list of Table
    roof : Roof or None
        None: it has faults of its own; the other fields are checked all the same.
    """
    return [_anchor(table, roof) for table in tables]


def _anchor(table: Table, roof: Roof | None) -> Anchor:
    name = table.text("name", required="give the anchor a name")
    anchor = Anchor(name, _place(table, roof), **anchor_fields(table, required=True))
    table.close()
    return anchor


def anchor_fields(table: Table, *, required: bool) -> dict[str, Any]:
    """Read what an anchor is, apart from its name and place: fields of `Anchor`.

    Parameters
    ----------
    table : Table
    required : bool
        Must strength and basis be told. Where the strength may be left out and is, the fields are of no use.
    """
    strength = table.spread("strength", Dimension.FORCE, (10.0, 1e6), required=required)
    told = required or strength is not None
    return {
        "strength": strength or Range.exact(0.0),
        "basis": table.choice("basis", BASES, default=None if told else BASES[0]),
        "installed": table.text("installed"),
        "designed_by": table.text("designed_by"),
        "design_factor": table.quantity("design_factor", Dimension.RATIO, (0.1, 100.0), unsafe="low"),
        "independent": table.flag("independent"),
        "on": table.text("on"),
    }


def _place(table: Table, roof: Roof | None) -> Points:
    at = table.point("at", sizes=(2, 3), required=True)
    above = table.quantity("above", Dimension.LENGTH, (0.0, 10.0))
    if at is None:
        return np.zeros(3)
    if len(at) == 3:
        if above is not None:
            table.fault("above", table.raw["above"], "give 'above' only with a place of two lengths, put on the roof")
        return at
    if roof is None:
        return np.zeros(3)
    from ropewright.roof.height import roof_height

    height = float(roof_height(roof, at[None, :])[0])
    if np.isnan(height):
        table.fault("at", table.raw["at"], "this place is not on the roof; give three lengths for an anchor beside it")
        return np.zeros(3)
    return np.array([*at, height + (above or 0.0)])
