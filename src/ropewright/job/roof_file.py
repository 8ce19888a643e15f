"""The roof of a job out of a file that another program wrote: one building of it, moved to the job's own origin."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError
from ropewright.job.reading import Table
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.roof.surface import Facet, Roof

if TYPE_CHECKING:
    from ropewright.readers import BuildingRoof

__all__ = ["roof_from_cityjson", "roof_from_file"]

Points = NDArray[np.float64]


#: Units that a file which states none can be said to be in.
_UNITS = ("m", "cm", "mm", "ft", "in")

#: Files whose roofs are kept, by their content: a job that is drawn is read again at every move.
_MOST = 4
_known: OrderedDict[tuple[str, ...], tuple[BuildingRoof, ...]] = OrderedDict()
_known_lock = Lock()


def roof_from_cityjson(table: Table, folder: Path) -> Roof | None:
    """Read one building of a CityJSON file, moved so that its ground is at height 0 and its roof at x = y = 0."""
    from ropewright.readers.cityjson import read_cityjson

    path = table.file("cityjson", folder)
    wanted = table.text("building", required="give the id of the building in the file")
    if path is None or not wanted:
        table.get("ground")
        return None
    return _placed(
        table, "cityjson", lambda: _once(path, wanted, "", lambda: read_cityjson(path, wanted)), wanted, "CityJSON"
    )


def roof_from_file(table: Table, folder: Path) -> Roof | None:
    """Read one building of a file of any format, moved as of `roof_from_cityjson`.

    The building may be left out where the file holds but one.
    """
    from ropewright.readers.files import read_roofs

    path = table.file("file", folder)
    wanted = table.text("building")
    given = table.get("length_unit") is not None
    unit = table.choice("length_unit", _UNITS) if given else None
    if path is None:
        table.get("ground")
        return None

    def read() -> tuple[BuildingRoof, ...]:
        return _once(path, wanted, unit or "", lambda: read_roofs(path, wanted or None, length_unit=unit))

    return _placed(table, "file", read, wanted, path.name)


def _once(path: Path, wanted: str, unit: str, read: Callable[[], tuple[BuildingRoof, ...]]) -> tuple[BuildingRoof, ...]:
    """Roofs of a file, read once for each content of it; what can't be read is told anew each time."""
    try:
        with path.open("rb") as file:
            key = (hashlib.file_digest(file, "sha256").hexdigest(), path.suffix, wanted, unit)
    except OSError:
        return read()  # which says what is wrong with it
    with _known_lock:
        if key in _known:
            _known.move_to_end(key)
            return _known[key]
    found = read()
    if len(found) == 1:  # else the job is refused, and none of them is used
        with _known_lock:
            _known[key] = found
            while len(_known) > _MOST:
                _known.popitem(last=False)
    return found


def _placed(
    table: Table, key: str, read: Callable[[], tuple[BuildingRoof, ...]], wanted: str, label: str
) -> Roof | None:
    """One building of a file, moved to the job's origin; None if there is none, with the fault in the table."""
    ground_given = table.quantity("ground", Dimension.LENGTH, (-500.0, 9000.0))
    try:
        found = read()
    except FileError as error:
        if error.field == "building":
            table.fault("building", wanted, error.expected)
        else:
            table.fault(key, table.raw[key], f"the file can't be used: {error}")
        return None
    if len(found) > 1:
        names = ", ".join(repr(one.id) for one in found[:4])
        table.fault("building", None, f"the file holds {len(found)} buildings: give the id of one, such as {names}")
        return None
    [building] = found
    if building.roof is None:
        reason = f"this building has no roof that can be used: {'; '.join(building.notes)}"
        table.fault("building", wanted or building.id, reason)
        return None
    ground = building.ground if ground_given is None else ground_given
    if ground is None:
        table.fault("ground", None, "the file has no ground for this building; give its height in the file's system")
        return None
    name = building.id if building.lod is not None else ""
    for note in building.notes:
        table.faults.note(f"{label}: {_plain_id(note, name)}")
    place = f"the {label} file" if key == "cityjson" else label
    return _to_origin(building.roof, name, ground, table, place)


def _plain_id(text: str, building: str) -> str:
    """Return a text with the ids of a city model's surfaces cut down to what tells them apart."""
    return text.replace(f"{building}/", "surface ").replace(f"{building}_", "surface ") if building else text


def _to_origin(roof: Roof, building: str, ground: float, table: Table, label: str) -> Roof:
    corners = np.vstack([facet.ring for facet in roof.facets])
    lowest = float(corners[:, 2].min() - ground)
    if lowest <= 0:
        found, at = (show(height, Dimension.LENGTH, UnitSystem.METRIC) for height in (ground, lowest))
        table.fault("ground", found, f"the roof's lowest corner would lie at {at}; give a ground below it")
    origin = np.array([*corners[:, :2].min(axis=0), ground])
    at_x, at_y, at_z = origin.tolist()
    table.faults.note(
        f"Places of {label} are counted from ({at_x:.3f}, {at_y:.3f}, {at_z:.3f}) m there: the ground of the "
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
