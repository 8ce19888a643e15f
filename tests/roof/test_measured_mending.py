"""What is mended in measured facets, and what is refused.

Expected values: worked by hand from the shapes given.
"""

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof import EdgeType
from ropewright.roof.facets import facet_area, facet_pitch
from ropewright.roof.measured import measured_roof, roof_from_facets

SOUTH = [[0, 0, 3], [8, 0, 3], [8, 4, 6], [0, 4, 6]]
NORTH = [[8, 8, 3], [0, 8, 3], [0, 4, 6], [8, 4, 6]]


def level(west, south, east, north, height):
    return [[west, south, height], [east, south, height], [east, north, height], [west, north, height]]


def note(roof, words):
    return next(note for note in roof.notes if words in note)


def test_a_facet_that_faces_down_is_turned_over():
    roof = roof_from_facets([("south", SOUTH[::-1], ()), ("north", NORTH, ())])
    assert facet_pitch(roof.by_id["south"]) == pytest.approx(36.8699, abs=1e-4)
    assert note(roof, "faced down, turned over").endswith("south")
    assert sum(edge.type is EdgeType.RIDGE for edge in roof.edges) == 1


def test_a_surface_that_faces_down_under_another_is_its_underside():
    under = [[x, y, z - 0.3] for x, y, z in SOUTH[::-1]]
    roof = roof_from_facets([("south", SOUTH, ()), ("soffit", under, ()), ("north", NORTH, ())])
    assert {facet.id for facet in roof.facets} == {"south", "north"}
    assert note(roof, "underside").endswith("soffit")


def test_corners_that_stand_twice_and_corners_in_a_straight_line_go():
    ring = [[0, 0, 3], [4, 0, 3], [8, 0, 3], [8, 0, 3], [8, 4, 6], [0, 4, 6], [0, 0, 3]]
    roof = roof_from_facets([("south", ring, ()), ("north", NORTH, ())])
    assert len(roof.by_id["south"].ring) == 4
    assert note(roof, "stood twice").endswith("south")
    assert sum(edge.type is EdgeType.EAVE for edge in roof.edges) == 2


def test_corners_within_the_tolerance_become_one():
    apart = [[8, 8, 3], [0, 8, 3], [0, 4.012, 6], [8.01, 4, 6]]
    roof = roof_from_facets([("south", SOUTH, ()), ("north", apart, ())])
    ridge = next(edge for edge in roof.edges if edge.type is EdgeType.RIDGE)
    assert ridge.facets == ("south", "north")
    assert "0.012 m apart" in note(roof, "joined")


def test_corners_farther_apart_than_the_tolerance_stay_apart():
    apart = [[x, y + 0.2, z] for x, y, z in NORTH]
    roof = roof_from_facets([("south", SOUTH, ()), ("north", apart, ())])
    assert not any(edge.type is EdgeType.RIDGE for edge in roof.edges)


def test_a_neighbours_corner_in_the_middle_of_an_edge_splits_it():
    roof = roof_from_facets(
        [("wide", level(0, 0, 8, 4, 3), ()), ("left", level(0, 4, 3, 8, 3), ()), ("right", level(3, 4, 8, 8, 3), ())]
    )
    creases = sorted(edge.length for edge in roof.edges if len(edge.facets) == 2)
    assert creases == pytest.approx([3.0, 4.0, 5.0])
    assert len(roof.by_id["wide"].ring) == 5
    assert roof.notes == ()


def test_an_edge_that_misses_a_neighbours_corner_is_joined_to_it():
    left, right = level(0, 4.01, 3, 8, 3), level(3, 4.01, 8, 8, 3)
    left[0], right[1] = [0, 4, 3], [8, 4, 3]
    roof = roof_from_facets([("wide", level(0, 0, 8, 4, 3), ()), ("left", left, ()), ("right", right, ())])
    assert sum(len(edge.facets) == 2 for edge in roof.edges) == 3
    assert "0.010 m" in note(roof, "missed a neighbour's corner")


def test_a_corner_near_an_edge_of_its_own_facet_is_not_joined_to_it():
    ring = [[0, 0, 3], [4, 0, 3], [4, 4, 3], [0, 4, 3], [0, 3, 3], [3.985, 2, 3], [0, 1, 3]]
    roof = roof_from_facets([("waist", ring, ()), ("north", level(0, 4, 4, 6, 3), ())])
    assert len(roof.by_id["waist"].ring) == 7


def test_a_sliver_is_dropped_and_its_neighbours_meet():
    sliver = [[0, 4, 6], [8, 4, 6], [4, 4.015, 6]]
    north = [[8, 8, 3], [0, 8, 3], [0, 4, 6], [4, 4.015, 6], [8, 4, 6]]
    roof = roof_from_facets([("south", SOUTH, ()), ("sliver", sliver, ()), ("north", north, ())])
    assert note(roof, "slivers").endswith("sliver")
    assert {edge.type for edge in roof.edges if len(edge.facets) == 2} == {EdgeType.RIDGE}
    assert sum(edge.type.is_boundary for edge in roof.edges) == 6


def test_a_facet_that_stands_twice_is_taken_once():
    roof = roof_from_facets([("south", SOUTH, ()), ("again", SOUTH, ()), ("north", NORTH, ())])
    assert [facet.id for facet in roof.facets] == ["south", "north"]


def test_a_facet_a_little_out_of_plane_is_made_planar():
    warped = [[0, 0, 3], [8, 0, 3.03], [8, 4, 6], [0, 4, 6]]
    found = measured_roof([("south", warped, ())])
    ring = found.roof.facets[0].ring
    assert np.linalg.svd(ring - ring.mean(axis=0))[1][2] < 1e-3
    assert "to make facets planar: south" in found.mended[0]
    assert np.abs(ring - np.array(warped)).max() < 0.02


def test_a_facet_far_out_of_plane_is_refused_with_the_distance():
    """Corners of a square, one lifted by 0.2 m, stand 0.05 m off the best plane (a quarter each)."""
    lifted = [[0, 0, 3], [4, 0, 3], [4, 4, 3.2], [0, 4, 3]]
    with pytest.raises(RoofError, match=r"facet south: got 'a corner 0\.050 m off its plane'.*within 0\.02 m"):
        roof_from_facets([("south", lifted, ())])
    assert roof_from_facets([("south", lifted, ())], plane_tolerance=0.06).facets


@pytest.mark.parametrize(
    ("ring", "words"),
    [
        ([[0, 0, 0], [4, 4, 0], [4, 0, 0], [0, 4, 0]], r"crosses itself near \(2\.000, 2\.000\)"),
        ([[0, 0, 0], [4, 0, 0], [0, 4, 0], [5, 4, 0]], "crosses itself near"),
        ([[0, 0, 0], [4, 0, 0]], "three corners or more"),
        ([[0, 0, 0], [4, 0, 0], [8, 0, 0]], "don't stand in one line"),
        ([[1, 1, 1], [1, 1, 1], [1, 1, 1]], "don't stand in one line"),
        ([[0, 0, 0], [4, 0, 0], [4, 4, float("nan")]], "no place on a map"),
        ([[0, 0, 0], [4, 0, 0], [4, 4, float("inf")]], "no place on a map"),
        ([[0, 0, 0], [4, 0, 0], [4, 4, 1e9]], "no place on a map"),
        ([[0, 0], [4, 0], [4, 4]], "three numbers each"),
        ([["a", 0, 0], [4, 0, 0], [4, 4, 0]], "three numbers for each corner"),
    ],
    ids=["bow-tie", "crossing", "two", "line", "point", "nan", "inf", "far", "flat", "text"],
)
def test_a_facet_that_is_none_is_refused_by_name(ring, words):
    with pytest.raises(RoofError, match=f"facet bad: .*{words}"):
        roof_from_facets([("good", SOUTH, ()), ("bad", ring, ())])


def test_a_hole_outside_its_facet_is_refused():
    with pytest.raises(RoofError, match="facet flat: got 'a hole outside its outline'"):
        roof_from_facets([("flat", level(0, 0, 4, 4, 3), [level(5, 5, 6, 6, 3)])])


def test_ids_that_stand_twice_are_refused():
    with pytest.raises(RoofError, match="facet south: got 'an id that stands twice'"):
        roof_from_facets([("south", SOUTH, ()), ("south", NORTH, ())])


@pytest.mark.parametrize("facets", [[], [("wall", [[0, 0, 0], [4, 0, 0], [4, 0, 3]], ())]], ids=["none", "wall"])
def test_a_roof_without_a_facet_to_stand_on_is_refused(facets):
    with pytest.raises(RoofError, match="less than 80 deg steep"):
        roof_from_facets(facets)


def test_a_roof_of_slivers_alone_is_refused():
    with pytest.raises(RoofError, match="none wide enough"):
        roof_from_facets([("thin", level(0, 0, 5, 0.01, 3), ())])


def test_more_facets_than_a_roof_has_are_refused():
    many = [(str(i), level(i, 0, i + 1, 1, 3), ()) for i in range(1501)]
    with pytest.raises(RoofError, match="1501 with 6004 corners, 4 in one ring"):
        roof_from_facets(many)
    turn = np.linspace(0, 2 * np.pi, 1002)[:-1]
    disc = np.column_stack((np.cos(turn), np.sin(turn), 0 * turn))
    with pytest.raises(RoofError, match="1 with 1001 corners, 1001 in one ring"):
        roof_from_facets([("disc", disc, ())])


def test_tolerances_must_be_above_nothing():
    with pytest.raises(ValueError, match="above 0 m"):
        roof_from_facets([("south", SOUTH, ())], tolerance=0.0)


def test_a_hole_given_either_way_round_is_taken_off():
    for hole in (level(1, 1, 2, 2, 3), level(1, 1, 2, 2, 3)[::-1]):
        roof = roof_from_facets([("f", level(0, 0, 4, 4, 3), [hole]), ("cap", level(1, 1, 2, 2, 4), ())])
        assert facet_area(roof.by_id["f"]) == pytest.approx(15.0)


def test_a_long_row_of_names_is_cut():
    strips = [(f"s{i}", level(0, i, 8, i + 1, 3)[::-1], ()) for i in range(9)]
    assert note(roof_from_facets(strips), "turned over").endswith("s0, s1, s2, s3 and 5 more")
