"""One building out of a file: its roof, its ground, and what was mended or is doubtful; made of its surfaces."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof import Roof
from ropewright.roof.facets import facet_area, facet_pitch
from ropewright.roof.measured import is_degenerate, measured_roof
from ropewright.roof.mending.notes import Mendings

__all__ = ["PLANE_TOLERANCE", "BuildingRoof", "RoofSurface", "roof_of_surfaces"]

Points = NDArray[np.float64]

#: A surface of a roof: its name, its outline, shape (n, 3), and the holes in it. [m]
RoofSurface = tuple[str, Points, Sequence[Points]]

#: How far off its plane a corner may be. More than on a roof measured by tape: city models are made from heights that
#: err by a decimetre, and files keep surfaces 2.5 cm out of plane (judgement). [m]
PLANE_TOLERANCE = 0.05
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
        In the file's coordinates; facets are named as the file names them, or by their object's id and their number
        in it. Its own notes are among `notes`. None if refused.
    ground : float or None
        Height of the ground as its reader understood the file, in the file's heights; None if it says nothing. [m]
    lod : float or None
        Level of detail that was read; None where the format has none.
    parts : tuple of str
        Ids of the objects that its roof was taken from.
    north : float
        Bearing of the roof's +y, clockwise from north, as the file says it; 0 where it says nothing. [deg]
    """

    id: str
    status: str
    notes: tuple[str, ...]
    roof: Roof | None = None
    ground: float | None = None
    lod: float | None = None
    parts: tuple[str, ...] = ()
    north: float = 0.0

    @property
    def eave_height(self) -> float | None:
        """Lowest corner of the largest pitched facet (5 to 75 deg), or of a flat roof, above the ground [m]."""
        if self.roof is None or self.ground is None:
            return None
        pitched = [facet for facet in self.roof.facets if 5.0 <= facet_pitch(facet) <= 75.0]
        if pitched:
            return float(max(pitched, key=facet_area).ring[:, 2].min()) - self.ground
        return min(float(facet.ring[:, 2].min()) for facet in self.roof.facets) - self.ground


def roof_of_surfaces(name: str, surfaces: Sequence[RoofSurface], notes: Mendings) -> tuple[Roof, tuple[str, ...]]:
    """Roof of surfaces that a file calls roof, and how it was understood.

    Parameters
    ----------
    name : str
        Id of the building.
    surfaces : sequence of (name, outline, holes)
        Corners in metres; an outline may repeat its first corner at its end.
    notes : Mendings
        What is dropped here is noted in it.

    Returns
    -------
    roof : Roof
        Its own notes are what was mended in it.
    found : tuple of str
        How the rest was understood.

    Raises
    ------
    RoofError
        If nothing is left to stand on, a surface can't be mended, or the coordinates are no metres.
    """
    facets = [(surface, *_without_repeats(surface, ring, holes, notes)) for surface, ring, holes in surfaces]
    whole = [facet for facet in facets if not is_degenerate(facet[1])]
    for surface, _, _ in (facet for facet in facets if is_degenerate(facet[1])):
        notes.mend("roof surfaces without area dropped", surface)
    if not whole:
        raise RoofError(name, "no roof surface with an area", "give a building with a roof")
    _check_size(name, whole)
    made = measured_roof(whole, plane_tolerance=PLANE_TOLERANCE)
    return dataclasses.replace(made.roof, notes=made.mended), made.found


def _without_repeats(
    surface: str, ring: Points, holes: Sequence[Points], notes: Mendings
) -> tuple[Points, list[Points]]:
    """Corners of a surface; rings closed by repeating their first corner are opened, empty holes left out."""
    rings = []
    for one in (ring, *holes):
        closed = len(one) > 1 and bool((one[0] == one[-1]).all())
        if closed:
            notes.mend("rings closed by repeating their first corner opened", surface)
        rings.append(one[:-1] if closed else one)
    return rings[0], [hole for hole in rings[1:] if not is_degenerate(hole)]


def _check_size(name: str, facets: Sequence[RoofSurface]) -> None:
    corners = np.vstack([ring for _, ring, _ in facets])
    wide = float((corners.max(axis=0) - corners.min(axis=0))[:2].max())
    if wide < _SMALLEST:
        raise RoofError(name, f"a roof {wide:g} wide", "give coordinates in metres; these look like degrees")
