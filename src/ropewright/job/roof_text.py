"""A job's text with a roof out of a file in it: a job that is new, or one whose roof is replaced."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import InputError, InputErrors
from ropewright.job.changed_text import changed_text
from ropewright.job.template import new_job_text
from ropewright.quantity import UnitSystem
from ropewright.roof.height import grid_on
from ropewright.roof.surface import EdgeType

if TYPE_CHECKING:
    from ropewright.roof.surface import Roof

__all__ = ["fitted_text", "high_place", "new_text_of_roof", "text_with_roof"]

_FOOT = 0.3048
#: Lists of a job that stand on its roof, and the site's that stand round the template's house.
_ON_ROOF = ("area", "no_anchor", "framing")
_OFF = re.compile(r"(?:anchor\[(?P<anchor>[0-9]+)\]|(?P<list>area|no_anchor|framing)\[[0-9]+\])")

Check = Callable[[str], object]


def high_place(roof: Roof) -> tuple[float, float]:
    """Place in plan for an anchor, from the low corner of the roof's extent: the middle of the longest ridge. [m]

    Without a ridge it is near the middle of the roof, beside its openings.
    """
    corners = np.vstack([facet.ring for facet in roof.facets])
    ridges = [edge for edge in roof.edges if edge.type is EdgeType.RIDGE]
    if ridges:
        ridge = max(ridges, key=lambda edge: edge.length)
        place = (ridge.start + ridge.end)[:2] / 2
    else:
        place = _middle(roof, corners[:, :2])
    x, y = (place - corners[:, :2].min(axis=0)).tolist()
    return x, y


def _middle(roof: Roof, corners: NDArray[np.float64]) -> NDArray[np.float64]:
    from shapely import Polygon, contains_xy  # type: ignore[import-untyped]

    low, high = corners.min(axis=0), corners.max(axis=0)
    middle: NDArray[np.float64] = (low + high) / 2
    places = grid_on(roof, float((high - low).max()) / 20)[:, :2]
    for opening in roof.openings:
        places = places[~contains_xy(Polygon(opening.ring[:, :2]), places)]
    if not len(places):
        return middle
    nearest: NDArray[np.float64] = places[np.argmin(np.hypot(*(places - middle).T))]
    return nearest


def new_text_of_roof(
    roof: Mapping[str, str], name: str, place: tuple[float, float], *, units: UnitSystem, north: float = 0.0
) -> str:
    """Text of a job with this roof, and with one invented anchor, line and worker to be replaced.

    Parameters
    ----------
    roof : mapping of str to str
        The table ``[roof]``: file, building, ground, length_unit.
    name : str
        Of the job.
    place : (x, y)
        Of its anchor, from the low corner of the roof's extent. [m]
    units : UnitSystem
    north : float
        Bearing of +y. [deg]

    Raises
    ------
    ValueError
        If a value can't stand in a job file.
    """
    import tomlkit

    site: dict[str, str] = {"ground": "0 ft" if units is UnitSystem.US else "0 m"}
    if north:
        site["north"] = f"{north % 360:.2f} deg"
    fields: dict[str, object] = {"job.name": name, "roof": dict(roof), "site": site, "anchor[0].at": _at(place, units)}
    document = tomlkit.parse(changed_text(new_job_text(units.value), fields))
    for key in _ON_ROOF:
        document.pop(key, None)
    return tomlkit.dumps(document)


def text_with_roof(text: str, roof: Mapping[str, str]) -> str:
    """Text of a job whose roof is replaced by this table; the openings in the old one go with it."""
    return changed_text(text, {"roof": dict(roof)})


def fitted_text(text: str, place: tuple[float, float], check: Check, *, units: UnitSystem) -> str:
    """Text in which whatever the roof has no place for is moved or taken out.

    Parameters
    ----------
    text : str
    place : (x, y)
        Where anchors go that are off the roof. [m]
    check : callable
        Reads a text, and raises the faults of it.
    units : UnitSystem
        That lengths are written in.

    Returns
    -------
    str
        The text as it was if it can be read; else anchors off the roof are put at the place, and the work areas, bars
        to anchors and framing lines with faults are taken out. What is still wrong then, `check` tells.
    """
    import tomlkit

    for _turn in range(3):  # one fault may hide another
        try:
            check(text)
        except (InputError, InputErrors) as error:
            found = [match for one in _each(error) if (match := _OFF.match(one.field))]
        else:
            return text
        anchors = {f"anchor[{match['anchor']}].at": _at(place, units) for match in found if match["anchor"]}
        document = tomlkit.parse(changed_text(text, anchors))
        for match in found:
            if match["list"]:
                document.pop(match["list"], None)
        text = tomlkit.dumps(document)
    return text


def _each(error: InputError | InputErrors) -> list[InputError]:
    if isinstance(error, InputError):
        return [error]
    return [inner for one in error.exceptions for inner in _each(one)]  # type: ignore[arg-type]


def _at(place: tuple[float, float], units: UnitSystem) -> list[str]:
    if units is UnitSystem.US:
        return [f"{length / _FOOT:.2f} ft" for length in place]
    return [f"{length:.2f} m" for length in place]
