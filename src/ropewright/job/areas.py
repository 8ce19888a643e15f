"""Work areas and places for anchors of a job file: ``[[area]]``, ``[[no_anchor]]``, ``[[framing]]``, ``[anchors]``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.job.area_model import AnchorPlan, Area, Framing
from ropewright.job.reading import Faults, Table, nearest_name
from ropewright.job.site import anchor_fields, plan_area
from ropewright.quantity import Dimension
from ropewright.roof.surface import Roof

__all__ = ["areas_of"]

Points = NDArray[np.float64]

_DEFAULT = AnchorPlan()


def areas_of(top: Table, roof: Roof | None, *, anchors: list[str], crew: list[str]) -> dict[str, Any]:
    """Read where people work and where anchors may go.

    Parameters
    ----------
    top : Table
        The file.
    roof : Roof or None
        None: it has faults of its own; facets are then not looked for.
    anchors, crew : list of str
        Names in the file.

    Returns
    -------
    dict
        Fields of `Job`: ``areas``, ``no_anchor``, ``framing``, ``anchor_plan``.
    """
    areas = [_area(table, roof, crew) for table in top.tables("area")]
    _own_names(top.faults, "area", [area.name for area in areas])
    return {
        "areas": tuple(areas),
        "no_anchor": tuple(_forbidden(table) for table in top.tables("no_anchor")),
        "framing": tuple(_framing(table) for table in top.tables("framing")),
        "anchor_plan": _plan(top.table("anchors"), anchors),
    }


def _own_names(faults: Faults, key: str, names: Sequence[str]) -> None:
    for number, name in enumerate(names):
        if name and name in names[:number]:
            faults.add(f"{key}[{number}].name", name, "this name is taken; give each one its own")


def _area(table: Table, roof: Roof | None, crew: list[str]) -> Area:
    bounded = any(table.raw.get(key) is not None for key in ("outline", "center", "size"))
    known = [facet.id for facet in roof.facets] if roof else None
    area = Area(
        name=table.text("name", required="give the area a name, such as 'south slope'"),
        rings=(plan_area(table),) if bounded else (),
        facets=_names(table, "facets", known, "facet of the roof"),
        crew=_names(table, "crew", None if "crew" in table.faults.unread else crew, "worker"),
    )
    for key in ("outline", "center", "size"):
        table.get(key)
    table.close()
    return area


def _names(table: Table, key: str, known: list[str] | None, noun: str) -> tuple[str, ...]:
    """Names in a list, each of something that the file has; `known` None: not looked up."""
    value = table.get(key)
    if value is None:
        return ()
    if not isinstance(value, list) or not value or not all(isinstance(one, str) for one in value):
        table.fault(key, value, f"give a list of names in brackets, each of a {noun}")
        return ()
    for number, one in enumerate(value):
        if known is not None and one not in known:
            table.faults.add(
                f"{table.where(key)}[{number}]", one, f"there is no {noun} of this name, {nearest_name(one, known)}"
            )
    return tuple(value)


def _forbidden(table: Table) -> Area:
    area = Area(table.text("name", required="say what is there, such as 'solar panels'"), (plan_area(table),))
    table.close()
    return area


def _framing(table: Table) -> Framing:
    points = table.points("points", size=2, least=2, required=True)
    line = Framing(
        name=table.text("name", required="give the framing line a name, such as 'purlin over the hall'"),
        points=np.zeros((0, 2)) if points is None else points,
        spacing=table.quantity("spacing", Dimension.LENGTH, (0.1, 10.0)),
    )
    table.close()
    return line


def _plan(table: Table | None, anchors: list[str]) -> AnchorPlan:
    if table is None:
        return _DEFAULT
    read = {
        "spacing": table.quantity("spacing", Dimension.LENGTH, (0.1, 10.0)),
        "keep_off": table.quantity("keep_off", Dimension.LENGTH, (0.0, 5.0)),
        "above": table.quantity("above", Dimension.LENGTH, (0.0, 10.0)),
        "places": table.quantity("places", Dimension.LENGTH, (0.1, 5.0)),
        "ridges": table.flag("ridges"),
        "hips": table.flag("hips"),
    }
    known = [str(table.raw.get("like"))] if "anchor" in table.faults.unread else anchors
    like = table.reference("like", known, "give the name of an anchor of this job", required=False)
    terms = anchor_fields(table, required=False)
    table.close()
    told = table.raw.get("strength") is not None
    if like and told:
        table.fault("like", like, "give either 'like' or the figures of new anchors, not both")
    given: dict[str, Any] = {key: value for key, value in read.items() if value is not None}
    return AnchorPlan(**given, like=like, terms=terms if told else None)
