"""What must hold for the roof over any outline, against independent computations with shapely.

Volume: at 45 degrees the level section of the roof at height h is the outline moved inward by h, so the volume under
the roof is the sum of the areas of inward buffers. Area: slopes of one pitch cover the plan once, so that the roof's
area is the plan's divided by the cosine of the pitch.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_area, facet_plane
from ropewright.roof.height import plan_outline, roof_height
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import EdgeType, Roof

Ring = list[tuple[float, float]]


@st.composite
def stars(draw: st.DrawFn) -> Ring:
    count = draw(st.integers(3, 9))
    turns = [(i + draw(st.floats(0.15, 0.85))) * math.tau / count for i in range(count)]
    reach = [draw(st.floats(4.0, 12.0)) for _ in range(count)]
    ring = [(r * math.cos(a), r * math.sin(a)) for a, r in zip(turns, reach, strict=True)]
    assume(Polygon(ring).is_valid)
    return ring


@st.composite
def square_plans(draw: st.DrawFn) -> Ring:
    """A row of rectangles side by side on one base line, with unlike depths before and behind it."""
    widths = draw(st.lists(st.integers(2, 9), min_size=1, max_size=4))
    behind = draw(st.lists(st.integers(1, 9), min_size=len(widths), max_size=len(widths)))
    before = draw(st.lists(st.integers(1, 5), min_size=len(widths), max_size=len(widths)))
    x = np.concatenate(([0], np.cumsum(widths))).tolist()
    front = [(x[i + k], -before[i]) for i in range(len(widths)) for k in (0, 1)]
    back = [(x[i + k], behind[i]) for i in reversed(range(len(widths))) for k in (1, 0)]
    return list(dict.fromkeys([*front, *back]))


def volume(roof: Roof, base: float) -> float:
    """Volume between the roof and a level, from the first moments of its facets in plan."""
    total = 0.0
    for facet in roof.facets:
        a, b, c = facet_plane(facet)
        plan = Polygon(facet.ring[:, :2], [hole[:, :2] for hole in facet.holes])
        total += plan.area * (a * plan.centroid.x + b * plan.centroid.y + c - base)
    return total


def plan_area(roof: Roof) -> float:
    return sum(Polygon(f.ring[:, :2], [hole[:, :2] for hole in f.holes]).area for f in roof.facets)


@settings(deadline=None, max_examples=40)
@given(st.one_of(stars(), square_plans()), st.floats(5.0, 70.0))
def test_area_of_the_roof_is_the_plan_over_the_cosine_of_its_pitch(outline: Ring, pitch: float) -> None:
    roof = roof_from_outline(outline, form="hip", pitches=[pitch], eave_height=2.5)
    area = Polygon(outline).area
    assert plan_area(roof) == pytest.approx(area, rel=1e-9)
    assert sum(map(facet_area, roof.facets)) == pytest.approx(area / math.cos(math.radians(pitch)), rel=1e-9)


@settings(deadline=None, max_examples=20)
@given(square_plans())
def test_volume_under_the_roof_is_the_sum_of_its_level_sections(outline: Ring) -> None:
    roof = roof_from_outline(outline, form="hip", pitches=[45], eave_height=0.0)
    plan = Polygon(outline)
    top = max(float(facet.ring[:, 2].max()) for facet in roof.facets)
    # on a grid of 1 m all events are at multiples of 0.25 m; between them Simpson's rule is exact for the sections
    steps = max(1, math.ceil(top / 0.25 - 1e-9))
    h = np.linspace(0.0, steps * 0.25, 2 * steps + 1)
    sections = np.array([plan.buffer(-x, join_style="mitre", mitre_limit=100).area for x in h])
    sections[-1] = 0.0 if steps * 0.25 >= top - 1e-9 else sections[-1]
    simpson = (sections[:-2:2] + 4 * sections[1::2] + sections[2::2]).sum() * 0.25 / 6
    assert volume(roof, 0.0) == pytest.approx(simpson, rel=1e-9)


@settings(deadline=None, max_examples=30)
@given(stars(), st.lists(st.floats(20.0, 60.0), min_size=9, max_size=9), st.sampled_from([0.0, 0.15, 0.4]))
def test_roof_is_continuous_and_ends_at_its_eaves(outline: Ring, pitches: list[float], overhang: float) -> None:
    try:
        roof = roof_from_outline(
            outline, form="hip", pitches=pitches[: len(outline)], eave_height=2.5, overhang=overhang
        )
    except RoofError as error:  # sharp corners of a star can leave no room for an overhang
        assume(error.field != "overhang")
        raise
    for edge in roof.edges:
        for name in edge.facets:
            a, b, c = facet_plane(roof.by_id[name])
            for x, y, z in (edge.start, edge.end):
                assert a * x + b * y + c == pytest.approx(z, abs=1e-6)
        assert (edge.type is EdgeType.EAVE) == (max(edge.start[2], edge.end[2]) == 2.5)
    (ring,) = plan_outline(roof)
    assert Polygon(ring).area == pytest.approx(plan_area(roof), rel=1e-9)
    grown = Polygon(outline).buffer(overhang, join_style="mitre", mitre_limit=100)
    assert Polygon(ring).symmetric_difference(grown).area < 1e-6 * grown.area


@settings(deadline=None, max_examples=30)
@given(square_plans(), st.floats(10.0, 60.0))
def test_mirrored_plan_has_the_mirrored_roof(outline: Ring, pitch: float) -> None:
    given_so = {"form": "hip", "pitches": [pitch], "eave_height": 3.0}
    one = roof_from_outline(outline, **given_so)  # type: ignore[arg-type]
    other = roof_from_outline([(-x, y) for x, y in outline], **given_so)  # type: ignore[arg-type]
    xy = np.random.default_rng(0).uniform(-5, 30, (300, 2))
    np.testing.assert_allclose(roof_height(one, xy), roof_height(other, xy * [-1, 1]), atol=1e-9)
    assert sorted(e.type for e in one.edges) == sorted(e.type for e in other.edges)


@settings(deadline=None, max_examples=30)
@given(stars(), st.floats(10.0, 60.0), st.floats(0.0, math.tau))
def test_turned_plan_has_the_turned_roof(outline: Ring, pitch: float, turn: float) -> None:
    c, s = math.cos(turn), math.sin(turn)
    turned = [(c * x - s * y, s * x + c * y) for x, y in outline]
    one = roof_from_outline(outline, form="hip", pitches=[pitch], eave_height=3.0)
    other = roof_from_outline(turned, form="hip", pitches=[pitch], eave_height=3.0)
    lengths = [sorted(edge.length for edge in roof.edges if edge.length > 1e-5) for roof in (one, other)]
    assert lengths[0] == pytest.approx(lengths[1], abs=1e-5)


def outer_corner_sides(outline: Ring) -> list[int]:
    """Sides between two outer corners of a counterclockwise ring."""
    ring = np.array(outline)
    run = np.roll(ring, -1, axis=0) - ring
    turn = np.roll(run, 1, axis=0)[:, 0] * run[:, 1] - np.roll(run, 1, axis=0)[:, 1] * run[:, 0]
    return [i for i in range(len(ring)) if turn[i] > 0 and turn[(i + 1) % len(ring)] > 0]


@settings(deadline=None, max_examples=60)
@given(stars(), st.floats(20.0, 60.0), st.floats(20.0, 70.0), st.floats(0.2, 2.5), st.integers(0, 8))
def test_half_hip_changes_the_gable_roof_only_above_its_height(
    outline: Ring, pitch: float, hip: float, height: float, pick: int
) -> None:
    """It never rises above the gable roof, is the same up to that height, and every place lies on a plane asked for."""
    sides = outer_corner_sides(outline)
    assume(sides)
    side = sides[pick % len(sides)]
    try:
        gabled = roof_from_outline(outline, form="gable", gable_sides=[side], pitches=[pitch], eave_height=0.0)
        pitches = [pitch] * len(outline)
        pitches[side] = hip
        hipped = roof_from_outline(outline, form="hip", half_hips={side: height}, pitches=pitches, eave_height=0.0)
    except RoofError:
        assume(False)
    xy = np.random.default_rng(len(outline)).uniform(-12, 12, (300, 2))
    whole, cut = roof_height(gabled, xy), roof_height(hipped, xy)
    assert (np.isnan(whole) == np.isnan(cut)).all()
    on = np.isfinite(whole)
    whole, cut, xy = whole[on], cut[on], xy[on]
    assert (cut <= whole + 1e-6).all()
    low = whole < height - 1e-6
    np.testing.assert_allclose(cut[low], whole[low], atol=1e-6)
    ring = np.array(outline)
    run = np.roll(ring, -1, axis=0) - ring
    inward = np.column_stack((-run[:, 1], run[:, 0])) / np.hypot(*run.T)[:, None]
    depth = ((xy[:, None] - ring) * inward).sum(axis=2)
    asked = depth * np.tan(np.radians(pitches))
    asked[:, side] += height
    assert (np.abs(asked - cut[:, None]).min(axis=1) < 1e-6).all()
    assert plan_area(hipped) == pytest.approx(Polygon(outline).area, abs=1e-6)


U_PLAN: Ring = [(0, 0), (15, 0), (15, 10), (11, 10), (11, 5), (4, 5), (4, 10), (0, 10)]
CROSS: Ring = [
    *((4, 0), (8, 0), (8, 4), (12, 4), (12, 8), (8, 8)),
    *((8, 12), (4, 12), (4, 8), (0, 8), (0, 4), (4, 4)),
]


@pytest.mark.parametrize(
    ("outline", "form", "valleys"),
    [(U_PLAN, "hip", 2), (U_PLAN, "gable", 2), (CROSS, "hip", 4), (CROSS, "gable", 4)],
    ids=["U hip", "U gable", "cross hip", "cross gable"],
)
def test_u_and_cross_plans_have_a_valley_at_every_inner_corner(outline: Ring, form: str, valleys: int) -> None:
    roof = roof_from_outline(outline, form=form, pitches=[45], eave_height=3.0)
    assert sum(edge.type is EdgeType.VALLEY for edge in roof.edges) == valleys
    assert plan_area(roof) == pytest.approx(Polygon(outline).area)
    assert sum(map(facet_area, roof.facets)) == pytest.approx(Polygon(outline).area * math.sqrt(2))
    if form == "hip":  # level sections are inward buffers: their areas add up to the volume
        levels = np.linspace(0, 4, 2001)
        areas = [Polygon(outline).buffer(-h, join_style="mitre").area for h in levels]
        assert volume(roof, 3.0) == pytest.approx(np.trapezoid(areas, levels), rel=1e-5)
