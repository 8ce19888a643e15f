"""Roofs from an outline: forms, edges and names on plans small enough to work out by hand, and what is refused."""

from __future__ import annotations

import math
import re
from collections import Counter
from typing import Any

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_azimuth, facet_pitch
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import Edge, EdgeType, Roof

Ring = list[tuple[float, float]]

RECTANGLE: Ring = [(0, 0), (10, 0), (10, 6), (0, 6)]
L_PLAN: Ring = [(0, 0), (12, 0), (12, 6), (5, 6), (5, 13), (0, 13)]
T_PLAN: Ring = [(0, 0), (12, 0), (12, 6), (8, 6), (8, 11), (4, 11), (4, 6), (0, 6)]
BOW_TIE: Ring = [(0, 0), (4, 4), (4, 0), (0, 4)]


def made(outline: Ring = RECTANGLE, **given: Any) -> Roof:
    return roof_from_outline(outline, **({"form": "hip", "pitches": [45], "eave_height": 3.0} | given))


def by_name(roof: Roof) -> dict[str, Edge]:
    return {edge.name: edge for edge in roof.edges}


def types(roof: Roof) -> Counter[EdgeType]:
    return Counter(edge.type for edge in roof.edges)


# forms -------------------------------------------------------------------------------------------------------------


def test_flat_roof_is_one_level_facet_with_eaves_all_round() -> None:
    roof = made(form="flat", pitches=[0], eave_height=4.2)
    (facet,) = roof.facets
    assert facet.id == "flat"
    assert facet.ring[:, 2].tolist() == [4.2] * 4
    assert [edge.name for edge in roof.edges] == ["south eave", "east eave", "north eave", "west eave"]
    assert set(types(roof)) == {EdgeType.EAVE}


def test_sloping_flat_roof_is_a_shed_of_slight_pitch() -> None:
    roof = made(form="flat", pitches=[1.5], high_side=3)
    assert by_name(roof)["west high eave"].start[2] == pytest.approx(3 + 10 * math.tan(math.radians(1.5)))
    assert facet_azimuth(roof.facets[0]) == pytest.approx(90)


def test_shed_rises_from_its_eave_to_the_high_side() -> None:
    roof = made(form="shed", pitches=[30], high_side=2)
    edges = by_name(roof)
    assert list(edges) == ["south eave", "east rake", "north high eave", "west rake"]
    assert [edge.type for edge in roof.edges] == [EdgeType.EAVE, EdgeType.RAKE, EdgeType.HIGH_EAVE, EdgeType.RAKE]
    assert edges["south eave"].end[2] == 3.0
    assert edges["north high eave"].end[2] == pytest.approx(3 + 6 * math.tan(math.radians(30)))
    assert roof.facets[0].id == "south"


def test_gables_of_a_rectangle_stand_on_its_short_sides() -> None:
    roof = made(form="gable")
    assert [facet.id for facet in roof.facets] == ["south", "north"]
    assert [edge.name for edge in roof.edges] == [
        "south eave",
        "north eave",
        "east rake (south side)",
        "east rake (north side)",
        "west rake (south side)",
        "west rake (north side)",
        "main ridge",
    ]
    ridge = by_name(roof)["main ridge"]
    assert sorted([ridge.start.tolist(), ridge.end.tolist()]) == [[0, 3, pytest.approx(6)], [10, 3, pytest.approx(6)]]
    assert "gables taken over the side from (10, 0) to (10, 6)" in roof.notes[0]


def test_gables_stand_where_they_are_asked_for() -> None:
    roof = made(form="gable", gable_sides=(0, 2))
    assert [facet.id for facet in roof.facets] == ["east", "west"]
    assert roof.notes == ()


def test_hip_roof_of_a_rectangle() -> None:
    roof = made()
    assert [facet.id for facet in roof.facets] == ["south", "east", "north", "west"]
    assert types(roof) == {EdgeType.EAVE: 4, EdgeType.HIP: 4, EdgeType.RIDGE: 1}
    assert by_name(roof)["south-east hip"].start.tolist() == [10, 0, 3]


def test_pyramid_has_no_ridge() -> None:
    assert types(made([(0, 0), (6, 0), (6, 6), (0, 6)])) == {EdgeType.EAVE: 4, EdgeType.HIP: 4}


def test_hip_roof_of_an_l_has_a_valley_a_lower_ridge_and_a_hip_between_the_ridges() -> None:
    roof = made(L_PLAN)
    assert types(roof) == {EdgeType.EAVE: 6, EdgeType.HIP: 6, EdgeType.RIDGE: 2, EdgeType.VALLEY: 1}
    edges = by_name(roof)
    assert edges["main ridge"].start[2] == pytest.approx(6)  # 3 m over a wing 6 m wide
    assert edges["ridge 2"].start[2] == pytest.approx(5.5)  # 2.5 m over a wing 5 m wide
    assert edges["north-east valley"].start.tolist() == [5, 6, 3]


def test_gables_of_an_l_stand_on_the_ends_of_its_wings() -> None:
    roof = made(L_PLAN, form="gable")
    assert types(roof) == {EdgeType.EAVE: 4, EdgeType.RAKE: 4, EdgeType.HIP: 2, EdgeType.RIDGE: 2, EdgeType.VALLEY: 1}
    assert {edge.name for edge in roof.edges if edge.type is EdgeType.RAKE} == {
        "east rake (south side)",
        "east rake (north side)",
        "north rake (east side)",
        "north rake (west side)",
    }


def test_slope_on_both_sides_of_a_wing_is_one_facet_with_two_eaves() -> None:
    roof = made(T_PLAN, form="gable")
    assert [facet.id for facet in roof.facets] == ["south", "north", "east", "west"]
    edges = by_name(roof)
    assert edges["north eave 1"].facets == edges["north eave 2"].facets == ("north",)
    ridge = edges["main ridge"]  # in one piece, though two faces of the skeleton end at it
    assert abs(ridge.end[0] - ridge.start[0]) == pytest.approx(12)


def test_courtyard_slopes_inward_all_round() -> None:
    roof = made([(0, 0), (14, 0), (14, 12), (0, 12)], holes=[[(6, 5), (8, 5), (8, 7), (6, 7)]])
    assert sum(facet.id.startswith("courtyard") for facet in roof.facets) == 4
    assert types(roof)[EdgeType.VALLEY] == 4
    assert by_name(roof)["courtyard south eave"].start[1] == 7  # the slope north of the courtyard falls south into it


def test_flat_roof_with_a_courtyard_has_a_hole() -> None:
    roof = made(form="flat", pitches=[0], holes=[[(4, 2), (6, 2), (6, 4), (4, 4)]])
    assert len(roof.facets[0].holes) == 1
    assert {edge.name for edge in roof.edges} >= {"courtyard north eave", "courtyard east eave"}


def test_shaft_with_plumb_walls_leaves_a_hole_in_the_slope() -> None:
    shaft = [(3, 1), (5, 1), (5, 2), (3, 2)]
    roof = made(form="gable", gable_sides=(1, 3, 4, 5, 6, 7), holes=[shaft])
    south = roof.facets[0]
    assert len(south.holes) == 1
    edges = by_name(roof)
    assert edges["courtyard north high eave"].start[2] == pytest.approx(4)  # the slope ends 1 m up, above the shaft
    assert edges["courtyard south eave"].start[2] == pytest.approx(5)  # and goes on beyond it
    assert edges["courtyard south eave"].type is EdgeType.EAVE


# pitches, heights, overhang ----------------------------------------------------------------------------------------


def test_each_side_has_its_own_pitch() -> None:
    roof = made(pitches=[20, 60, 30, 50])
    assert [facet_pitch(facet) for facet in roof.facets] == pytest.approx([20, 60, 30, 50])


def test_clockwise_outline_keeps_the_numbers_of_its_sides() -> None:
    """Given clockwise from the same corner, side 0 is the west side and side 3 the south side."""
    roof = made([(0, 0), (0, 6), (10, 6), (10, 0)], pitches=[20, 60, 30, 50])
    pitches = {facet.id: round(facet_pitch(facet), 9) for facet in roof.facets}
    assert pitches == {"west": 20, "north": 60, "east": 30, "south": 50}
    assert "clockwise" in roof.notes[0]


def test_clockwise_shed_rises_to_the_side_that_was_named() -> None:
    roof = made([(0, 0), (0, 6), (10, 6), (10, 0)], form="shed", pitches=[20], high_side=0)
    assert by_name(roof)["west high eave"].start[0] == 0


def test_clockwise_hole_is_the_same_hole() -> None:
    hole: Ring = [(4, 2.5), (6, 2.5), (6, 3.5), (4, 3.5)]
    pitches = [40, 40, 40, 40, 30, 35, 40, 45]
    one = made(pitches=pitches, holes=[hole])
    turned = made(pitches=[40, 40, 40, 40, 40, 35, 30, 45], holes=[hole[::-1]])
    for facet in one.facets:
        assert facet_pitch(turned.by_id[facet.id]) == pytest.approx(facet_pitch(facet))


def test_roof_edge_lies_at_the_eave_height_out_at_the_end_of_the_overhang() -> None:
    roof = made(overhang=0.5)
    eave = by_name(roof)["south eave"]
    assert eave.start.tolist() == [-0.5, -0.5, 3]
    assert eave.end.tolist() == [10.5, -0.5, 3]
    assert roof.overhang == 0.5
    assert roof.walls is not None
    assert roof.walls.tolist() == [list(corner) for corner in RECTANGLE]


def test_overhang_keeps_the_ridge_over_the_middle_and_raises_it_with_the_width() -> None:
    ridge = by_name(made(form="gable", overhang=0.5))["main ridge"]
    assert ridge.start[1] == pytest.approx(3)
    assert ridge.start[2] == pytest.approx(3 + 3.5)
    assert ridge.length == pytest.approx(11)


def test_overhang_reaches_into_a_courtyard() -> None:
    roof = made(holes=[[(4, 2), (6, 2), (6, 4), (4, 4)]], overhang=0.25)
    assert by_name(roof)["courtyard north eave"].start.tolist() == [5.75, 2.25, 3]


def test_corner_on_a_straight_side_is_left_out_and_told() -> None:
    roof = made([(0, 0), (4, 0), (10, 0), (10, 6), (0, 6)])
    assert len(roof.facets) == 4
    assert roof.notes == ("the corner (4, 0) m lies on a straight side and was left out",)


def test_side_numbers_count_corners_on_straight_sides() -> None:
    roof = made([(0, 0), (4, 0), (10, 0), (10, 6), (0, 6)], pitches=[30, 30, 40, 50, 60])
    assert [round(facet_pitch(facet), 9) for facet in roof.facets] == [30, 40, 50, 60]


# what holds for every roof -----------------------------------------------------------------------------------------

ROOFS = {
    "flat": made(form="flat", pitches=[0]),
    "shed": made(L_PLAN, form="shed", pitches=[20], high_side=0),
    "gable": made(form="gable", overhang=0.4),
    "hip": made(pitches=[30, 40, 50, 60]),
    "L hip": made(L_PLAN, overhang=0.3),
    "L gable": made(L_PLAN, form="gable"),
    "T gable": made(T_PLAN, form="gable"),
    "T hip": made(T_PLAN, pitches=[30, 35, 40, 45, 50, 45, 40, 35]),
    "courtyard": made([(0, 0), (14, 0), (14, 12), (0, 12)], holes=[[(6, 5), (8, 5), (8, 7), (6, 7)]]),
}


@pytest.mark.parametrize("roof", ROOFS.values(), ids=ROOFS)
def test_every_side_of_every_facet_is_covered_by_edges_once(roof: Roof) -> None:
    for facet in roof.facets:
        rings = (facet.ring, *facet.holes)
        around = sum(float(np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum()) for ring in rings)
        assert sum(edge.length for edge in roof.edges if facet.id in edge.facets) == pytest.approx(around)


@pytest.mark.parametrize("roof", ROOFS.values(), ids=ROOFS)
def test_fall_edges_have_their_one_facet_on_the_left(roof: Roof) -> None:
    from shapely import Point, Polygon

    boundary = list(roof.boundary)
    assert boundary
    for edge in boundary:
        (name,) = edge.facets
        run = edge.end[:2] - edge.start[:2]
        left = (edge.start[:2] + edge.end[:2]) / 2 + 1e-6 * np.array([-run[1], run[0]]) / np.hypot(*run)
        facet = roof.by_id[name]
        assert Polygon(facet.ring[:, :2], [hole[:, :2] for hole in facet.holes]).contains(Point(left))


@pytest.mark.parametrize("roof", ROOFS.values(), ids=ROOFS)
def test_names_are_unique(roof: Roof) -> None:
    assert len({edge.name for edge in roof.edges}) == len(roof.edges)
    assert len({facet.id for facet in roof.facets}) == len(roof.facets)


@pytest.mark.parametrize("roof", ROOFS.values(), ids=ROOFS)
def test_facets_are_planar_and_run_counterclockwise(roof: Roof) -> None:
    for facet in roof.facets:
        assert facet_pitch(facet) < 85
        away = facet.ring - facet.ring.mean(axis=0)
        assert np.linalg.svd(away)[1][2] < 1e-9


@pytest.mark.parametrize("roof", ROOFS.values(), ids=ROOFS)
def test_only_ridges_and_eaves_are_level(roof: Roof) -> None:
    for edge in roof.edges:
        is_level = abs(edge.end[2] - edge.start[2]) < 1e-9
        assert is_level == (edge.type in (EdgeType.EAVE, EdgeType.HIGH_EAVE, EdgeType.RIDGE))


# what is refused ---------------------------------------------------------------------------------------------------

NAN = math.nan
REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "crossing": (
        {"outline": BOW_TIE},
        "outline",
        r"cross or touch near \(2, 2\) m: the side from \(0, 0\) to \(4, 4\)",
    ),
    "touching": ({"outline": [(0, 0), (8, 0), (8, 6), (4, 0), (0, 6)]}, "outline", r"touch near \(4, 0\)"),
    "doubling back": ({"outline": [(0, 0), (8, 0), (4, 0), (4, 5)]}, "outline", "cross or touch"),
    "two corners": ({"outline": [(0, 0), (8, 0)]}, "outline", "three corners or more"),
    "one corner twice": ({"outline": [(0, 0), (8, 0), (8, 0), (4, 5)]}, "outline", r"\(8, 0\) m twice running"),
    "closed by hand": ({"outline": [*RECTANGLE, (0, 0)]}, "outline", "closes by itself"),
    "no area": ({"outline": [(0, 0), (8, 0), (4, 1e-8)]}, "outline", "cross or touch|no area"),
    "not a number": ({"outline": [(0, 0), (8, NAN), (8, 5)]}, r"outline\[1\]", "nan"),
    "off the map": ({"outline": [(0, 0), (1e12, 0), (8, 5)]}, r"outline\[1\]", "map"),
    "not pairs": ({"outline": [(0, 0, 1), (8, 0, 1), (8, 5, 1)]}, "outline", "pair of lengths"),
    "words": ({"outline": [("a", 0), (8, 0), (8, 5)]}, "outline", "pair of lengths"),
    "form": ({"form": "mansard"}, "form", "flat, shed, gable, hip"),
    "eave height": ({"eave_height": NAN}, "eave_height", "nan"),
    "overhang": ({"overhang": -0.1}, "overhang", "0 or more"),
    "number of pitches": ({"pitches": [30, 40]}, "pitches", "2 pitches for 4 sides"),
    "zero pitch": ({"pitches": [45, 45, 0, 45]}, r"pitches\[2\]", r"side from \(10, 6\) to \(0, 6\)"),
    "negative pitch": ({"pitches": [-5]}, r"pitches\[0\]", "above 0"),
    "wall": ({"pitches": [85]}, r"pitches\[0\]", "below 85"),
    "pitch not a number": ({"pitches": [NAN]}, r"pitches\[0\]", "above 0"),
    "steep flat": ({"form": "flat", "pitches": [85]}, "pitches", "of 0 or more and below 85"),
    "level shed": ({"form": "shed", "pitches": [0], "high_side": 1}, "pitches", "above 0"),
    "unlike pitches of a shed": ({"form": "shed", "pitches": [9, 9, 9, 8], "high_side": 1}, "pitches", "one slope"),
    "shed without high side": ({"form": "shed", "pitches": [9]}, "high_side", "missing"),
    "sloping flat without": ({"form": "flat", "pitches": [2]}, "high_side", "missing"),
    "no such side": ({"form": "shed", "pitches": [9], "high_side": 4}, "high_side", "0 to 3"),
    "hip with high side": ({"high_side": 1}, "high_side", "leave it out"),
    "hip with gables": ({"gable_sides": [1]}, "gable_sides", "give the form as gable"),
    "flat with gables": ({"form": "flat", "pitches": [0], "gable_sides": [1]}, "gable_sides", "no gables"),
    "no such gable": ({"form": "gable", "gable_sides": [7]}, "gable_sides", "0 to 3"),
    "nothing but gables": ({"form": "gable", "gable_sides": [0, 1, 2, 3]}, "gable_sides", "at least one side"),
    "gables side by side": ({"form": "gable", "gable_sides": [0, 1]}, "gable_sides", r"share a corner.*\(10, 0\)"),
    "gables of a square": (
        {"form": "gable", "outline": [(0, 0), (6, 0), (6, 6), (0, 6)]},
        "gable_sides",
        "a square has no short sides",
    ),
    "gables of a triangle": ({"form": "gable", "outline": [(0, 0), (6, 0), (3, 6)]}, "gable_sides", "say which sides"),
    "straight side of two pitches": (
        {"outline": [(0, 0), (4, 0), (10, 0), (10, 6), (0, 6)], "pitches": [30, 40, 30, 30, 30]},
        "pitches",
        r"30 degrees and 40 degrees over the side from \(0, 0\) to \(4, 0\) m and",
    ),
    "two roofs": (
        {
            "outline": [(10, 0), (10, 5.5), (10.5, 5.5), (10.5, 12.5), (4.5, 12.5), (4.5, 11), (0, 11), (0, 0)],
            "pitches": [45, 40, 45, 30, 30, 45, 45, 45],
        },
        "pitches",
        "come to lie in one line",
    ),
    "overhang across a notch": (
        {"outline": [(0, 0), (12, 0), (12, 8), (7, 8), (7, 4), (6, 4), (6, 8), (0, 8)], "overhang": 0.6},
        "overhang",
        r"0.6 m.*\(7, 4\) to \(6, 4\)",
    ),
    "overhang over a courtyard": (
        {"holes": [[(4, 2), (5, 2), (5, 4), (4, 4)]], "overhang": 0.5},
        "overhang",
        "give a smaller overhang",
    ),
    "overhangs that meet": (
        {
            "outline": [(0, 0), (9, 0), (9, 9), (5, 9), (5, 8), (8, 8), (8, 1), (1, 1), (1, 8), (4, 8), (4, 9), (0, 9)],
            "overhang": 0.6,
        },
        "overhang",
        "meet near",
    ),
    "hole outside": ({"holes": [[(20, 2), (21, 2), (21, 3)]]}, r"holes\[0\]", "outside the outline"),
    "hole across the outline": ({"holes": [[(9, 2), (11, 2), (11, 3)]]}, "outline", "cross or touch"),
    "hole in a hole": (
        {"holes": [[(2, 1), (8, 1), (8, 5), (2, 5)], [(4, 2), (5, 2), (5, 3)]]},
        r"holes\[1\]",
        "inside another",
    ),
}


@pytest.mark.parametrize(("given", "field", "text"), REFUSED.values(), ids=REFUSED)
def test_impossible_roof_is_refused_with_its_place(given: dict[str, Any], field: str, text: str) -> None:
    with pytest.raises(RoofError, match=text) as caught:
        made(**({"outline": RECTANGLE} | given))
    assert re.fullmatch(field, caught.value.field)


def test_gables_side_by_side_under_a_straight_corner_are_one_gable() -> None:
    outline = [(0, 0), (10, 0), (10, 3), (10, 6), (0, 6)]
    roof = made(outline, form="gable", gable_sides=(1, 2, 4))
    assert types(roof)[EdgeType.RAKE] == 4
