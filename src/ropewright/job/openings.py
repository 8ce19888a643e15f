"""Skylights, hatches and holes of a job file, laid onto its roof."""

from __future__ import annotations

from collections.abc import Iterable

from ropewright.errors import RoofError
from ropewright.job.reading import Table
from ropewright.quantity import Dimension
from ropewright.roof.openings import GUARDS, OpeningSpec, with_openings
from ropewright.roof.surface import Roof

__all__ = ["roof_with_openings"]


def roof_with_openings(roof: Roof | None, tables: Iterable[Table]) -> Roof | None:
    """Lay the openings of the file onto the roof; each that can't lie there is a fault of its own.

    Parameters
    ----------
    roof : Roof or None
        None: it has faults of its own; the fields of the openings are checked all the same.
    tables : iterable of Table
        Each ``[[roof.opening]]``.
    """
    for table in tables:
        before = len(table.faults.found)
        spec = _spec(table)
        if roof is None or len(table.faults.found) > before:
            continue
        try:
            roof = with_openings(roof, [spec])
        except RoofError as error:
            field = table.path + error.field.removeprefix("openings[0]")
            table.faults.found.append(RoofError(field, error.value, error.expected))
    return roof


def _spec(table: Table) -> OpeningSpec:
    center, size = (table.point(key, sizes=(2,)) for key in ("center", "size"))
    spec = OpeningSpec(
        name=table.text("name", required="give the opening a name, such as 'north skylight'"),
        center=None if center is None else (float(center[0]), float(center[1])),
        size=None if size is None else (float(size[0]), float(size[1])),
        outline=table.points("outline", size=2, least=3),
        guard=table.choice("guard", GUARDS, default="none"),
        cover_capacity=table.quantity("cover_capacity", Dimension.FORCE, (0.0, 1e6), unsafe="low"),
        cover_fixed=table.flag("cover_fixed"),
        cover_marked=table.flag("cover_marked"),
    )
    table.close()
    return spec
