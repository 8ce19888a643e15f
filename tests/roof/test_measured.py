"""Roofs from measured facets: which edges they have.

Expected values: plans worked by hand. The L plan is the 45 deg hip roof over two wings 4 m wide, whose ridges lie 2 m
above the eaves, half-way between them.
"""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.roof import EdgeType, Roof
from ropewright.roof.measured import roof_from_facets

GABLE = [
    ("south", [[0, 0, 3], [8, 0, 3], [8, 4, 6], [0, 4, 6]], ()),
    ("north", [[8, 8, 3], [0, 8, 3], [0, 4, 6], [8, 4, 6]], ()),
]
HIP = [
    ("south", [[0, 0, 3], [10, 0, 3], [7, 3, 6], [3, 3, 6]], ()),
    ("north", [[10, 6, 3], [0, 6, 3], [3, 3, 6], [7, 3, 6]], ()),
    ("east", [[10, 0, 3], [10, 6, 3], [7, 3, 6]], ()),
    ("west", [[0, 6, 3], [0, 0, 3], [3, 3, 6]], ()),
]
L_HIP = [
    ("south", [[0, 0, 0], [10, 0, 0], [8, 2, 2], [2, 2, 2]], ()),
    ("east end", [[10, 0, 0], [10, 4, 0], [8, 2, 2]], ()),
    ("inner north", [[10, 4, 0], [4, 4, 0], [2, 2, 2], [8, 2, 2]], ()),
    ("inner east", [[4, 4, 0], [4, 10, 0], [2, 8, 2], [2, 2, 2]], ()),
    ("north end", [[4, 10, 0], [0, 10, 0], [2, 8, 2]], ()),
    ("west", [[0, 10, 0], [0, 0, 0], [2, 2, 2], [2, 8, 2]], ()),
]
SHED = [("top", [[0, 0, 3], [6, 0, 3], [6, 4, 4], [0, 4, 4]], ())]
ROOFS = {"gable": GABLE, "hip": HIP, "L": L_HIP, "shed": SHED}


def level(west, south, east, north, height):
    return [[west, south, height], [east, south, height], [east, north, height], [west, north, height]]


def types(roof: Roof) -> Counter[str]:
    return Counter(edge.type.value for edge in roof.edges)


def named(roof: Roof, name: str):
    return next(edge for edge in roof.edges if edge.name == name)


def shapes(roof: Roof) -> list[tuple[str, float]]:
    return sorted((edge.type.value, round(edge.length, 3)) for edge in roof.edges)


def outer_loops(roof: Roof) -> int:
    """Count the loops into which the edges of one facet alone close; fails where one does not close."""
    outer = [edge for edge in roof.edges if len(edge.facets) == 1]
    after = {tuple(edge.start.round(6)): tuple(edge.end.round(6)) for edge in outer}
    assert len(after) == len(outer)
    loops = 0
    while after:
        start, at = after.popitem()
        while at != start:
            at = after.pop(at)
        loops += 1
    return loops


def test_a_gable_has_a_ridge_two_eaves_and_four_rakes():
    roof = roof_from_facets(GABLE)
    assert types(roof) == {"eave": 2, "rake": 4, "ridge": 1}
    assert {edge.name for edge in roof.edges} == {
        "south eave",
        "north eave",
        "east rake",
        "east rake 2",
        "west rake",
        "west rake 2",
        "ridge",
    }
    assert named(roof, "ridge").facets == ("south", "north")
    assert named(roof, "east rake").length == pytest.approx(5.0)
    assert roof.notes == ()


def test_a_hip_roof_has_a_ridge_four_hips_and_eaves_all_round():
    roof = roof_from_facets(HIP)
    assert types(roof) == {"eave": 4, "hip": 4, "ridge": 1}
    assert named(roof, "south-east hip").length == pytest.approx(np.sqrt(27.0))


def test_an_inner_corner_has_a_valley():
    roof = roof_from_facets(L_HIP)
    assert types(roof) == {"eave": 6, "hip": 5, "valley": 1, "ridge": 2}
    valley = next(edge for edge in roof.edges if edge.type is EdgeType.VALLEY)
    assert sorted([valley.start.tolist(), valley.end.tolist()]) == [[2, 2, 2], [4, 4, 0]]
    assert set(valley.facets) == {"inner north", "inner east"}


def test_a_shed_falls_off_at_its_top_too():
    roof = roof_from_facets(SHED)
    assert types(roof) == {"eave": 1, "high eave": 1, "rake": 2}
    assert named(roof, "north high eave").start[2] == 4.0


def test_every_outer_edge_of_a_flat_roof_is_an_eave():
    assert types(roof_from_facets([("flat", level(0, 0, 5, 4, 3), ())])) == {"eave": 4}


def test_one_slope_that_changes_its_pitch_has_a_break():
    roof = roof_from_facets(
        [
            ("steep", [[0, 0, 0], [8, 0, 0], [8, 2, 3], [0, 2, 3]], ()),
            ("shallow", [[0, 2, 3], [8, 2, 3], [8, 6, 4], [0, 6, 4]], ()),
        ]
    )
    assert named(roof, "south break").type is EdgeType.BREAK
    assert types(roof)["eave"] == 1


def test_a_flat_deck_over_a_slope_ends_in_a_break_and_no_ridge():
    slope = [[0, 0, 0], [8, 0, 0], [8, 3, 3], [0, 3, 3]]
    roof = roof_from_facets([("slope", slope, ()), ("deck", level(0, 3, 8, 7, 3), ())])
    assert types(roof) == {"eave": 4, "rake": 2, "break": 1}


def test_a_flat_roof_that_runs_into_a_slope_has_a_valley():
    roof = roof_from_facets(
        [("flat", level(0, 0, 8, 3, 2), ()), ("slope", [[0, 3, 2], [8, 3, 2], [8, 6, 4], [0, 6, 4]], ())]
    )
    assert types(roof)["valley"] == 1


@pytest.mark.parametrize("name", ROOFS)
def test_a_fall_edge_has_its_facet_on_the_left(name):
    roof = roof_from_facets(ROOFS[name])
    for edge in roof.boundary:
        ring = roof.by_id[edge.facets[0]].ring
        middle = (edge.start + edge.end)[:2] / 2
        run, inward = (edge.end - edge.start)[:2], ring[:, :2].mean(axis=0) - middle
        assert run[0] * inward[1] - run[1] * inward[0] > 0


@pytest.mark.parametrize("name", ROOFS)
def test_names_are_unique_and_outer_edges_close(name):
    roof = roof_from_facets(ROOFS[name])
    assert len({edge.name for edge in roof.edges}) == len(roof.edges)
    assert outer_loops(roof) == 1


# steps, walls and roofs that lie over each other -------------------------------------------------------------------


def test_beside_a_higher_roof_the_lower_edge_is_a_wall_and_the_upper_one_a_fall_edge():
    roof = roof_from_facets([("high", level(0, 0, 5, 5, 6), ()), ("low", level(5, 0, 9, 5, 3), ())])
    assert named(roof, "west wall").facets == ("low",)
    assert named(roof, "east eave").type is EdgeType.EAVE
    assert {edge.facets[0] for edge in roof.edges if edge.name.startswith("east eave")} == {"high", "low"}
    assert outer_loops(roof) == 2


def test_an_edge_is_cut_where_the_wall_beside_it_ends():
    roof = roof_from_facets([("high", level(0, 0, 5, 5, 6), ()), ("low", level(5, 2, 9, 8, 3), ())])
    wall = named(roof, "west wall")
    assert sorted([wall.start[1], wall.end[1]]) == pytest.approx([2.0, 5.0])
    [beyond] = [e for e in roof.edges if e.facets == ("low",) and e.start[0] == e.end[0] == 5.0 and e is not wall]
    assert beyond.type is EdgeType.EAVE
    assert beyond.length == pytest.approx(3.0)
    assert outer_loops(roof) == 2


def test_where_a_slope_dips_below_its_neighbour_the_wall_ends():
    """A shed rising from 2 m to 6 m beside a flat roof at 4 m: they are level with each other half-way."""
    roof = roof_from_facets(
        [("slope", [[0, 0, 2], [4, 0, 2], [4, 8, 6], [0, 8, 6]], ()), ("flat", level(4, 0, 8, 8, 4), ())]
    )
    slope_wall = next(e for e in roof.edges if e.type is EdgeType.WALL and e.facets == ("slope",))
    flat_wall = next(e for e in roof.edges if e.type is EdgeType.WALL and e.facets == ("flat",))
    assert sorted([slope_wall.start[1], slope_wall.end[1]]) == pytest.approx([0.0, 4.0], abs=0.11)
    assert sorted([flat_wall.start[1], flat_wall.end[1]]) == pytest.approx([4.0, 8.0], abs=0.11)


def test_a_canopy_over_an_edge_is_no_wall():
    roof = roof_from_facets([("low", level(0, 0, 10, 10, 3), ()), ("canopy", level(5, -2, 15, 12, 6), ())])
    assert types(roof) == {"eave": 8}
    assert any("under another facet" in note for note in roof.notes)


def test_the_wall_of_a_higher_roof_ends_where_that_roof_begins_to_hang_over():
    """The higher roof stands along the whole edge, and over its west half hangs 2 m beyond it."""
    high = [[0, 2, 6], [4, 2, 6], [4, 4, 6], [8, 4, 6], [8, 9, 6], [0, 9, 6]]
    roof = roof_from_facets([("low", level(0, 0, 8, 4, 3), ()), ("high", high, ())])
    wall = named(roof, "north wall")
    assert sorted([wall.start[0], wall.end[0]]) == pytest.approx([4.0, 8.0])
    assert [e.length for e in roof.edges if e.facets == ("low",) and e.name.startswith("north eave")] == [4.0]


def test_a_gap_wider_than_the_probe_is_a_fall_edge():
    roof = roof_from_facets([("high", level(0, 0, 5, 5, 6), ()), ("low", level(5.06, 0, 9, 5, 3), ())])
    assert types(roof) == {"eave": 8}


def test_a_step_no_higher_than_the_probe_is_a_crease():
    roof = roof_from_facets([("a", level(0, 0, 5, 5, 3.04), ()), ("b", level(5, 0, 9, 5, 3), ())])
    assert types(roof) == {"eave": 6, "break": 2}
    assert any("without sharing its corners" in note for note in roof.notes)


def test_a_dormer_that_runs_into_the_slope_behind_it_has_a_valley_there():
    roof = roof_from_facets(
        [
            ("slope", [[0, 0, 0], [10, 0, 0], [10, 8, 8], [0, 8, 8]], ()),
            ("dormer", level(4, 1, 6, 3, 3), ()),
        ]
    )
    assert named(roof, "south valley").facets == ("dormer", "slope")
    assert types(roof)["eave"] == 4


def test_a_surface_steeper_than_80_degrees_is_a_wall_that_ends_the_fall_edge_below_it():
    low, high = level(0, 0, 6, 4, 3), [[0, 4.1, 5], [6, 4.1, 5], [6, 8, 5], [0, 8, 5]]
    cheek = [[0, 4, 3], [6, 4, 3], [6, 4.1, 5], [0, 4.1, 5]]
    roof = roof_from_facets([("low", low, ()), ("cheek", cheek, ()), ("high", high, ())])
    assert named(roof, "north wall").facets == ("low",)
    assert {facet.id for facet in roof.facets} == {"low", "high"}
    assert any("steeper than 80 deg" in note and "cheek" in note for note in roof.notes)


# holes -------------------------------------------------------------------------------------------------------------


def test_an_empty_hole_is_an_unguarded_opening_with_its_rim():
    roof = roof_from_facets([("flat", level(0, 0, 10, 10, 5), [level(2, 2, 4, 3, 5)])])
    [opening] = roof.openings
    assert (opening.facet, opening.guard) == ("flat", "none")
    x, y = opening.ring[:, 0], opening.ring[:, 1]
    assert 0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) == pytest.approx(2.0)  # counterclockwise
    rims = [edge for edge in roof.edges if edge.type is EdgeType.OPENING]
    assert {edge.name for edge in rims} == {f"opening {side} rim" for side in ("north", "south", "east", "west")}
    assert named(roof, "opening north rim").start[1] == 3.0
    assert roof.facets[0].holes == ()  # it is cut out once, as an opening


def test_a_hole_with_a_higher_roof_in_it_has_walls_and_is_no_opening():
    roof = roof_from_facets(
        [("flat", level(0, 0, 10, 10, 5), [level(6, 2, 8, 4, 5)]), ("stack", level(6, 2, 8, 4, 9), ())]
    )
    assert roof.openings == ()
    assert types(roof) == {"eave": 8, "wall": 4}
    assert len(roof.facets[0].holes) == 1


def test_a_hole_with_a_lower_roof_in_it_is_fallen_into_over_plain_edges():
    roof = roof_from_facets(
        [("flat", level(0, 0, 10, 10, 5), [level(6, 2, 8, 4, 5)]), ("sunk", level(6, 2, 8, 4, 2), ())]
    )
    assert roof.openings == ()
    assert types(roof) == {"eave": 8, "wall": 4}
    assert {edge.facets for edge in roof.edges if edge.type is EdgeType.WALL} == {("sunk",)}


@pytest.mark.parametrize(("width", "openings"), [(0.049, 0), (0.051, 1)])
def test_a_hole_counts_from_five_centimetres(width, openings):
    """29 CFR 1926.500(b): a hole is a gap of 2 in (5.1 cm) or more in its least dimension (from memory)."""
    roof = roof_from_facets([("flat", level(0, 0, 10, 10, 5), [level(2, 2, 2 + width, 4, 5)])])
    assert len(roof.openings) == openings
    assert any("closed" in note for note in roof.notes) == (openings == 0)


# properties --------------------------------------------------------------------------------------------------------


def moved(facets, turn, shift):
    c, s = np.cos(turn), np.sin(turn)
    way = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
    return [(name, np.array(ring, float) @ way + shift, ()) for name, ring, _ in facets]


def shaken(name, seed):
    """Corners of each facet moved by up to half a centimetre, each facet by itself."""
    shake = np.random.default_rng(seed)
    return [(i, np.array(ring, float) + shake.uniform(-0.005, 0.005, (len(ring), 3)), ()) for i, ring, _ in ROOFS[name]]


@given(
    name=st.sampled_from(sorted(ROOFS)),
    turn=st.floats(0, 6.28),
    east=st.floats(-3e6, 3e6),
    north=st.floats(-7e6, 7e6),
    height=st.floats(-100, 4000),
)
@settings(deadline=None, max_examples=40)
def test_where_a_roof_stands_and_how_it_is_turned_changes_no_edge(name, turn, east, north, height):
    there = roof_from_facets(moved(ROOFS[name], turn, np.array([east, north, height])))
    assert shapes(there) == shapes(roof_from_facets(ROOFS[name]))
    assert there.notes == ()


@given(
    name=st.sampled_from(sorted(ROOFS)),
    order=st.randoms(use_true_random=False),
    starts=st.lists(st.integers(0, 3), min_size=6, max_size=6),
)
@settings(deadline=None, max_examples=40)
def test_the_order_of_facets_and_corners_changes_no_edge(name, order, starts):
    facets = [(i, np.roll(ring, k, axis=0), h) for (i, ring, h), k in zip(ROOFS[name], starts, strict=False)]
    order.shuffle(facets)
    assert shapes(roof_from_facets(facets)) == shapes(roof_from_facets(ROOFS[name]))


@given(name=st.sampled_from(sorted(ROOFS)), seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=60)
def test_a_roof_measured_to_the_centimetre_has_the_same_edges_and_planar_facets(name, seed):
    roof = roof_from_facets(shaken(name, seed))
    assert types(roof) == types(roof_from_facets(ROOFS[name]))
    assert outer_loops(roof) == 1
    for facet in roof.facets:
        away = facet.ring - facet.ring.mean(axis=0)
        assert np.linalg.svd(away)[1][2] < 2e-3  # 1 mm at each of four corners


@given(name=st.sampled_from(sorted(ROOFS)), seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=30)
def test_a_mended_roof_needs_no_mending(name, seed):
    once = roof_from_facets(shaken(name, seed))
    again = roof_from_facets([(facet.id, facet.ring, facet.holes) for facet in once.facets])
    assert again.notes == ()
    assert shapes(again) == shapes(once)
