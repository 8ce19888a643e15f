"""One building of a city model, its parts taken together: its roof, its ground, and what was mended or is doubtful."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.readers.city_geometry import Geometry, Surface, best_geometry
from ropewright.readers.roof_surfaces import roof_by_meaning, roof_by_slope
from ropewright.roof import Roof
from ropewright.roof.facets import facet_area, facet_pitch
from ropewright.roof.measured import is_degenerate, measured_roof
from ropewright.roof.mending.notes import Mendings

__all__ = ["PLANE_TOLERANCE", "BuildingRoof", "building_roof"]

Points = NDArray[np.float64]

#: How far off its plane a corner may be. More than on a roof measured by tape: city models are made from heights that
#: err by a decimetre, and files keep surfaces 2.5 cm out of plane (judgement). [m]
PLANE_TOLERANCE = 0.05
#: A model with less detail than this has blocks, whose flat tops are no roofs.
_ROOF_LOD = 2.0
#: Ground heights this near each other agree. [m]
_SAME_GROUND = 0.25
#: Attributes in which some publishers of city models put the height of the terrain. [m]
_TERRAIN_HEIGHTS = ("h_maaiveld", "TerrainHeight")
#: Among more surfaces than this no roof is looked for by slope: the work grows with their square. [-]
_MOST_SURFACES = 3_000
#: A building smaller than this in plan was not given in metres. [m]
_SMALLEST = 0.1


@dataclass(frozen=True)
class BuildingRoof:
    """What could be read of one building.

    Parameters
    ----------
    id : str
        Id of the building in the file.
    status : str
        ``read``, ``mended`` or ``refused``.
    notes : tuple of str
        What was mended, how the rest was understood and what is doubtful; or why it was refused.
    roof : Roof or None
        In the file's coordinates; facets are named by their object's id and their number in it. Its own notes are
        among `notes`. None if refused.
    ground : float or None
        Lowest corner of its ground surfaces, in the file's heights; None if it has none. [m]
    lod : float or None
        Level of detail that was read.
    parts : tuple of str
        Ids of the objects that its roof was taken from.
    """

    id: str
    status: str
    notes: tuple[str, ...]
    roof: Roof | None = None
    ground: float | None = None
    lod: float | None = None
    parts: tuple[str, ...] = ()

    @property
    def eave_height(self) -> float | None:
        """Lowest corner of the largest pitched facet (5 to 75 deg), or of a flat roof, above the ground [m]."""
        if self.roof is None or self.ground is None:
            return None
        pitched = [facet for facet in self.roof.facets if 5.0 <= facet_pitch(facet) <= 75.0]
        if pitched:
            return float(max(pitched, key=facet_area).ring[:, 2].min()) - self.ground
        return min(float(facet.ring[:, 2].min()) for facet in self.roof.facets) - self.ground


def building_roof(
    name: str, things: Mapping[str, Mapping[str, Any]], vertices: Points, file_notes: Sequence[str] = ()
) -> BuildingRoof:
    """Roof of a building from its own geometry and that of its parts.

    Parameters
    ----------
    name : str
        Id of the building.
    things : mapping of id to object
        The building and its parts as the file has them.
    vertices : array, shape (n, 3)
        Corners that their geometries point at. [m]
    file_notes : sequence of str
        Doubts that touch all buildings of the file.

    Returns
    -------
    BuildingRoof
        Refused, with the reason as its note, if it has no roof that can be used.
    """
    try:
        return _read(name, things, vertices, file_notes)
    except RoofError as error:
        return BuildingRoof(name, "refused", (str(error),))


def _read(
    name: str, things: Mapping[str, Mapping[str, Any]], vertices: Points, file_notes: Sequence[str]
) -> BuildingRoof:
    notes = Mendings()
    found = {part: best_geometry(part, thing, len(vertices)) for part, thing in things.items()}
    detailed = _detailed(name, found, notes)
    surfaces = _roof_surfaces(name, list(detailed.values()), vertices, notes)
    facets = [(s.id, *_without_repeats(s, vertices, notes)) for s in surfaces]
    whole = [facet for facet in facets if not is_degenerate(facet[1])]
    for surface_id, _, _ in (facet for facet in facets if is_degenerate(facet[1])):
        notes.mend("roof surfaces without area dropped", surface_id)
    if not whole:
        raise RoofError(name, "no roof surface with an area", "give a building with a roof")
    _check_size(name, whole)
    made = measured_roof(whole, plane_tolerance=PLANE_TOLERANCE)
    ground = _ground(detailed.values(), things.values(), made.roof, vertices, notes)
    mended = notes.mended + made.mended
    return BuildingRoof(
        id=name,
        status="mended" if mended else "read",
        notes=(*mended, *made.found, *notes.found, *file_notes),
        roof=dataclasses.replace(made.roof, notes=()),
        ground=ground,
        lod=max(geometry.lod for geometry in detailed.values()),
        parts=tuple(detailed),
    )


def _detailed(name: str, found: Mapping[str, Geometry | None], notes: Mendings) -> dict[str, Geometry]:
    """Geometries that are more than blocks; what is left out for its lack of detail is noted."""
    there = {part: geometry for part, geometry in found.items() if geometry is not None}
    detailed = {part: geometry for part, geometry in there.items() if geometry.lod >= _ROOF_LOD}
    if detailed:
        for part in there.keys() - detailed.keys() - {name}:
            notes.mend("parts without a roof shape left out, the roof has a gap there", part)
        return detailed
    if not there:
        raise RoofError(name, "no geometry made of surfaces", "give a building with a roof")
    lod = max(geometry.lod for geometry in there.values())
    kind = "a footprint" if lod < 1 else "a block"
    wanted = "give a model of level of detail 2 or more; a block's flat top says nothing of the roof"
    raise RoofError(name, f"no roof surface, only {kind} (level of detail {lod:g})", wanted)


def _roof_surfaces(name: str, geometries: Sequence[Geometry], vertices: Points, notes: Mendings) -> list[Surface]:
    named = roof_by_meaning(geometries)
    if named:
        unnamed = [s for geometry in geometries for s in geometry.surfaces if s.meaning is None]
        for surface in unnamed:
            notes.find("surfaces without a meaning left out", surface.id)
        return named
    count = sum(len(geometry.surfaces) for geometry in geometries)
    if count > _MOST_SURFACES:
        raise RoofError(name, f"{count} surfaces of which none is called a roof", f"give at most {_MOST_SURFACES}")
    by_slope = roof_by_slope(geometries, vertices)
    if not by_slope:
        raise RoofError(name, "no roof surface", "give a building with surfaces of type RoofSurface")
    for surface in by_slope:
        notes.mend("no surface is called a roof; those that face up with nothing over them taken", surface.id)
    return by_slope


def _without_repeats(surface: Surface, vertices: Points, notes: Mendings) -> tuple[Points, list[Points]]:
    """Corners of a surface; rings closed by repeating their first corner are opened, empty holes left out."""
    rings = []
    for ring in surface.rings:
        opened = ring[:-1] if len(ring) > 1 and ring[0] == ring[-1] else ring
        if len(opened) < len(ring):
            notes.mend("rings closed by repeating their first corner opened", surface.id)
        rings.append(vertices[list(opened)].reshape(-1, 3))
    return rings[0], [hole for hole in rings[1:] if not is_degenerate(hole)]


def _check_size(name: str, facets: Sequence[tuple[str, Points, list[Points]]]) -> None:
    corners = np.vstack([ring for _, ring, _ in facets])
    wide = float((corners.max(axis=0) - corners.min(axis=0))[:2].max())
    if wide < _SMALLEST:
        raise RoofError(name, f"a roof {wide:g} wide", "give coordinates in metres; these look like degrees")


def _ground(
    geometries: Sequence[Geometry] | Any,
    things: Any,
    roof: Roof,
    vertices: Points,
    notes: Mendings,
) -> float | None:
    """Lowest corner of the ground surfaces, with what speaks against taking it for the ground."""
    corners = [c for g in geometries for s in g.surfaces if s.meaning == "GroundSurface" for r in s.rings for c in r]
    if not corners:
        notes.find("no ground surface: give the height of the ground")
        return None
    ground = float(vertices[corners, 2].min())
    notes.find("ground taken at the lowest corner of the ground surface, which some publishers sink: measure on site")
    lowest = min(float(facet.ring[:, 2].min()) for facet in roof.facets)
    if lowest <= ground:
        notes.find(f"the lowest corner of the roof lies {ground - lowest:.2f} m below the ground surface")
    for thing in things:
        attributes = thing.get("attributes")
        for key in _TERRAIN_HEIGHTS:
            terrain = attributes.get(key) if isinstance(attributes, dict) else None
            if isinstance(terrain, (int, float)) and _SAME_GROUND < abs(terrain - ground) < math.inf:
                side = "above" if terrain > ground else "below"
                notes.find(f"the file's {key} of {terrain:.2f} m lies {abs(terrain - ground):.2f} m {side} that ground")
    return ground
