"""Buildings of a DXF drawing as roofs: faces, meshes and closed polylines with height, in the drawing's own unit.

Source: the published DXF reference (group codes, ``$INSUNITS``; from memory), and what `ezdxf` makes of it.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError, RoofError
from ropewright.quantity import Dimension, parse_quantity
from ropewright.readers.bounded import bounded_bytes, refuses_broken
from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.drawn import DrawnFace, drawn_building, groups_in_plan, is_steep, merged, tops, turned_up
from ropewright.readers.dxf_faces import Drawing, faces_of
from ropewright.readers.roof_surfaces import uncovered
from ropewright.roof.mending.notes import Mendings

__all__ = ["MAX_BYTES", "read_dxf"]

Points = NDArray[np.float64]

#: A larger drawing holds more than the roofs of a site. [byte]
MAX_BYTES = 30_000_000

#: Units by the numbers of ``$INSUNITS``; US survey foot 1200/3937 m. [m]
_UNITS = {
    1: parse_quantity("1 in", Dimension.LENGTH, "unit"),
    2: parse_quantity("1 ft", Dimension.LENGTH, "unit"),
    4: 0.001,
    5: 0.01,
    6: 1.0,
    7: 1000.0,
    10: 3 * parse_quantity("1 ft", Dimension.LENGTH, "unit"),
    14: 0.1,
    21: 1200 / 3937,
}
#: Buildings farther apart than this are two. [m]
_APART = 0.5
#: A wall that starts this far below the roof stands on the ground and not on the roof. [m]
_STOREY = 1.5
#: A level face this near height 0 may be the ground it is drawn on. [m]
_ZERO = 0.005


@dataclass(frozen=True)
class _Sorted:
    """Faces of the roof, those that lie but are no roof, walls and other layers' faces; names of faces turned over."""

    roof: list[DrawnFace]
    dropped: list[DrawnFace]
    others: list[DrawnFace]
    turned: set[str]


def read_dxf(path: Path, *, length_unit: str | None = None) -> tuple[BuildingRoof, ...]:
    """Roofs of a DXF drawing in text form.

    Parameters
    ----------
    path : Path
        At most 30 MB. Model space only; nothing that it refers to is opened.
    length_unit : str, optional
        Unit of its lengths, such as ``m`` or ``ft``, for a drawing that does not say so.

    Returns
    -------
    tuple of BuildingRoof
        Each group of faces that stand together is a building, from west to east, named after the file.

    Raises
    ------
    FileError
        If it can't be read, has no unit, or no faces with height.

    Notes
    -----
    If layers have ``roof`` in their name, their faces are the roof. Else the roof is what faces up with nothing over
    it. Faces in one plane side by side are one facet.
    """
    text = _text(bounded_bytes(path, MAX_BYTES))
    drawing = _drawing(text, length_unit)
    notes = Mendings()
    for what, name in drawing.left_out:
        notes.mend(what, name)
    try:
        found = _sorted(drawing, notes)
    except RoofError as error:
        raise FileError("ENTITIES", error.value, error.expected) from error
    if not found.roof:
        shown = notes.mended[0] if notes.mended else "no face that one could stand on"
        raise FileError("ENTITIES", shown, "give 3DFACEs, meshes or closed polylines with height")
    groups = groups_in_plan(found.roof, _APART)
    names = [path.stem] if len(groups) == 1 else [f"{path.stem}-{number + 1}" for number in range(len(groups))]
    return tuple(_building(name, group, found, notes) for name, group in zip(names, groups, strict=True))


def _text(content: bytes) -> str:
    if b"Binary DXF" in content[:30]:
        raise FileError("file", "a DXF file in binary form", "save it as DXF in text form")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # before 2007 in the writer's code page; only names can be hurt by taking the wrong one
        return content.decode("cp1252", errors="replace")


def _drawing(text: str, length_unit: str | None) -> Drawing:
    try:
        from ezdxf.filemanagement import read
        from ezdxf.lldxf.const import DXFError
    except ImportError as error:
        wanted = "install what reads it: pip install 'ropewright[dxf]'"
        raise FileError("file", "a DXF file", wanted) from error
    expected = "give a DXF file in text form"
    if not text.strip():
        raise FileError("file", "an empty file", expected)
    with refuses_broken("file", expected):
        try:
            document = read(io.StringIO(text))
        except (DXFError, OSError) as error:
            raise FileError("file", str(error).split("\n", 1)[0][:120], expected) from error
        code = document.header.get("$INSUNITS", 0)
    return faces_of(document, _unit(code, length_unit))


def _unit(code: object, length_unit: str | None) -> float:
    """Metres per unit of the drawing."""
    known = _UNITS.get(code) if isinstance(code, int) else None
    given = None if length_unit is None else parse_quantity(f"1 {length_unit}", Dimension.LENGTH, "length unit")
    if known is None and given is None:
        found = "no unit" if code == 0 else code
        wanted = "say what its lengths are in: --length-unit m, or length_unit = 'm' in a job file"
        raise FileError("$INSUNITS", found, wanted)
    if known is not None and given is not None and abs(known - given) > 1e-5 * known:
        raise FileError("length unit", length_unit, f"leave it out: the drawing says 1 unit = {known:g} m ($INSUNITS)")
    return known if known is not None else given if given is not None else 1.0


def _sorted(drawing: Drawing, notes: Mendings) -> _Sorted:
    named = [face for face, layer in drawing.faces if "roof" in layer.lower()]
    candidates, turned = turned_up(named or [face for face, _ in drawing.faces])
    whole = merged(candidates, notes)
    lying = [face for face in whole if not is_steep(face)]
    if lying and not any(face.rings[0][:, 2].any() for face in lying):
        raise FileError("ENTITIES", "all faces level at height 0", "give a drawing with heights")
    if named:
        roof = [lying[i] for i in uncovered([face.rings for face in lying], within=_STOREY)]
        others = [face for face, layer in drawing.faces if "roof" not in layer.lower()]
    else:
        roof, others = _without_ground(tops(lying, closed=False)), []
        notes.find("no layer has 'roof' in its name: the roof is what faces up with nothing over it")
    if len(whole) < len(candidates):
        notes.find(f"{len(candidates)} faces drawn; those in one plane side by side taken as one")
    kept = {id(face) for face in roof}
    dropped = [face for face in lying if id(face) not in kept]
    return _Sorted(roof, dropped, [*others, *(face for face in whole if is_steep(face))], turned)


def _without_ground(roof: Sequence[DrawnFace]) -> list[DrawnFace]:
    """Leave out level faces at height 0, if the rest is a storey higher."""
    ground = [face for face in roof if float(np.abs(face.rings[0][:, 2]).max()) <= _ZERO]
    rest = [face for face in roof if all(face is not one for one in ground)]
    lowest = min((float(face.rings[0][:, 2].min()) for face in rest), default=0.0)
    return rest if lowest >= _STOREY else list(roof)


def _building(name: str, roof: Sequence[DrawnFace], found: _Sorted, notes: Mendings) -> BuildingRoof:
    own = notes.copy()
    corners = np.vstack([face.rings[0] for face in roof])
    low, high = corners[:, :2].min(axis=0) - _APART, corners[:, :2].max(axis=0) + _APART

    def here(faces: Sequence[DrawnFace]) -> list[DrawnFace]:
        plans = [(face, face.rings[0][:, :2]) for face in faces]
        return [face for face, plan in plans if (plan.max(axis=0) >= low).all() and (plan.min(axis=0) <= high).all()]

    for face in here(found.dropped):
        own.mend("faces under others, or level at height 0 under the rest, taken as no roof", face.name)
    for face in roof:
        if face.name in found.turned:
            own.mend("faced down, turned over", face.name)
    below = [float(face.rings[0][:, 2].min()) for face in here([*found.others, *found.dropped])]
    ground = min(below, default=np.inf)
    if ground > float(corners[:, 2].min()) - _STOREY:
        own.find("no ground in the drawing: give the height of the ground")
        return drawn_building(name, roof, None, own)
    own.find("ground taken at the lowest corner of walls and floors drawn: measure on site")
    return drawn_building(name, roof, ground, own)
