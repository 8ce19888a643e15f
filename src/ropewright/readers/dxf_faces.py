"""Faces of a DXF drawing's model space, blocks opened up, in metres."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import FileError
from ropewright.readers.bounded import refuses_broken
from ropewright.readers.drawn import DrawnFace

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

__all__ = ["Drawing", "faces_of"]

Points = NDArray[np.float64]

#: More entities, blocks counted as often as they are put in, and more corners than this a drawing of roofs has not:
#: blocks within blocks can make billions out of a small file.
_MOST_ENTITIES, _MOST_CORNERS = 50_000, 60_000
#: How deep blocks may lie in blocks.
_DEEPEST = 8
#: Bodies that only the program that made them can take apart.
_BODIES = frozenset({"3DSOLID", "BODY", "REGION", "SURFACE", "EXTRUDEDSURFACE", "LOFTEDSURFACE", "PLANESURFACE"})


@dataclass
class Drawing:
    """Faces with the layer of each, and what could not be read: what it was, and its name."""

    faces: list[tuple[DrawnFace, str]] = field(default_factory=list)
    left_out: list[tuple[str, str]] = field(default_factory=list)


def faces_of(document: Document, unit: float) -> Drawing:
    """Faces of the model space of a drawing.

    Parameters
    ----------
    document : ezdxf.document.Drawing
    unit : float
        Metres per unit of the drawing. [m]

    Raises
    ------
    FileError
        If there are too many entities, or one is broken.
    """
    found = Drawing()
    hidden = _hidden_layers(document)
    corners = entities = 0
    walk = _entities(document.modelspace(), "0", "", 0)
    while True:
        with refuses_broken("ENTITIES", "give a drawing that its program can audit without faults"):
            entity, layer, name = next(walk, (None, "", ""))
        if entity is None:
            return found
        entities += 1
        if entities > _MOST_ENTITIES:
            raise FileError("ENTITIES", f"more than {_MOST_ENTITIES}", "give a drawing of the roof alone")
        if layer.lower() in hidden:
            found.left_out.append(("what lies on layers switched off or frozen left out", layer))
            continue
        with refuses_broken(f"{name} on layer {layer!r}"[:120], "give an entity with coordinates"):
            outcome = _rings(entity)
        if isinstance(outcome, str):
            found.left_out.append((outcome, name))
            continue
        for number, ring in enumerate(outcome):
            corners += len(ring)
            if corners > _MOST_CORNERS:
                raise FileError("ENTITIES", f"more than {_MOST_CORNERS} corners", "give a drawing of the roof alone")
            label = name if len(outcome) == 1 else f"{name}, face {number + 1}"
            found.faces.append((DrawnFace(label, (_in_metres(ring, unit, label),)), layer))


def _in_metres(ring: Points, unit: float, label: str) -> Points:
    points = ring * unit
    if not (np.abs(points) <= 1e8).all():  # also catches nan
        raise FileError(label, "a corner that is no place on a map", "give coordinates and the unit they are in")
    return points


def _hidden_layers(document: Document) -> frozenset[str]:
    with refuses_broken("TABLES", "give a DXF file with a table of layers"):
        return frozenset(one.dxf.name.lower() for one in document.layers if one.is_off() or one.is_frozen())


def _entities(group: Iterable[Any], layer: str, inside: str, depth: int) -> Iterator[tuple[Any, str, str]]:
    """Entities with their layer and name; what is in a block on layer 0 lies on the layer of the block."""
    for number, entity in enumerate(group, 1):
        own = str(entity.dxf.get("layer", "0"))
        own = layer if own == "0" else own
        kind = entity.dxftype()
        name = f"{inside}{kind} {number if inside else entity.dxf.get('handle') or number}"
        if kind != "INSERT":
            yield entity, own, name
        elif depth >= _DEEPEST:
            raise FileError(name[:120], f"blocks {_DEEPEST} deep", "give a drawing with its blocks opened up")
        else:
            block = entity.block()
            if block is None or block.block.is_xref:
                yield _NoEntity(), own, name
                continue
            for one in entity.multi_insert() if entity.mcount > 1 else (entity,):
                yield _Passed(), own, name  # counts, so that empty blocks put in a million times end too
                yield from _entities(one.virtual_entities(), own, f"{name}, ", depth + 1)


class _NoEntity:
    """Stands for a block that lies in another file."""

    def dxftype(self) -> str:
        return "another file"


class _Passed:
    """Stands for a block that is opened up."""

    def dxftype(self) -> str:
        return "block"


def _rings(entity: Any) -> list[Points] | str:
    """Outlines of the faces of an entity, in the drawing's unit; or why there are none that should be."""
    kind = entity.dxftype()
    if kind == "3DFACE":
        return [_array(entity.wcs_vertices())]
    if kind == "POLYLINE":
        return _polyline(entity)
    if kind == "LWPOLYLINE":
        return _closed(_array(entity.vertices_in_wcs()), closed=bool(entity.closed), arcs=bool(entity.has_arc))
    if kind == "MESH":
        vertices = _array(entity.vertices)
        return [vertices[_indices(face, len(vertices))] for face in entity.faces]
    if kind in _BODIES:
        return "bodies left out, which only the program that made them can take apart: explode them into faces"
    return "blocks that lie in another file left out; it is not opened" if kind == "another file" else []


def _polyline(entity: Any) -> list[Points] | str:
    if entity.is_poly_face_mesh or entity.is_polygon_mesh:
        return [_array(face.wcs_vertices()) for face in entity.virtual_entities() if face.dxftype() == "3DFACE"]
    points = _array(entity.points_in_wcs())
    return _closed(points, closed=bool(entity.is_closed), arcs=bool(entity.has_arc), in_space=entity.is_3d_polyline)


def _closed(points: Points, *, closed: bool, arcs: bool, in_space: bool = False) -> list[Points] | str:
    """Outline of a closed polyline; lines that don't close are no faces."""
    if len(points) > 3 and (points[0] == points[-1]).all():
        points, closed = points[:-1], True
    if not closed or len(points) < 3:
        return "polylines in space that don't close left out" if in_space else []
    return "outlines with arcs left out: draw them with straight sides" if arcs else [points]


def _array(vertices: Iterable[Any]) -> Points:
    return np.array([tuple(vertex) for vertex in vertices], float).reshape(-1, 3)


def _indices(face: Iterable[int], count: int) -> list[int]:
    indices = [int(index) for index in face]
    if not all(0 <= index < count for index in indices):
        raise IndexError(f"a face points at a corner that is not there: {indices}")
    return indices
