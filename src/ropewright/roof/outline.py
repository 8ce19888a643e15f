"""A roof from the outline of its walls and the pitch of each side: flat, shed, gable or hip."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

from numpy.typing import ArrayLike

from ropewright.errors import RoofError
from ropewright.roof.outline_edges import Slope, facets_and_edges
from ropewright.roof.outline_ends import STEEPEST, Ends, ends_of
from ropewright.roof.outline_proof import prove_roof
from ropewright.roof.outline_rings import corner_text
from ropewright.roof.outline_sides import Outline, overhung, read_outline, without_straight_corners
from ropewright.roof.outline_single import single_slope
from ropewright.roof.skeleton import Skeleton, SkeletonError, straight_skeleton
from ropewright.roof.surface import Edge, Facet, Roof

__all__ = ["FORMS", "roof_from_outline"]

#: Forms of roof that an outline can carry.
FORMS = ("flat", "shed", "gable", "hip")
#: Two slopes whose directions make a cosine this near 1 face the same way. [-]
ONE_WAY = 1e-14


def roof_from_outline(
    outline: ArrayLike,
    *,
    form: str,
    pitches: Sequence[float],
    eave_height: float,
    overhang: float | Sequence[float] = 0.0,
    gable_sides: Sequence[int] = (),
    high_side: int | None = None,
    holes: Sequence[ArrayLike] = (),
    hip_sides: Sequence[int] = (),
    wall_sides: Sequence[int] = (),
    half_hips: Mapping[int, float] = MappingProxyType({}),
    breaks: Mapping[int, tuple[float, float]] = MappingProxyType({}),
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
        all sides, so that under slopes of unlike pitch or overhang the steeper stands higher over its wall. [m]
    overhang : float or sequence of float
        Level distance from the walls out to the roof's edge, 0 or more: for all sides, or for each as `pitches`. [m]
    gable_sides : sequence of int
        With ``gable``: sides that end in a gable, from 0. Empty: the two short sides of a rectangle; on any other plan
        of right angles the ends of its wings.
    high_side : int, optional
        With ``shed`` and a sloping ``flat``: the side that the slope rises to, at right angles.
    holes : sequence of arrays, shape (k, 2)
        Courtyards or shafts: roof edges all round, with the same overhang. [m]
    hip_sides : sequence of int
        With ``gable``: sides that slope even if they would be taken for a gable.
    wall_sides : sequence of int
        With ``gable`` or ``hip``: sides over which a wall goes up plumb to whatever roof comes there, as at the high
        side of a lean-to; like gables, but they may share a corner.
    half_hips : mapping of int to float
        With ``gable`` or ``hip``: sides that end in a gable below and in a hip, of the pitch of that side, from a
        height above the roof's edge on. [m]
    breaks : mapping of int to (float, float)
        With ``gable`` or ``hip``: slopes that go on with another pitch [deg] from a height above the roof's edge [m]
        on, as those of a mansard or gambrel roof do.

    Returns
    -------
    Roof
        Facets and edges named by the compass, +y being north. Facets that lie in one plane on both sides of a wing are
        one facet.

    Raises
    ------
    RoofError
        If the outline crosses itself, has no area, fewer than three corners or one corner twice; a pitch is out of
        range; the gables and walls leave no roof; a half-hip begins above the gable under it; the overhang makes edges
        meet; or the sides leave no single roof.

    Notes
    -----
    Slopes rise from the roof's edge until they meet: the weighted straight skeleton of the roof's outline. Corners on
    a straight side are left out where both parts are alike. Where a gable or wall stands beside an inner corner, its
    wall runs on into the roof: the lower roof ends at its foot and the higher one with a rake at its top.

    Examples
    --------
    >>> walls = [(0, 0), (10, 0), (10, 6), (0, 6)]
    >>> roof = roof_from_outline(walls, form="gable", pitches=[45], eave_height=3.0)
    >>> [facet.id for facet in roof.facets]
    ['south', 'north']
    >>> [(edge.name, round(edge.length, 3)) for edge in roof.edges][:3]
    [('south eave', 10.0), ('north eave', 10.0), ('east rake (south side)', 4.243)]

    With the upper half of the east gable hipped at 45 degrees:

    >>> roof = roof_from_outline(walls, form="gable", pitches=[45], eave_height=3.0, half_hips={1: 1.5})
    >>> [round(edge.length, 6) for edge in roof.edges if edge.name == "east eave"]
    [3.0]
    """
    _check_numbers(form, eave_height)
    given = read_outline(outline, holes)
    far = _overhangs(given, overhang)
    if form in ("flat", "shed"):
        for name, sides in (("gable_sides", gable_sides), ("wall_sides", wall_sides), ("half_hips", tuple(half_hips))):
            if sides:
                raise RoofError(name, tuple(sides), f"leave them out: a {form} roof has no gables")
        if breaks:
            raise RoofError("breaks", tuple(breaks), f"leave them out: a {form} roof has one slope")
        roof = _single(given, form, pitches, eave_height, far, high_side)
    else:
        if high_side is not None:
            raise RoofError("high_side", high_side, f"leave it out: a {form} roof rises from its sides")
        ends = ends_of(
            given, form, gables=gable_sides, hips=hip_sides, walls=wall_sides, half_hips=half_hips, breaks=breaks
        )
        roof = _many(given, pitches, eave_height, far, ends)
    prove_roof(roof)
    return roof


def _check_numbers(form: str, eave_height: float) -> None:
    if form not in FORMS:
        raise RoofError("form", form, f"give one of {', '.join(FORMS)}")
    if not math.isfinite(eave_height):
        raise RoofError("eave_height", eave_height, "give the height of the eave as a length")


def _overhangs(outline: Outline, overhang: float | Sequence[float]) -> list[float]:
    """Overhang of each side as the outline now runs."""
    if isinstance(overhang, int | float):
        if not 0.0 <= overhang < math.inf:
            raise RoofError("overhang", overhang, "give a length of 0 or more")
        return [float(overhang)] * outline.count
    if len(overhang) != outline.count:
        found = f"{len(overhang)} overhangs for {outline.count} sides"
        raise RoofError("overhang", found, "give one for each side, or one for all")
    for side, value in enumerate(overhang):
        if not 0.0 <= value < math.inf:
            raise RoofError(f"overhang[{side}]", value, "give a length of 0 or more")
    return [float(overhang[side]) for side in outline.given]


def _pitch_of_each(outline: Outline, pitches: Sequence[float]) -> list[float]:
    """Pitches by side as the outline now runs."""
    if len(pitches) not in (1, outline.count):
        found = f"{len(pitches)} pitches for {outline.count} sides"
        raise RoofError("pitches", found, "give one for each side, or one for all")
    return [float(pitches[side] if len(pitches) > 1 else pitches[0]) for side in outline.given]


def _kinds(kinds: Sequence[str], far: Sequence[float]) -> list[str]:
    """What stands over each side in words, with its overhang where they differ."""
    if len(set(far)) == 1:
        return list(kinds)
    return [f"{kind} with {out:g} m overhang" for kind, out in zip(kinds, far, strict=True)]


def _single(
    given: Outline, form: str, pitches: Sequence[float], eave_height: float, far: Sequence[float], high_side: int | None
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
    plain, kept = without_straight_corners(given, _kinds([""] * given.count, far), "overhang")
    rise = math.tan(math.radians(pitch))
    facet, edges = single_slope(overhung(plain, [far[side] for side in kept]).rings, up, rise, eave_height)
    return _roof(given, (facet,), edges, far, plain.notes)


def _roof(
    given: Outline, facets: tuple[Facet, ...], edges: tuple[Edge, ...], far: Sequence[float], notes: tuple[str, ...]
) -> Roof:
    walls, *inner = given.rings
    return Roof(facets, edges, walls=walls, inner_walls=tuple(inner), overhang=max(far), notes=notes)


def _many(given: Outline, pitches: Sequence[float], eave_height: float, far: Sequence[float], ends: Ends) -> Roof:
    """Gable or hip roof: a slope over every side but the gables and walls."""
    each = _pitch_of_each(given, pitches)
    for side, pitch in enumerate(each):
        if side not in ends.plumb and not 0.0 < pitch < STEEPEST:
            wanted = f"give a pitch above 0 and below {STEEPEST:g} degrees, so that the slope over {{}} can rise"
            raise RoofError(f"pitches[{given.given[side]}]", pitch, wanted.format(given.side_text(side)))
    kinds = _kinds([ends.text(side, pitch) for side, pitch in enumerate(each)], far)
    walls, kept = without_straight_corners(given, kinds, "pitches")
    rises = [math.inf if side in ends.upright else math.tan(math.radians(each[side])) for side in kept]
    above = {
        kept.index(side): (height, math.tan(math.radians(each[side])))
        for side, height in ends.half_hips.items()
        if side in kept
    }
    above |= {
        kept.index(side): (height, math.tan(math.radians(pitch)))
        for side, (height, pitch) in ends.breaks.items()
        if side in kept
    }
    edge = overhung(walls, [far[side] for side in kept])
    rings = [[(float(x), float(y)) for x, y in ring] for ring in edge.rings]
    later = [(side, height, 1.0 / rise) for side, (height, rise) in above.items()]
    try:
        skeleton = straight_skeleton(rings, [0.0 if rise == math.inf else 1.0 / rise for rise in rises], later)
        slopes = _slopes(edge, rises)
        slopes += [
            replace(slopes[side], rise=rise, upper=not slopes[side].is_gable) for side, (_, rise) in above.items()
        ]
        _refuse_lost_ends(walls, skeleton, slopes, list(above))
        labels = [*range(len(rises)), *above]
        _refuse_breaks(walls, skeleton, slopes, labels)
        facets, edges = facets_and_edges(skeleton, slopes, edge.sizes, eave_height)
    except SkeletonError as error:
        raise _refusal(walls, error) from error
    return _roof(given, facets, edges, far, (*walls.notes, *ends.notes))


def _slopes(outline: Outline, rises: Sequence[float]) -> list[Slope]:
    outer = len(outline.rings[0])
    slopes = []
    for side, (x, y) in enumerate(outline.vectors().tolist()):
        nx, ny = -y / math.hypot(x, y), x / math.hypot(x, y)
        slopes.append(Slope(nx, ny, rises[side], courtyard=side >= outer))
    return slopes


def _refuse_lost_ends(walls: Outline, skeleton: Skeleton, slopes: Sequence[Slope], sides: Sequence[int]) -> None:
    """Refuse a half-hip or a break that would begin where what is under it has already ended."""
    for side, face in zip(sides, skeleton.faces[len(skeleton.faces) - len(sides) :], strict=True):
        if not face and not slopes[side].is_gable:
            found = f"a break above the top of its slope, over {walls.side_text(side)}"
            raise RoofError("breaks", found, "let it break lower, or give the slope one pitch")
        if not face:
            found = f"a half-hip that begins above the top of its gable, over {walls.side_text(side)}"
            raise RoofError("half_hips", found, "let it begin lower, or make the side a gable")


def _refuse_breaks(walls: Outline, skeleton: Skeleton, slopes: Sequence[Slope], labels: Sequence[int]) -> None:
    """Refuse two slopes that face the same way with unlike pitches and come to lie in one line.

    From there on either could go on over the other: the roof is one of two, and only who has seen it knows which.
    """
    for arc in skeleton.arcs:
        a, b = slopes[arc.left], slopes[arc.right]
        if labels[arc.left] == labels[arc.right]:  # where one slope breaks
            continue
        if not (a.is_gable or b.is_gable) and a.rise != b.rise and a.nx * b.nx + a.ny * b.ny > 1.0 - ONE_WAY:
            one, other = skeleton.nodes[arc.start], skeleton.nodes[arc.end]
            place = f"from {corner_text(one[:2]).removesuffix(' m')} to {corner_text(other[:2])}"
            sides = walls.sides_text((labels[arc.left], labels[arc.right]))
            found = f"slopes of unlike pitch that come to lie in one line {place}: over {sides}"
            wanted = "either could go on over the other: give them one pitch, or give the parts as wings of their own"
            raise RoofError("pitches", found, wanted)


def _refusal(walls: Outline, error: SkeletonError) -> RoofError:
    known = [side for side in error.sides if side < sum(walls.sizes)]
    sides = walls.sides_text(known) if known else "some sides"
    place = "" if error.point is None else f" near {corner_text(error.point)}"
    return RoofError(
        "outline",
        f"slopes over {sides} that {error.reason}{place}",
        "change a pitch, choose other gables, or give the parts as wings of their own",
    )
