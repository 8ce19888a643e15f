"""Roofs out of drawings and building models, which hold more than a roof: walls, floors, undersides."""

from __future__ import annotations

import dataclasses
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.readers.building_roof import BuildingRoof, roof_of_surfaces
from ropewright.readers.city_geometry import Geometry, Surface
from ropewright.readers.faces import merged_faces
from ropewright.readers.roof_surfaces import roof_by_slope
from ropewright.roof.facets import area_vector, ring_area
from ropewright.roof.measured import STEEP_PITCH
from ropewright.roof.mending.notes import Mendings

__all__ = ["DrawnFace", "drawn_building", "groups_in_plan", "is_steep", "merged", "tops", "turned_up"]

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DrawnFace:
    """A face of a drawing: its name and its rings, shape (n, 3) each, the first its outline. [m]"""

    name: str
    rings: tuple[Points, ...]

    @property
    def area(self) -> float:
        """Area inside its outline. [m2]"""
        return ring_area(self.rings[0])


def is_steep(face: DrawnFace) -> bool:
    """Tell whether a face is a wall rather than a roof."""
    vector = area_vector(face.rings[0])
    return bool(abs(vector[2]) < math.hypot(*vector.tolist()) * math.cos(math.radians(STEEP_PITCH)))


def turned_up(faces: Sequence[DrawnFace]) -> tuple[list[DrawnFace], set[str]]:
    """Faces with those turned over that face down, and the names of these; walls stay as they are."""
    turned = {i for i, face in enumerate(faces) if area_vector(face.rings[0])[2] < 0 and not is_steep(face)}
    up = [
        DrawnFace(face.name, tuple(ring[::-1] for ring in face.rings)) if i in turned else face
        for i, face in enumerate(faces)
    ]
    return up, {faces[i].name for i in turned}


def merged(faces: Sequence[DrawnFace], notes: Mendings) -> list[DrawnFace]:
    """Faces with those joined that lie in one plane side by side, named after the largest of them."""
    found: list[DrawnFace] = []
    used: set[int] = set()
    for face in merged_faces([face.rings for face in faces]):
        largest = max(face.members, key=lambda i: faces[i].area)
        found.append(DrawnFace(faces[largest].name, (face.ring, *face.holes)))
        used.update(face.members)
    for number in range(len(faces)):
        if number not in used:
            notes.mend("faces without area, or that stood twice, dropped", faces[number].name)
    return found


def tops(faces: Sequence[DrawnFace], *, closed: bool) -> list[DrawnFace]:
    """Faces that face up and have nothing over them.

    Parameters
    ----------
    faces : sequence of DrawnFace
    closed : bool
        They bound a body, so that those that face down are its underside; else either side may be drawn.
    """
    count, surfaces = 0, []
    for number, face in enumerate(faces):
        rings = []
        for ring in face.rings:
            rings.append(tuple(range(count, count + len(ring))))
            count += len(ring)
        surfaces.append(Surface(str(number), None, tuple(rings)))
    if not surfaces:
        return []
    vertices = np.vstack([ring for face in faces for ring in face.rings])
    found = roof_by_slope([Geometry(2.0, closed, tuple(surfaces))], vertices)
    return [faces[int(surface.id)] for surface in found]


def groups_in_plan(faces: Sequence[DrawnFace], gap: float) -> list[list[DrawnFace]]:
    """Faces sorted into buildings: those whose extents in plan come within `gap` [m] of each other are of one.

    Groups come from west to east, faces in the order given.
    """
    lows = np.array([face.rings[0][:, :2].min(axis=0) for face in faces])
    highs = np.array([face.rings[0][:, :2].max(axis=0) for face in faces])
    left, groups = set(range(len(faces))), []
    while left:
        waiting = [min(left, key=lambda i: lows[i].tolist())]
        group = set(waiting)
        left -= group
        while waiting:
            one = waiting.pop()
            near = (lows <= highs[one] + gap).all(axis=1) & (highs >= lows[one] - gap).all(axis=1)
            new = left.intersection(np.flatnonzero(near).tolist())
            left -= new
            group |= new
            waiting += new
        groups.append([faces[i] for i in sorted(group)])
    return groups


def drawn_building(
    name: str, faces: Sequence[DrawnFace], ground: float | None, notes: Mendings, parts: Sequence[str] = ()
) -> BuildingRoof:
    """Building of the faces of its roof; refused, with the reason as its note, if they can't make one.

    Parameters
    ----------
    name : str
        Id of the building.
    faces : sequence of DrawnFace
    ground : float or None
        Height of the ground. [m]
    notes : Mendings
        What was mended and found so far.
    parts : sequence of str
        Names of what the faces were taken from.
    """
    try:
        roof, found = roof_of_surfaces(name, [(n, f.rings[0], f.rings[1:]) for n, f in _named_apart(faces)], notes)
    except RoofError as error:
        return BuildingRoof(name, "refused", (str(error), *notes.mended))
    mended = notes.mended + roof.notes
    return BuildingRoof(
        id=name,
        status="mended" if mended else "read",
        notes=(*mended, *found, *notes.found),
        roof=dataclasses.replace(roof, notes=()),
        ground=ground,
        parts=tuple(parts),
    )


def _named_apart(faces: Sequence[DrawnFace]) -> list[tuple[str, DrawnFace]]:
    """Faces under names of their own: what stands twice gets a number."""
    total = Counter(face.name for face in faces)
    so_far: Counter[str] = Counter()
    named = []
    for face in faces:
        so_far[face.name] += 1
        named.append((f"{face.name}/{so_far[face.name]}" if total[face.name] > 1 else face.name, face))
    return named
