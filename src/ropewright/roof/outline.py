"""A roof from the outline of its walls and the pitch of each side: flat, shed, gable or hip."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from numpy.typing import ArrayLike

from ropewright.errors import RoofError
from ropewright.roof.outline_edges import Slope, facets_and_edges
from ropewright.roof.outline_gables import gables_of
from ropewright.roof.outline_proof import prove_roof
from ropewright.roof.outline_rings import corner_text
from ropewright.roof.outline_sides import Outline, overhung, read_outline, without_straight_corners
from ropewright.roof.outline_single import single_slope
from ropewright.roof.skeleton import Skeleton, SkeletonError, straight_skeleton
from ropewright.roof.surface import Edge, EdgeType, Roof

__all__ = ["FORMS", "roof_from_outline"]

#: Forms of roof that an outline can carry.
FORMS = ("flat", "shed", "gable", "hip")
#: At this pitch a slope is a wall. [deg]
STEEPEST = 85.0
#: Two slopes whose directions make a cosine this near 1 face the same way. [-]
ONE_WAY = 1e-14


def roof_from_outline(
    outline: ArrayLike,
    *,
    form: str,
    pitches: Sequence[float],
    eave_height: float,
    overhang: float = 0.0,
    gable_sides: Sequence[int] = (),
    high_side: int | None = None,
    holes: Sequence[ArrayLike] = (),
) -> Roof:
    """Roof over the outline of the walls.

    Parameters
    ----------
    outline : array, shape (n, 2)
        Corners of the walls, either way round, the first not repeated; side i runs from corner i to i + 1. [m]
    form : str
        ``flat``: one surface, level or with one slight slope; ``shed``: one slope that rises to `high_side`; ``gable``:
        slopes over all sides but the gables; ``hip``: slopes over all sides.
    pitches : sequence of float
        Pitch over each side, counted through the outline and then the holes; or one for all. Under a gable it is not
        looked at; a flat or shed roof has one. Above 0 and below 85, a flat roof from 0. [deg]
    eave_height : float
        Height of the roof's lower edge itself, out at the end of the overhang: what one would fall from. The same over
        all sides, so that under slopes of unlike pitch the steeper stands higher over its wall. [m]
    overhang : float
        Level distance from the walls out to the roof's edge, 0 or more, the same at eaves and rakes. [m]
    gable_sides : sequence of int
        With ``gable``: sides that end in a gable, from 0. Empty: the two short sides of a rectangle; on any other plan
        of right angles the ends of its wings.
    high_side : int, optional
        With ``shed`` and a sloping ``flat``: the side that the slope rises to, at right angles.
    holes : sequence of arrays, shape (k, 2)
        Courtyards or shafts: roof edges all round, with the same overhang. [m]

    Returns
    -------
    Roof
        Facets and edges named by the compass, +y being north. Facets that lie in one plane on both sides of a wing are
        one facet.

    Raises
    ------
    RoofError
        If the outline crosses itself, has no area, fewer than three corners or one corner twice; a pitch is out of
        range; the gables leave no roof; the overhang makes edges meet; or the sides leave no single roof.

    Notes
    -----
    Slopes rise from the roof's edge until they meet: the weighted straight skeleton of the roof's outline. Corners on
    a straight side are left out where both parts have the same pitch.

    Examples
    --------
    >>> walls = [(0, 0), (10, 0), (10, 6), (0, 6)]
    >>> roof = roof_from_outline(walls, form="gable", pitches=[45], eave_height=3.0)
    >>> [facet.id for facet in roof.facets]
    ['south', 'north']
    >>> [(edge.name, round(edge.length, 3)) for edge in roof.edges][:3]
    [('south eave', 10.0), ('north eave', 10.0), ('east rake (south side)', 4.243)]
    """
    _check_numbers(form, eave_height, overhang)
    given = read_outline(outline, holes)
    if form in ("flat", "shed"):
        if gable_sides:
            raise RoofError("gable_sides", tuple(gable_sides), f"leave them out: a {form} roof has no gables")
        roof = _single(given, form, pitches, eave_height, overhang, high_side)
    else:
        if high_side is not None:
            raise RoofError("high_side", high_side, f"leave it out: a {form} roof rises from its sides")
        roof = _many(given, form, pitches, eave_height, overhang, gable_sides)
    prove_roof(roof)
    return roof


def _check_numbers(form: str, eave_height: float, overhang: float) -> None:
    if form not in FORMS:
        raise RoofError("form", form, f"give one of {', '.join(FORMS)}")
    if not math.isfinite(eave_height):
        raise RoofError("eave_height", eave_height, "give the height of the eave as a length")
    if not 0.0 <= overhang < math.inf:
        raise RoofError("overhang", overhang, "give a length of 0 or more")


def _pitch_of_each(outline: Outline, pitches: Sequence[float]) -> list[float]:
    """Pitches by side as the outline now runs."""
    if len(pitches) not in (1, outline.count):
        found = f"{len(pitches)} pitches for {outline.count} sides"
        raise RoofError("pitches", found, "give one for each side, or one for all")
    return [float(pitches[side] if len(pitches) > 1 else pitches[0]) for side in outline.given]


def _single(
    given: Outline, form: str, pitches: Sequence[float], eave_height: float, overhang: float, high_side: int | None
) -> Roof:
    """Flat or shed roof: one facet."""
    each = _pitch_of_each(given, pitches)
    if any(a != b for a, b in pairwise(each)):
        raise RoofError("pitches", tuple(pitches), f"give one pitch: a {form} roof has one slope")
    pitch = each[0]
    if not 0.0 <= pitch < STEEPEST or (form == "shed" and pitch == 0.0):
        wanted = "of 0 or more" if form == "flat" else "above 0"
        raise RoofError("pitches", pitch, f"give a pitch {wanted} and below {STEEPEST:g} degrees")
    if pitch > 0.0 and high_side is None:
        raise RoofError("high_side", None, "say which side the slope rises to")
    if high_side is not None and not 0 <= high_side < given.count:
        raise RoofError("high_side", high_side, f"give the number of a side, 0 to {given.count - 1}")
    up = (0.0, 0.0)
    if high_side is not None:
        x, y = given.vectors()[given.given.index(high_side)]
        up = (y / math.hypot(x, y), -x / math.hypot(x, y))
    plain, _ = without_straight_corners(given, [""] * given.count, "outline")
    rise = math.tan(math.radians(pitch))
    facet, edges = single_slope(overhung(plain, overhang).rings, up, rise, eave_height)
    return Roof((facet,), edges, walls=given.rings[0], overhang=overhang, notes=plain.notes)


def _many(
    given: Outline, form: str, pitches: Sequence[float], eave_height: float, overhang: float, gable_sides: Sequence[int]
) -> Roof:
    """Gable or hip roof: a slope over every side but the gables."""
    each = _pitch_of_each(given, pitches)
    if form == "hip" and gable_sides:
        raise RoofError("gable_sides", tuple(gable_sides), "leave them out, or give the form as gable")
    gables, notes = gables_of(given, gable_sides) if form == "gable" else (frozenset[int](), ())
    for side, pitch in enumerate(each):
        if side not in gables and not 0.0 < pitch < STEEPEST:
            wanted = f"give a pitch above 0 and below {STEEPEST:g} degrees, so that the slope over {{}} can rise"
            raise RoofError(f"pitches[{given.given[side]}]", pitch, wanted.format(given.side_text(side)))
    kinds = ["a gable" if side in gables else f"{pitch:g} degrees" for side, pitch in enumerate(each)]
    walls, kept = without_straight_corners(given, kinds, "pitches")
    rises = [math.inf if side in gables else math.tan(math.radians(each[side])) for side in kept]
    edge = overhung(walls, overhang)
    rings = [[(float(x), float(y)) for x, y in ring] for ring in edge.rings]
    try:
        skeleton = straight_skeleton(rings, [0.0 if rise == math.inf else 1.0 / rise for rise in rises])
        slopes = _slopes(edge, rises)
        _refuse_breaks(walls, skeleton, slopes)
        facets, edges = facets_and_edges(skeleton, slopes, edge.sizes, eave_height)
    except SkeletonError as error:
        raise _refusal(walls, error) from error
    _refuse_steps(edges)
    return Roof(facets, edges, walls=given.rings[0], overhang=overhang, notes=(*walls.notes, *notes))


def _slopes(outline: Outline, rises: Sequence[float]) -> list[Slope]:
    outer = len(outline.rings[0])
    slopes = []
    for side, (x, y) in enumerate(outline.vectors().tolist()):
        nx, ny = -y / math.hypot(x, y), x / math.hypot(x, y)
        slopes.append(Slope(nx, ny, rises[side], courtyard=side >= outer))
    return slopes


def _refuse_steps(edges: Sequence[Edge]) -> None:
    """Refuse a gable whose wall runs on into the roof, as one beside an inner corner does."""
    for edge in edges:
        if edge.type is EdgeType.WALL:
            place = f"from {corner_text(edge.start[:2]).removesuffix(' m')} to {corner_text(edge.end[:2])}"
            found = f"a gable with which a wall would stand up out of the roof {place}"
            raise RoofError("gable_sides", found, "let the side beside the inner corner slope")


def _refuse_breaks(walls: Outline, skeleton: Skeleton, slopes: Sequence[Slope]) -> None:
    """Refuse two slopes that face the same way with unlike pitches and come to lie in one line.

    From there on either could go on over the other: the roof is one of two, and only who has seen it knows which.
    """
    for arc in skeleton.arcs:
        a, b = slopes[arc.left], slopes[arc.right]
        if not (a.is_gable or b.is_gable) and a.rise != b.rise and a.nx * b.nx + a.ny * b.ny > 1.0 - ONE_WAY:
            one, other = skeleton.nodes[arc.start], skeleton.nodes[arc.end]
            place = f"from {corner_text(one[:2]).removesuffix(' m')} to {corner_text(other[:2])}"
            sides = walls.sides_text((arc.left, arc.right))
            found = f"slopes of unlike pitch that come to lie in one line {place}: over {sides}"
            raise RoofError(
                "pitches", found, "either could go on over the other: give them one pitch, or measured facets"
            )


def _refusal(walls: Outline, error: SkeletonError) -> RoofError:
    sides = walls.sides_text(error.sides) if error.sides else "some sides"
    place = "" if error.point is None else f" near {corner_text(error.point)}"
    return RoofError(
        "outline", f"slopes over {sides} that {error.reason}{place}", "change a pitch, or choose other gables"
    )
