"""Slopes that break into another pitch: mansard and gambrel roofs.

Expected values: closed forms of frustum and hip roof (prismatoid: V = h (A0 + 4 Am + A1) / 6; hip over a by b, a >= b,
at rise r: V = r b^2 (3 a - b) / 12; a slope's area is that of its plan over cos(pitch)); for any outline of one pitch
all round, what lies above a level is the outline moved in, by shapely's mitred buffer.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from ropewright.errors import RoofError
from ropewright.job.building import roof_of
from ropewright.job.reading import Faults, Table
from ropewright.roof.facets import facet_area, facet_pitch, facet_plane
from ropewright.roof.height import roof_height
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import EdgeType

WALLS = [(0, 0), (12, 0), (12, 8), (0, 8)]
PLANS = {
    "L": [(0, 0), (14, 0), (14, 6), (7, 6), (7, 12), (0, 12)],
    "T": [(0, 0), (15, 0), (15, 5), (10, 5), (10, 11), (5, 11), (5, 5), (0, 5)],
    "U": [(0, 0), (16, 0), (16, 10), (11, 10), (11, 5), (5, 5), (5, 10), (0, 10)],
    "cross": [(4, 0), (9, 0), (9, 4), (13, 4), (13, 9), (9, 9), (9, 13), (4, 13), (4, 9), (0, 9), (0, 4), (4, 4)],
    "skew": [(0, 0), (13, 1), (11, 9), (5, 7), (1, 10)],
}


def tan(pitch):
    return math.tan(math.radians(pitch))


def mansard(outline, lower, upper, height, **more):
    sides = range(len(outline))
    breaks = dict.fromkeys(sides, (height, upper))
    return roof_from_outline(outline, form="hip", pitches=[lower], eave_height=3.0, breaks=breaks, **more)


def volume(roof, floor):
    """Between the roof and a level below it, by prisms under triangles."""
    whole = 0.0
    for facet in roof.facets:
        a, b, c = facet_plane(facet)
        ring = facet.ring
        for i in range(1, len(ring) - 1):
            corners = ring[[0, i, i + 1], :2]
            (x1, y1), (x2, y2) = corners[1] - corners[0], corners[2] - corners[0]
            x, y = corners.mean(axis=0)
            whole += 0.5 * (x1 * y2 - x2 * y1) * (a * x + b * y + c - floor)
    return whole


def plan_area_above(roof, level):
    """Area in plan of what lies above a level: each facet cut along its contour."""
    whole = 0.0
    for facet in roof.facets:
        a, b, c = facet_plane(facet)
        size = math.hypot(a, b)
        up, along = np.array([a, b]) / size, np.array([-b, a]) / size
        start = up * (level - c) / size
        far = 1e3
        half = [
            start - far * along,
            start + far * along,
            start + far * along + far * up,
            start - far * along + far * up,
        ]
        whole += Polygon(facet.ring[:, :2]).intersection(Polygon(half)).area
    return whole


@pytest.mark.parametrize(("lower", "upper", "height"), [(70.0, 30.0, 2.5), (60.0, 20.0, 1.0), (30.0, 50.0, 0.8)])
def test_a_mansard_over_a_rectangle_has_area_and_volume_of_frustum_and_hip(lower, upper, height):
    roof = mansard(WALLS, lower, upper, height)
    x = height / tan(lower)
    a, b = 12 - 2 * x, 8 - 2 * x
    areas = [(96 - a * b) / math.cos(math.radians(lower)), a * b / math.cos(math.radians(upper))]
    found = [
        sum(facet_area(facet) for facet in roof.facets if ("upper" in facet.id) == is_upper)
        for is_upper in (False, True)
    ]
    assert found == pytest.approx(areas)
    frustum = height * (96 + 4 * (12 - x) * (8 - x) + a * b) / 6
    assert volume(roof, 3.0) == pytest.approx(frustum + tan(upper) * b**2 * (3 * a - b) / 12)
    assert max(facet.ring[:, 2].max() for facet in roof.facets) == pytest.approx(3 + height + tan(upper) * b / 2)


def test_a_gambrel_is_its_section_times_its_length():
    """Two slopes of 65 deg, from 2 m up of 25 deg, between gables: rafters by Pythagoras."""
    sides = {0: (2.0, 25.0), 2: (2.0, 25.0)}
    roof = roof_from_outline(WALLS, form="gable", pitches=[65], eave_height=3.0, gable_sides=[1, 3], breaks=sides)
    x = 2 / tan(65)
    rise = (4 - x) * tan(25)
    section = 2 * (2 * x / 2 + (4 - x) * 2 + (4 - x) * rise / 2)
    assert volume(roof, 3.0) == pytest.approx(12 * section)
    assert sorted(facet_area(facet) for facet in roof.facets) == pytest.approx(
        sorted([12 * math.hypot(x, 2), 12 * math.hypot(4 - x, rise)] * 2)
    )
    lengths = [edge.length for edge in roof.edges if edge.type is EdgeType.RAKE]
    assert sorted(lengths) == pytest.approx(sorted([math.hypot(x, 2), math.hypot(4 - x, rise)] * 4))


def test_the_facets_and_the_break_are_named_after_their_side():
    roof = mansard(WALLS, 70.0, 30.0, 2.5)
    assert {facet.id for facet in roof.facets} == {
        f"{s}{u}" for s in ("south", "east", "north", "west") for u in ("", " upper")
    }
    south = next(edge for edge in roof.edges if edge.name == "south break")
    assert south.type is EdgeType.BREAK
    assert set(south.facets) == {"south", "south upper"}
    assert south.length == pytest.approx(12 - 2 * 2.5 / tan(70))


def test_one_side_alone_may_break():
    """On a gable roof the ridge moves to where 4 m of 60 then 20 deg meet 40 deg from the other side."""
    roof = roof_from_outline(
        WALLS, form="gable", pitches=[60, 40, 40, 40], eave_height=3.0, gable_sides=[1, 3], breaks={0: (3.0, 20.0)}
    )
    x = 3 / tan(60)
    ridge = (8 * tan(40) - 3 + x * tan(20)) / (tan(20) + tan(40))
    assert roof_height(roof, [[6, ridge]])[0] == pytest.approx(3.0 + (8 - ridge) * tan(40))
    assert sorted(round(facet_pitch(facet)) for facet in roof.facets) == [20, 40, 60]


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize(("lower", "upper"), [(65.0, 25.0), (30.0, 45.0)])
@pytest.mark.parametrize("height", [0.4, 1.0, 3.2])
def test_what_lies_above_a_level_is_the_outline_moved_in(plan, lower, upper, height):
    """3.2 m of 30 deg go above some of the slopes' tops: those roofs are refused for it."""
    outline = PLANS[plan]
    if (lower, height) == (30.0, 3.2):
        with pytest.raises(RoofError, match="a break above the top of its slope"):
            mansard(outline, lower, upper, height)
        return
    roof = mansard(outline, lower, upper, height)
    for level in (0.2, 0.7, 1.5, 3.0, 4.0):
        inset = level / tan(lower) if level <= height else height / tan(lower) + (level - height) / tan(upper)
        moved = Polygon(outline).buffer(-inset, join_style="mitre", mitre_limit=1e6)
        assert plan_area_above(roof, 3.0 + level) == pytest.approx(moved.area, abs=1e-6)


@settings(deadline=None, max_examples=40)
@given(
    pitches=st.lists(st.integers(20, 75), min_size=5, max_size=5),
    uppers=st.lists(st.integers(10, 75), min_size=5, max_size=5),
    heights=st.lists(st.integers(3, 10), min_size=5, max_size=5),
)
def test_over_a_convex_outline_the_roof_is_the_lowest_of_its_broken_slopes(pitches, uppers, heights):
    """With slopes that grow flatter upward; one that others cover before it breaks is refused, and not looked at."""
    outline = np.array([(0, 0), (9, -1), (13, 5), (7, 10), (-1, 7)], float)
    tops = [(h / 10, min(u, p - 1)) for h, u, p in zip(heights, uppers, pitches, strict=True)]
    try:
        roof = roof_from_outline(outline, form="hip", pitches=pitches, eave_height=0.0, breaks=dict(enumerate(tops)))
    except RoofError:
        reject()
    places = np.array([(x, y) for x in np.linspace(0, 11, 12) for y in np.linspace(0.3, 9, 10)])
    found = roof_height(roof, places)
    inside = np.isfinite(found)
    least = np.full(len(places), np.inf)
    for side, (height, upper) in enumerate(tops):
        start, along = outline[side], np.roll(outline, -1, axis=0)[side] - outline[side]
        inward = np.array([-along[1], along[0]]) / np.hypot(*along)
        away = (places - start) @ inward
        x = height / tan(pitches[side])
        least = np.minimum(least, np.where(away < x, away * tan(pitches[side]), height + (away - x) * tan(upper)))
    assert inside.sum() > 60
    assert found[inside] == pytest.approx(least[inside], abs=1e-9)


def test_breaks_that_can_not_be_are_refused_by_name():
    for more, words in (
        ({"breaks": {0: (30.0, 20.0)}}, "a break above the top of its slope"),
        ({"breaks": {7: (1.0, 20.0)}}, "give the numbers of sides"),
        ({"breaks": {0: (1.0, 90.0)}}, "a pitch above 0 and below 85"),
        ({"breaks": {1: (1.0, 20.0)}, "form": "gable", "gable_sides": [1, 3]}, "let only slopes break"),
        ({"breaks": {1: (1.0, 20.0)}, "form": "flat", "pitches": [0]}, "a flat roof has one slope"),
    ):
        with pytest.raises(RoofError, match=words):
            roof_from_outline(WALLS, **{"form": "hip", "pitches": [45], "eave_height": 3.0, **more})


def read(**sides):
    faults = Faults()
    tables = [{"number": number, **told} for number, told in enumerate(sides.values(), 1)]
    raw = {"form": "hip", "size": ["12 m", "8 m"], "pitch": "70 deg", "eave_height": "3 m", "side": tables}
    return roof_of(Table(raw, "roof", faults), __import__("pathlib").Path()), [str(fault) for fault in faults.found]


def test_a_job_file_tells_a_break_by_its_height_and_the_pitch_above_it():
    told = {"upper_pitch": "30 deg", "break_from": "2.5 m"}
    roof, faults = read(a=told, b=told, c=told, d=told)
    assert not faults
    same = mansard(WALLS, 70.0, 30.0, 2.5)
    assert [facet.id for facet in roof.facets] == [facet.id for facet in same.facets]
    assert volume(roof, 3.0) == pytest.approx(volume(same, 3.0))


def test_a_job_file_with_half_a_break_is_told_what_is_missing():
    for told, words in (
        ({"upper_pitch": "30 deg"}, "break_from: missing; give it with 'upper_pitch'"),
        ({"break_from": "1 m"}, "upper_pitch: missing; give it with 'break_from'"),
        ({"kind": "wall", "upper_pitch": "30 deg", "break_from": "1 m"}, "no slope goes up from the edge under a wall"),
        ({"upper_pitch": "30 deg", "break_from": "40 m"}, "a break above the top of its slope"),
    ):
        roof, faults = read(a=told)
        assert roof is None
        assert any(words in fault for fault in faults), faults
