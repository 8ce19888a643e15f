"""The roof of a job out of a file that another program wrote: one building of it, moved to the job's own origin."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError
from ropewright.job.reading import Table
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.roof.surface import Facet, Roof

__all__ = ["roof_from_cityjson"]

Points = NDArray[np.float64]


def roof_from_cityjson(table: Table, folder: Path) -> Roof | None:
    """Read one building, moved so that its ground is at height 0 and its roof starts at x = y = 0."""
    from ropewright.readers.cityjson import read_cityjson

    path = table.file("cityjson", folder)
    wanted = table.text("building", required="give the id of the building in the file")
    ground_given = table.quantity("ground", Dimension.LENGTH, (-500.0, 9000.0))
    if path is None or not wanted:
        return None
    try:
        (building,) = read_cityjson(path, wanted)
    except FileError as error:
        if error.field == "building":
            table.fault("building", wanted, error.expected)
        else:
            table.fault("cityjson", table.raw["cityjson"], f"the file can't be used: {error}")
        return None
    if building.roof is None:
        table.fault("building", wanted, f"this building has no roof that can be used: {'; '.join(building.notes)}")
        return None
    ground = building.ground if ground_given is None else ground_given
    if ground is None:
        table.fault("ground", None, "the file has no ground for this building; give its height in the file's system")
        return None
    for note in building.notes:
        table.faults.note(f"CityJSON: {_plain_id(note, wanted)}")
    return _to_origin(building.roof, wanted, ground, table)


def _plain_id(text: str, building: str) -> str:
    """Return a text with the ids of a building's surfaces cut down to what tells them apart."""
    return text.replace(f"{building}/", "surface ").replace(f"{building}_", "surface ")


def _to_origin(roof: Roof, building: str, ground: float, table: Table) -> Roof:
    corners = np.vstack([facet.ring for facet in roof.facets])
    lowest = float(corners[:, 2].min() - ground)
    if lowest <= 0:
        found, at = (show(height, Dimension.LENGTH, UnitSystem.METRIC) for height in (ground, lowest))
        table.fault("ground", found, f"the roof's lowest corner would lie at {at}; give a ground below it")
    origin = np.array([*corners[:, :2].min(axis=0), ground])
    at_x, at_y, at_z = origin.tolist()
    table.faults.note(
        f"Places of the CityJSON file are counted from ({at_x:.3f}, {at_y:.3f}, {at_z:.3f}) m there: the ground of the "
        "building is at height 0, and its roof starts at x = 0 and y = 0."
    )
    return _moved(roof, -origin, building)


def _moved(roof: Roof, shift: Points, building: str) -> Roof:
    """Return the same roof at another place, its facets named in short."""
    names = {facet.id: _plain_id(facet.id, building) for facet in roof.facets}
    return replace(
        roof,
        facets=tuple(
            Facet(names[one.id], one.ring + shift, tuple(hole + shift for hole in one.holes)) for one in roof.facets
        ),
        edges=tuple(
            replace(one, start=one.start + shift, end=one.end + shift, facets=tuple(names[id_] for id_ in one.facets))
            for one in roof.edges
        ),
        openings=tuple(replace(one, ring=one.ring + shift, facet=names[one.facet]) for one in roof.openings),
        walls=None if roof.walls is None else roof.walls + shift[:2],
    )
