"""One building of a city model, its parts taken together: its roof and its ground."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.readers.building_roof import BuildingRoof, RoofSurface, roof_of_surfaces
from ropewright.readers.city_geometry import Geometry, Surface, best_geometry
from ropewright.readers.roof_surfaces import roof_by_meaning, roof_by_slope
from ropewright.roof import Roof
from ropewright.roof.mending.notes import Mendings

__all__ = ["building_roof"]

Points = NDArray[np.float64]

#: A model with less detail than this has blocks, whose flat tops are no roofs.
_ROOF_LOD = 2.0
#: Ground heights this near each other agree. [m]
_SAME_GROUND = 0.25
#: Attributes in which some publishers of city models put the height of the terrain. [m]
_TERRAIN_HEIGHTS = ("h_maaiveld", "TerrainHeight")
#: Among more surfaces than this no roof is looked for by slope: the work grows with their square. [-]
_MOST_SURFACES = 3_000


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
    best = {part: best_geometry(part, thing, len(vertices)) for part, thing in things.items()}
    detailed = _detailed(name, best, notes)
    surfaces = _roof_surfaces(name, list(detailed.values()), vertices, notes)
    made, found = roof_of_surfaces(name, [_corners(surface, vertices) for surface in surfaces], notes)
    ground = _ground(detailed.values(), things.values(), made, vertices, notes)
    mended = notes.mended + made.notes
    return BuildingRoof(
        id=name,
        status="mended" if mended else "read",
        notes=(*mended, *found, *notes.found, *file_notes),
        roof=dataclasses.replace(made, notes=()),
        ground=ground,
        lod=max(geometry.lod for geometry in detailed.values()),
        parts=tuple(detailed),
    )


def _corners(surface: Surface, vertices: Points) -> RoofSurface:
    ring, *holes = (vertices[list(ring)].reshape(-1, 3) for ring in surface.rings)
    return surface.id, ring, holes


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
