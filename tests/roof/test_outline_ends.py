"""Sides that end in a gable, a half-hip or a wall, on plans small enough to work out by hand.

At 45 degrees a slope rises as far as it goes in, so that heights can be read off the plan.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_pitch
from ropewright.roof.height import plan_outline, roof_height
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import Edge, EdgeType, Roof

Ring = list[tuple[float, float]]

RECTANGLE: Ring = [(0, 0), (10, 0), (10, 6), (0, 6)]
L_PLAN: Ring = [(0, 0), (12, 0), (12, 6), (5, 6), (5, 13), (0, 13)]


def made(outline: Ring = RECTANGLE, **given: Any) -> Roof:
    return roof_from_outline(outline, **({"form": "hip", "pitches": [45], "eave_height": 3.0} | given))


def by_name(roof: Roof) -> dict[str, Edge]:
    return {edge.name: edge for edge in roof.edges}


def types(roof: Roof) -> Counter[EdgeType]:
    return Counter(edge.type for edge in roof.edges)


def test_half_hip_begins_at_its_height_between_the_rakes() -> None:
    """Rakes at 45 degrees are 6 - 2 x 1 = 4 m apart 1 m up; a hip of 45 degrees runs in 2 m from there to the ridge."""
    edges = by_name(made(form="gable", half_hips={1: 1.0}))
    eave = edges["east eave"]
    assert [eave.start.round(9).tolist(), eave.end.round(9).tolist()] == [[10, 1, 4], [10, 5, 4]]
    assert edges["east rake (south side)"].end.round(9).tolist() == [10, 1, 4]
    assert edges["main ridge"].length == pytest.approx(8)
    assert edges["south-east hip"].length == pytest.approx(2 * math.sqrt(3))


def test_half_hip_has_its_own_pitch() -> None:
    """At 60 degrees it climbs the 2 m to the ridge over a run of 2 / tan(60)."""
    roof = made(form="gable", half_hips={1: 1.0}, pitches=[45, 60, 45, 45])
    assert facet_pitch(roof.by_id["east"]) == pytest.approx(60)
    assert by_name(roof)["main ridge"].length == pytest.approx(10 - 2 / math.tan(math.radians(60)))


def test_half_hips_at_both_ends_of_a_square_meet_in_a_short_ridge() -> None:
    roof = made([(0, 0), (6, 0), (6, 6), (0, 6)], half_hips={1: 2.0, 3: 2.0})
    assert types(roof) == {EdgeType.EAVE: 4, EdgeType.RAKE: 4, EdgeType.HIP: 4, EdgeType.RIDGE: 1}
    assert by_name(roof)["main ridge"].length == pytest.approx(4)


def test_a_half_hip_leaves_the_roof_below_it_as_it_is() -> None:
    plain, hipped = made(L_PLAN, form="gable"), made(L_PLAN, form="gable", half_hips={1: 2.0})
    xy = np.random.default_rng(1).uniform((0, 0), (12, 13), (400, 2))
    whole, cut = roof_height(plain, xy), roof_height(hipped, xy)
    hip = 3 + 2.0 + (12 - xy[:, 0])
    np.testing.assert_allclose(cut, np.minimum(whole, np.where(np.isnan(whole), np.nan, hip)))


def test_half_hip_above_the_top_of_its_gable_is_refused() -> None:
    with pytest.raises(RoofError, match=r"begins above the top of its gable, over the side from \(10, 0\)"):
        made(form="gable", half_hips={1: 3.5})


def test_walls_on_three_sides_leave_a_shed() -> None:
    one, other = made(wall_sides=[1, 2, 3]), made(form="shed", high_side=2)
    assert {(e.name, e.type, round(e.length, 9)) for e in one.edges} == {
        (e.name, e.type, round(e.length, 9)) for e in other.edges
    }


def test_walls_that_share_a_corner_have_two_slopes_rise_to_them() -> None:
    roof = made(wall_sides=[1, 2])
    edges = by_name(roof)
    assert edges["south-west hip"].end.round(9).tolist() == [6, 6, 9]
    assert edges["north high eave"].length == pytest.approx(4)
    assert edges["north rake"].facets == ("west",)


def test_gable_beside_an_inner_corner_stands_up_over_the_lower_wing() -> None:
    """The wing to the north is 5 m wide, its ridge 2.5 m up; along the line of the gable the main roof is higher."""
    roof = made(L_PLAN, form="gable", gable_sides=[2])
    edges = by_name(roof)
    wall, rake = edges["north wall"], edges["north rake (west side)"]
    assert [wall.start.round(9).tolist(), wall.end.round(9).tolist()] == [[2.5, 6, 5.5], [5, 6, 3]]
    assert wall.type is EdgeType.WALL
    assert wall.facets == ("east 2",)
    assert [rake.start.round(9).tolist(), rake.end.round(9).tolist()] == [[6, 6, 9], [2.5, 6, 5.5]]
    (ring,) = plan_outline(roof)
    assert sorted(map(tuple, ring.tolist())) == sorted(L_PLAN)
    low, high = roof_height(roof, [[4, 6.001], [4, 5.999]])
    assert [low, high] == pytest.approx([4, 7], abs=0.01)


def test_each_side_has_its_own_overhang() -> None:
    roof = made(form="gable", overhang=[0.5, 0.2, 0.3, 0.0])
    eave = by_name(roof)["south eave"]
    assert [eave.start.tolist(), eave.end.tolist()] == [[0, -0.5, 3], [10.2, -0.5, 3]]
    assert by_name(roof)["north eave"].start[1] == pytest.approx(6.3)
    assert by_name(roof)["main ridge"].start[1] == pytest.approx(2.9)  # half way between edges at -0.5 and 6.3
    assert roof.overhang == 0.5


def test_overhang_of_a_side_keeps_to_it_when_the_outline_is_turned() -> None:
    """Given clockwise, side 0 runs up the west wall."""
    roof = made([(0, 0), (0, 6), (10, 6), (10, 0)], overhang=[0.4, 0, 0, 0])
    assert min(edge.start[0] for edge in roof.edges) == pytest.approx(-0.4)
    assert max(edge.start[0] for edge in roof.edges) == pytest.approx(10)


def test_hip_side_is_not_taken_for_a_gable() -> None:
    roof = made(form="gable", hip_sides=[1])
    assert [facet.id for facet in roof.facets] == ["south", "east", "north"]
    assert roof.notes == ()


REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "no such wall": ({"wall_sides": [4]}, "wall_sides", "0 to 3"),
    "two ends": ({"wall_sides": [1], "half_hips": {1: 1.0}}, "wall_sides", "it stands under half_hips too"),
    "half-hip at the eave": ({"half_hips": {1: 0.0}}, "half_hips", "a height above 0"),
    "half-hip under a shed": (
        {"form": "shed", "high_side": 1, "half_hips": {1: 1.0}},
        "half_hips",
        "a shed roof has no gables",
    ),
    "nothing but walls": ({"wall_sides": [0, 1, 2, 3]}, "wall_sides", "at least one side"),
    "overhang of three sides": ({"overhang": [1, 1, 1]}, "overhang", "3 overhangs for 4 sides"),
    "negative overhang": ({"overhang": [0, 0, -1, 0]}, r"overhang[2]", "0 or more"),
    "straight side of two overhangs": (
        {"outline": [(0, 0), (4, 0), (10, 0), (10, 6), (0, 6)], "overhang": [0.1, 0.2, 0, 0, 0]},
        "pitches",
        "0.1 m overhang and 45 degrees with 0.2 m overhang",
    ),
}


@pytest.mark.parametrize(("given", "field", "text"), REFUSED.values(), ids=REFUSED)
def test_ends_that_leave_no_roof_are_refused(given: dict[str, Any], field: str, text: str) -> None:
    with pytest.raises(RoofError, match=text) as caught:
        made(**given)
    assert caught.value.field == field
