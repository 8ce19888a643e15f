"""Buildings of an IFC model as roofs: the upper faces of its roof slabs and coverings."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError, RoofError
from ropewright.quantity import Dimension, parse_quantity
from ropewright.readers.bounded import refuses_broken
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.drawn import DrawnFace, drawn_building, merged, tops
from ropewright.readers.roof_surfaces import uncovered
from ropewright.roof.facets import area_vector
from ropewright.roof.mending.checks import ring_width
from ropewright.roof.mending.notes import Mendings

__all__ = ["read_ifc"]

Points = NDArray[np.float64]

#: Longer than this no model takes that a plan is made of. [s]
_PATIENCE = 180.0
#: Layers of one roof lie closer over each other than this; what is farther below is a roof of its own. [m]
_LAYERS = 1.5
#: Where the model does not say what is roof: this far above a level face near the building's height 0, the rest is
#: taken for roof and that face for floor. [m]
_STOREY, _NEAR_ZERO = 1.5, 0.5
#: The edge of a slab, cut square to its slope, is narrower than this. [m]
_THICK = 0.6
_WANTED = "give an IFC file whose shapes can be built"


def read_ifc(path: Path, *, length_unit: str | None = None) -> tuple[BuildingRoof, ...]:
    """Roofs of the buildings of an IFC model.

    Parameters
    ----------
    path : Path
        STEP text of IFC2X3 or later, at most 100 MB.
    length_unit : str, optional
        Unit of its lengths, such as ``m`` or ``ft``, for a model that states none.

    Returns
    -------
    tuple of BuildingRoof
        Named by their global ids, in the model's own axes, in metres, with the bearing of its +y; facets are named
        by their elements' names.

    Raises
    ------
    FileError
        If it can't be read, states no unit, holds no element with a shape, or `ifcopenshell` is not installed.

    Notes
    -----
    The roof is the IfcRoof elements with their parts, the slabs of type ROOF and the coverings of type ROOFING; in a
    building that has none of these, the slabs, plates, coverings and proxies that face up with nothing over them.
    """
    model = _model(path)
    scale = _scale(model["unit"], length_unit)
    found: dict[int | None, list[Mapping[str, Any]]] = {}
    for element in model["elements"]:
        found.setdefault(element["building"], []).append(element)
    if not found:
        raise FileError("IfcElement", "no roof, slab or covering with a shape", "give a model of a building")
    north = model["north"]
    roofs = []
    for number in sorted(found, key=lambda one: -1 if one is None else one):
        building = {} if number is None else model["buildings"][number]
        try:
            one = _building(building, found[number], scale, _north_note(north))
            roofs.append(one if north is None else replace(one, north=float(north[0])))
        except RoofError as error:
            roofs.append(BuildingRoof(_id(building), "refused", (f"{_id(building)}: {error}",)))
    return tuple(roofs)


def _model(path: Path) -> dict[str, Any]:
    """What `ropewright.readers.ifc_model` prints of a file."""
    if find_spec("ifcopenshell") is None:
        raise FileError("file", "an IFC file", "install what reads it: pip install 'ropewright[ifc]'")
    command = [sys.executable, "-P", "-m", "ropewright.readers.ifc_model", str(path.absolute())]
    try:
        done = subprocess.run(command, capture_output=True, timeout=_PATIENCE, check=False)  # noqa: S603 - no shell
    except subprocess.TimeoutExpired as error:
        raise FileError("file", f"not built within {_PATIENCE:g} s", "give a model of fewer details") from error
    if done.returncode != 0:
        raise FileError("file", f"a model that can't be built (status {done.returncode})", _WANTED)
    with refuses_broken("file", _WANTED):
        # the library may print warnings of its own before
        model: dict[str, Any] = json.loads(done.stdout[done.stdout.find(b"{") :])
    if "error" in model:
        raise FileError(*model["error"])
    return model


def _scale(stated: float | None, length_unit: str | None) -> float:
    """What the shapes, built as if in metres where no unit is stated, must be multiplied with."""
    if stated is None and length_unit is None:
        wanted = "say what its lengths are in: --length-unit m, or length_unit = 'm' in a job file"
        raise FileError("IfcUnitAssignment", "no unit of length", wanted)
    if length_unit is None:
        return 1.0
    given = parse_quantity(f"1 {length_unit}", Dimension.LENGTH, "length unit")
    if stated is None:
        return given
    if abs(stated - given) > 1e-5 * stated:
        raise FileError("length unit", length_unit, f"leave it out: the model says 1 unit = {stated:g} m")
    return 1.0


def _north_note(told: tuple[float, str] | None) -> str:
    if told is None:
        return "the model tells no north: its own +y taken for it"
    bearing, by = told
    said = f"azimuths count from north by the model's {by}"
    if bearing == 0.0:
        return said
    return f"{said}; the bearing of its own +y is {bearing:g} deg: in a job file give that as 'north' of the site"


def _building(
    building: Mapping[str, Any], elements: Sequence[Mapping[str, Any]], scale: float, north: str
) -> BuildingRoof:
    notes = Mendings()
    names = _names(elements)
    whole = {}
    for element, name in zip(elements, names, strict=True):
        if "fault" in element:
            notes.mend("elements whose shape can't be built left out, the roof has a gap there", name)
        else:
            whole[name] = _top(_faces(element, name, scale), notes)
    faces = [face for found in whole.values() for face in found]
    zero = float(building.get("zero", 0.0)) * (scale if building else 1.0)
    if not any(element["roof"] for element in elements):
        notes.mend("no element is called a roof; what faces up with nothing over it taken")
        faces = _without_floors(tops(faces, closed=False), zero, notes)
    faces = merged(_without_layers(faces, notes), notes)
    ground = _ground(building, scale, faces, notes)
    if building.get("name"):
        notes.find(f"the building's name is {building['name']!r}")
    notes.find(north)
    return drawn_building(_id(building), faces, ground, notes, tuple(whole))


def _id(building: Mapping[str, Any]) -> str:
    return str(building.get("id", "no building"))


def _names(elements: Sequence[Mapping[str, Any]]) -> list[str]:
    """Names that tell elements apart: their own, or their ids where two have one name or one has none."""
    often = Counter(element["name"] for element in elements)
    return [one["name"] if one["name"] and often[one["name"]] == 1 else one["id"] for one in elements]


def _faces(element: Mapping[str, Any], name: str, scale: float) -> list[DrawnFace]:
    points = np.array(element["points"], float).reshape(-1, 3) * scale
    triangles = np.array(element["triangles"], int).reshape(-1, 3)
    return [DrawnFace(name, (ring,)) for ring in points[triangles]]


def _top(triangles: Sequence[DrawnFace], notes: Mendings) -> list[DrawnFace]:
    """Upper faces of one element, the edges of a slab left out."""
    # triangles without area are no news in shapes that were built from solids
    up = tops(merged(triangles, Mendings()), closed=True)
    if len(up) < 2:
        return up
    largest = max(up, key=lambda face: face.area)
    normal = _normal(largest)
    kept = []
    for face in up:
        is_edge = abs(float(_normal(face) @ normal)) < 0.05 and ring_width(face.rings[0]) < _THICK
        if is_edge and face.area < 0.2 * largest.area:
            notes.find("edges of slabs cut square to their slope left out", face.name)
        else:
            kept.append(face)
    return kept


def _normal(face: DrawnFace) -> Points:
    vector = area_vector(face.rings[0])
    normal: Points = vector / np.linalg.norm(vector)
    return normal


def _without_floors(faces: Sequence[DrawnFace], zero: float, notes: Mendings) -> list[DrawnFace]:
    """Faces without level ones near the building's height 0, if the rest is a storey higher."""
    floors = {id(face) for face in faces if float(np.abs(face.rings[0][:, 2] - zero).max()) <= _NEAR_ZERO}
    rest = [face for face in faces if id(face) not in floors]
    lowest = min((float(face.rings[0][:, 2].min()) for face in rest), default=-np.inf)
    if lowest < zero + _STOREY:
        return list(faces)
    for face in faces:
        if id(face) in floors:
            notes.mend("near the building's height 0, taken as floor and not as roof", face.name)
    return rest


def _without_layers(faces: Sequence[DrawnFace], notes: Mendings) -> list[DrawnFace]:
    """Faces without those that lie close under another: a roof is built in layers."""
    kept = uncovered([face.rings for face in faces], within=_LAYERS)
    for i, face in enumerate(faces):
        if i not in kept:
            notes.mend("lies close under another face of the roof, taken as a layer of it", face.name)
    return [faces[i] for i in kept]


def _ground(building: Mapping[str, Any], scale: float, faces: Sequence[DrawnFace], notes: Mendings) -> float | None:
    if not building or not faces:
        notes.find("no ground in the model: give the height of the ground")
        return None
    terrain, foot, zero = (building[key] for key in ("terrain", "foot", "zero"))
    if terrain is not None:
        notes.find("ground taken at the terrain's height that the model gives: measure on site")
        ground = float(terrain) * scale
    else:
        # the higher is the safer one: cellar walls start below the ground
        ground = max(one for one in (foot, zero) if one is not None) * scale
        where = "foot of the lowest wall" if foot is not None and foot > zero else "building's own height 0"
        notes.find(f"the model gives no terrain: ground taken at the {where}: measure on site")
    if ground >= min(float(face.rings[0][:, 2].min()) for face in faces):
        notes.find("the roof starts below that ground: give the height of the ground")
        return None
    return ground
