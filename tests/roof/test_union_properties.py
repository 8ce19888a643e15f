"""Roofs of several parts against what is worked out without them: the highest part at each place, shapely's overlay.

Shapely cuts each facet by the half-planes in which others lie above it; areas and volumes of what is left are exact.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from ropewright.errors import RoofError
from ropewright.roof.dormers import DORMER_KINDS, DormerSpec, dormer_roof, with_dormers
from ropewright.roof.facets import facet_plane
from ropewright.roof.height import plan_outline, roof_height
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import EdgeType, Facet, Roof
from ropewright.roof.union import union_of_roofs

Floats = NDArray[np.float64]

#: Half metres make walls in one line, planes in one, ridges at one height: what real plans have and random ones lack.
HALVES = st.integers(4, 16).map(lambda n: n / 2)
PLACES = st.integers(-8, 16).map(lambda n: n / 2)


@st.composite
def wings(draw: st.DrawFn) -> Roof:
    """A part over a rectangle on a grid, in any of the forms, perhaps with a courtyard or a half-hip."""
    x, y, wide, deep = draw(PLACES), draw(PLACES), draw(HALVES), draw(HALVES)
    outline = [(x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)]
    form = draw(st.sampled_from(("flat", "shed", "gable", "hip")))
    pitch = 0.0 if form == "flat" else draw(st.sampled_from((20.0, 45.0, 60.0)))
    gables = draw(st.sampled_from(((0, 2), (1, 3)))) if form == "gable" else ()
    half = {1: 0.25} if form == "hip" and draw(st.booleans()) else {}
    return roof_from_outline(
        outline,
        form=form,
        pitches=[pitch],
        eave_height=draw(st.integers(2, 8)),
        overhang=draw(st.sampled_from((0.0, 0.5))),
        gable_sides=gables,
        high_side=1 if form == "shed" else None,
        half_hips=half,
    )


def turned(roof: Roof, angle: float) -> Roof:
    """The same outline turned, which takes the round numbers away."""
    c, s = math.cos(angle), math.sin(angle)
    turn = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return replace(
        roof,
        facets=tuple(replace(f, ring=f.ring @ turn, holes=tuple(h @ turn for h in f.holes)) for f in roof.facets),
        edges=tuple(replace(e, start=e.start @ turn, end=e.end @ turn) for e in roof.edges),
        walls=None,
        inner_walls=(),
    )


def plan(facet: Facet) -> Polygon:
    return Polygon(facet.ring[:, :2], [hole[:, :2] for hole in facet.holes])


def above(plane: Floats, reach: float) -> BaseGeometry:
    """The half-plane a x + b y + c > 0, as far as anything reaches."""
    a, b, c = plane
    size = math.hypot(a, b)
    if size < 1e-9:
        return Polygon([(-reach, -reach), (reach, -reach), (reach, reach), (-reach, reach)] if c > 1e-7 else [])
    way, normal = np.array([-b, a]) / size, np.array([a, b]) / size
    foot = -c / size * normal
    corners = [foot + s * reach * way + t * 2 * reach * normal for s, t in ((-1, 0), (1, 0), (1, 1), (-1, 1))]
    return Polygon(corners)


def overlaid(roofs: list[Roof]) -> tuple[float, float]:
    """Area in plan and volume down to height 0 of the highest of all facets, by shapely."""
    facets = [facet for roof in roofs for facet in roof.facets]
    planes, plans = [np.array(facet_plane(facet)) for facet in facets], [plan(facet) for facet in facets]
    area = volume = 0.0
    for i, (plane, left) in enumerate(zip(planes, plans, strict=True)):
        for j, other in enumerate(planes):
            if i == j:
                continue
            is_one = np.allclose(plane, other, atol=1e-7)
            hidden = plans[j] if is_one and j < i else plans[j].intersection(above(other - plane, 100.0))
            left = left.difference(hidden)
        if left.area > 0.0:
            x, y = left.centroid.coords[0]
            area += left.area
            volume += left.area * float(plane @ [x, y, 1.0])
    return area, volume


def measured(roof: Roof) -> tuple[float, float]:
    """Area in plan and volume down to height 0 of a roof as it is."""
    shapes = [plan(facet) for facet in roof.facets]
    assert all(shape.is_valid for shape in shapes)
    heights = [
        float(np.array(facet_plane(facet)) @ [*shape.centroid.coords[0], 1.0])
        for facet, shape in zip(roof.facets, shapes, strict=True)
    ]
    areas = [shape.area for shape in shapes]
    return sum(areas), float(np.dot(areas, heights))


def places(roofs: list[Roof], count: int = 300) -> Floats:
    corners = np.vstack([facet.ring[:, :2] for roof in roofs for facet in roof.facets])
    return np.random.default_rng(len(corners)).uniform(corners.min(axis=0), corners.max(axis=0), (count, 2))


def check_union(roofs: list[Roof]) -> Roof:
    """All that holds for every roof of several parts."""
    whole = union_of_roofs([("" if i == 0 else f"wing {i}", roof) for i, roof in enumerate(roofs)])
    check_whole(whole, roofs)
    return whole


def check_whole(whole: Roof, roofs: list[Roof]) -> None:
    xy = places(roofs)
    heights = np.array([roof_height(roof, xy) for roof in roofs])
    highest = np.nan_to_num(heights, nan=-np.inf).max(axis=0)
    np.testing.assert_allclose(np.nan_to_num(roof_height(whole, xy), nan=-np.inf), highest, atol=1e-6)
    np.testing.assert_allclose(measured(whole), overlaid(roofs), atol=1e-3)
    covered = unary_union([plan(facet) for roof in roofs for facet in roof.facets]).area
    assert abs(measured(whole)[0] - covered) < 1e-4  # no gap, no overlap
    check_edges(whole)


def check_edges(roof: Roof) -> None:
    """Every side of every facet is covered by its edges, fall edges have their facet on the left, names are unique."""
    for facet in roof.facets:
        rings = (facet.ring, *facet.holes)
        around = sum(float(np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum()) for ring in rings)
        own = sum(edge.length for edge in roof.edges if facet.id in edge.facets)
        assert abs(own - around) < 0.06 * len(rings[0])  # a step under 5 cm counts as one edge
    for edge in roof.boundary:
        assert len(edge.facets) == 1
    assert len({edge.name for edge in roof.edges}) == len(roof.edges)
    assert len({facet.id for facet in roof.facets}) == len(roof.facets)
    plan_outline(roof)


@settings(max_examples=60, deadline=None)
@given(st.lists(wings(), min_size=2, max_size=4))
def test_on_top_is_the_highest_part_on_plans_of_round_figures(roofs: list[Roof]) -> None:
    check_union(roofs)


@settings(max_examples=40, deadline=None)
@given(st.lists(wings(), min_size=2, max_size=3), st.integers(-3000, 3000))
def test_on_top_is_the_highest_part_on_turned_plans(roofs: list[Roof], milliradians: int) -> None:
    check_union([turned(roof, milliradians / 1000) for roof in roofs])


@st.composite
def dormers(draw: st.DrawFn) -> DormerSpec:
    return DormerSpec(
        "dormer",
        (draw(st.floats(1.0, 11.0)), draw(st.floats(0.0, 4.5))),
        draw(st.floats(0.5, 4.0)),
        draw(st.floats(0.1, 2.0)),
        draw(st.sampled_from(DORMER_KINDS)),
        draw(st.floats(5.0, 60.0)),
        draw(st.sampled_from((0.0, 0.2))),
    )


@settings(max_examples=40, deadline=None)
@given(dormers(), st.sampled_from(("gable", "hip")), st.sampled_from((20.0, 40.0, 55.0)))
def test_on_top_of_a_slope_with_a_dormer_is_the_higher_of_the_two(spec: DormerSpec, form: str, pitch: float) -> None:
    main = roof_from_outline(
        [(0, 0), (12, 0), (12, 9), (0, 9)], form=form, pitches=[pitch], eave_height=5.0, overhang=0.3
    )
    try:
        dormer = dormer_roof(main, spec)
    except RoofError:  # it would come out of the slope on another side
        assume(False)
    whole = with_dormers(main, [spec])
    check_whole(whole, [main, dormer])
    walls = {edge.name for edge in whole.edges if edge.type is EdgeType.WALL}
    assert len(walls & {f"dormer {side} wall" for side in ("north", "east", "south", "west")}) == 3
