"""A roof from facets that were measured one by one: by tape, by survey or out of a city model."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence, Sized
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.errors import RoofError
from ropewright.roof.mending.checks import STEEP_PITCH, Piece, best_plane, checked_piece, is_degenerate
from ropewright.roof.mending.edging import edged
from ropewright.roof.mending.joining import drop_straight_corners, join_edges, welded
from ropewright.roof.mending.notes import Mendings
from ropewright.roof.mending.plan import inside, interior_point, segments
from ropewright.roof.mending.planes import flatten
from ropewright.roof.surface import Roof

__all__ = [
    "OPENING_MIN_SIZE",
    "STEEP_PITCH",
    "TOLERANCE",
    "MeasuredFacet",
    "MeasuredRoof",
    "is_degenerate",
    "measured_roof",
    "roof_from_facets",
]

Points = NDArray[np.float64]

#: A facet as it was measured: its id, its corners (n, 3) and its holes (k, 3) each. [m]
MeasuredFacet = tuple[str, ArrayLike, Sequence[ArrayLike]]

#: Corners nearer than this are taken as one; what a tape and a steady hand reach on a roof (judgement). [m]
TOLERANCE = 0.02
#: Least dimension that makes a gap in a roof a hole: 29 CFR 1926.500(b), 2 in (5.1 cm), from memory; rounded down. [m]
OPENING_MIN_SIZE = 0.05
#: A surface that faces down this near under another is the underside of that one. [m]
_UNDERSIDE = 1.5
#: More than this one roof, and one ring of it, can't have: the work grows with their square, and the largest church
#: among a thousand real buildings had 165 facets. [-]
_MOST_FACETS, _MOST_CORNERS, _MOST_IN_RING = 1_500, 6_000, 1_000


@dataclass(frozen=True)
class MeasuredRoof:
    """A roof with what had to be changed (`mended`) and how the rest was understood (`found`)."""

    roof: Roof
    mended: tuple[str, ...]
    found: tuple[str, ...]


def roof_from_facets(
    facets: Sequence[MeasuredFacet],
    *,
    tolerance: float = TOLERANCE,
    plane_tolerance: float | None = None,
    opening_min_size: float = OPENING_MIN_SIZE,
) -> Roof:
    """Roof from measured facets, its edges found, typed and named.

    Parameters
    ----------
    facets : sequence of (id, ring, holes)
        Id, unique; corners in the order in which one walks round, shape (n, 3), the first not repeated; holes in it,
        shape (k, 3) each. [m]
    tolerance : float
        Corners this near each other, and corners this near a neighbour's edge, are joined; above 0. [m]
    plane_tolerance : float, optional
        How far off its plane a corner may be; None: `tolerance`. [m]
    opening_min_size : float
        Empty holes narrower than this are closed. [m]

    Returns
    -------
    Roof
        Coordinates as given but for what was mended. `notes` says what was mended and how the rest was understood.
        A ring may keep a corner in a straight line where a neighbour's edge ends or where an edge changes its type.

    Raises
    ------
    RoofError
        If there is no facet to stand on, an id stands twice, or a facet has no area, is out of plane beyond the
        tolerance, crosses itself or has a hole outside its outline.
    ValueError
        If a tolerance is not above 0.

    Notes
    -----
    Surfaces steeper than 80 deg are set aside as walls. Facets that face down are turned over, or, close under
    another, set aside as its underside. Slivers no wider than the tolerance are dropped.

    An edge of one facet alone is an eave, high eave or rake, and a fall edge, unless something is found beyond it:
    a facet at the same height within 0.05 m (the roof goes on) or a higher one that ends there (a wall goes up). A
    higher facet that hangs over the edge is no wall. Neighbouring buildings are not looked at.

    Examples
    --------
    >>> south = [[0, 0, 3], [8, 0, 3], [8, 4, 6], [0, 4, 6]]
    >>> north = [[8, 8, 3], [0, 8, 3], [0, 4, 6], [8, 4, 6]]
    >>> roof = roof_from_facets([("south", south, ()), ("north", north, ())])
    >>> [edge.name for edge in roof.edges][:4]
    ['south eave', 'east rake', 'ridge', 'west rake']
    """
    found = measured_roof(
        facets, tolerance=tolerance, plane_tolerance=plane_tolerance, opening_min_size=opening_min_size
    )
    return dataclasses.replace(found.roof, notes=found.mended + found.found)


def measured_roof(
    facets: Sequence[MeasuredFacet],
    *,
    tolerance: float = TOLERANCE,
    plane_tolerance: float | None = None,
    opening_min_size: float = OPENING_MIN_SIZE,
) -> MeasuredRoof:
    """Roof from measured facets as `roof_from_facets` makes it, with the two kinds of notes told apart."""
    flat_within = tolerance if plane_tolerance is None else plane_tolerance
    if not (tolerance > 0 and flat_within > 0):
        raise ValueError(f"tolerances must be above 0 m, got {tolerance:g} m and {flat_within:g} m")
    _check_ids_and_size(facets)
    notes = Mendings()
    pieces = [
        checked_piece(name, ring, holes, plane_tolerance=flat_within, notes=notes) for name, ring, holes in facets
    ]
    standing = _set_aside(pieces, notes)
    # corners are taken from a point nearby, so that map coordinates of millions of metres cost no digits
    origin = np.floor(np.vstack([piece.rings[0] for piece in standing]).min(axis=0))
    for piece in standing:
        piece.rings = [ring - origin for ring in piece.rings]
    joined = welded(standing, tolerance=tolerance, notes=notes)
    join_edges(joined, tolerance=tolerance, notes=notes)
    drop_straight_corners(joined)
    flatten(joined, tolerance=flat_within, notes=notes)
    if not list(joined.roofs):
        raise RoofError("facets", "none wide enough to stand on", f"give facets wider than {tolerance:g} m")
    roof = edged(joined, origin, opening_min_size=opening_min_size, notes=notes)
    return MeasuredRoof(roof, notes.mended, notes.found)


def _check_ids_and_size(facets: Sequence[MeasuredFacet]) -> None:
    ids = [name for name, _, _ in facets]
    twice = next((name for i, name in enumerate(ids) if name in ids[:i]), None)
    if twice is not None:
        raise RoofError(f"facet {twice}", "an id that stands twice", "give each facet an id of its own")
    rings = [len(one) for _, ring, holes in facets for one in (ring, *holes) if isinstance(one, Sized)]
    if len(facets) > _MOST_FACETS or sum(rings) > _MOST_CORNERS or max(rings, default=0) > _MOST_IN_RING:
        found = f"{len(facets)} with {sum(rings)} corners, {max(rings)} in one ring"
        most = f"give at most {_MOST_FACETS} facets with {_MOST_CORNERS} corners, {_MOST_IN_RING} in one ring"
        raise RoofError("facets", found, f"{most}; split the roof")


def _set_aside(pieces: Sequence[Piece], notes: Mendings) -> list[Piece]:
    """Pieces without the undersides of others; walls stay among them, marked, and are noted."""
    kept = []
    roofs = [piece for piece in pieces if not piece.steep]
    if not roofs:
        raise RoofError("facets", "no facet that one could stand on", "give at least one facet less than 80 deg steep")
    for piece in pieces:
        if piece.steep:
            notes.mend("steeper than 80 deg, taken as wall and not as roof", piece.id)
        elif piece.turned and _is_underside(piece, roofs):
            notes.mend("faces down close under another facet, taken as its underside", piece.id)
            continue
        elif piece.turned:
            notes.mend("faced down, turned over", piece.id)
        kept.append(piece)
    return kept


def _is_underside(piece: Piece, roofs: Sequence[Piece]) -> bool:
    spot = interior_point(piece.rings)
    height = _height(piece, spot)
    over = (roof for roof in roofs if not roof.turned and inside(segments(roof.rings), spot[None])[0])
    return any(0 < _height(roof, spot) - height < _UNDERSIDE for roof in over)


def _height(piece: Piece, spot: Points) -> float:
    centre, normal, _ = best_plane(piece.rings[0])
    away = (spot - centre[:2]) @ normal[:2]
    return float(centre[2] - away / normal[2])
