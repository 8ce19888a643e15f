"""Reach and free fall of one rope on a flat slab, where every taut rope is a straight line or a line over one edge.

Anchor A at height p over the slab, a in from the south edge, w along it: l to a D-ring t over the edge is
hypot(a, w, p - t), least for t = p; below the edge the slab and the wall fold flat: hypot(a + s, w) for p = 0.
"""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field.reach import RopeOver, fall_geometry, nearest_over, rope_over
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

H, A = 1.4, 3.0
ACROSS = np.array([0.0, 0.5, 1.5, 3.0])


@cache
def slab():
    return RoofSolid(
        roof_from_outline([(-20, 0), (20, 0), (20, 20), (-20, 20)], form="flat", pitches=[0] * 4, eave_height=9)
    )


@cache
def over(p=0.0, reach=np.inf):
    edge = np.column_stack([ACROSS, np.zeros(4), np.full(4, 9.0)])
    return rope_over(TautPaths(slab(), [0.0, A, 9.0 + p]), edge, H, reach=reach)


def rope(length):
    return np.full(4, float(length))


@pytest.mark.parametrize("p", [0.0, 0.7, 1.4, 3.0])
def test_the_nearest_stance_is_that_at_the_anchors_height(p):
    expected = np.sqrt(A**2 + ACROSS**2 + max(p - H, 0.0) ** 2)
    assert over(p).nearest == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize("p", [0.0, 0.7, 3.0])
def test_ropes_between_the_heights_measured_are_exact_while_they_run_straight(p):
    heights, lengths = over(p).stances
    expected = np.sqrt(A**2 + ACROSS[:, None] ** 2 + (p - heights) ** 2)
    assert lengths == pytest.approx(expected, abs=1e-8)


def test_a_rope_held_at_the_edge_comes_taut_by_its_slack():
    fall = fall_geometry(over(), rope(5.0))
    assert fall.start == pytest.approx(np.full(4, H))
    assert -fall.taut == pytest.approx(5.0 - np.hypot(A, ACROSS))


def test_a_rope_free_to_slide_comes_taut_where_the_unfolded_line_does():
    fall = fall_geometry(over(), rope(5.0))
    assert -fall.taut_sliding == pytest.approx(np.sqrt(25 - ACROSS**2) - A, abs=1e-4)
    assert fall.longest_free_fall[0] == pytest.approx(fall.free_fall[0], abs=1e-4)  # square to the edge both agree


def test_deeper_than_measured_the_fall_is_no_shorter_than_it_would_be():
    """12 m down the wall: past the last depth measured the rope is taken to grow as slowly as it did there."""
    fall = fall_geometry(over(), rope(15.0))
    true = np.sqrt(15.0**2 - ACROSS**2) - A
    assert (-fall.taut_sliding >= true - 1e-6).all()
    assert -fall.taut_sliding == pytest.approx(true, abs=0.15)


def test_a_rope_too_short_for_any_stance_reaches_nothing():
    fall = fall_geometry(over(), rope(2.99))
    assert not fall.reached.any()
    assert np.isnan(fall.free_fall).all()
    assert np.isnan(fall.longest_free_fall).all()


def test_a_rope_that_is_just_long_enough_reaches():
    assert fall_geometry(over(), rope(A)).reached.tolist() == [True, False, False, False]


def test_from_a_high_anchor_the_body_is_held_above_the_edge():
    """Anchor 3 m up, rope of 3.6 m: free from t = 1.4 m down to where hypot(3, 3 - t) = 3.6."""
    fall = fall_geometry(over(3.0), rope(3.6))
    held = 3.0 - np.sqrt(3.6**2 - 9)
    assert fall.start[0] == pytest.approx(H)
    assert fall.taut[0] == pytest.approx(held, abs=1e-4)
    assert fall.taut_sliding[0] == fall.taut[0]


def test_below_edges_past_its_reach_a_rope_is_taken_as_held():
    near, all_of = over(reach=3.2), over()
    assert near.to_edge == pytest.approx(all_of.to_edge)
    assert near.lengths[3, 0] == pytest.approx(near.to_edge[3] + 6)
    assert near.lengths[0] == pytest.approx(all_of.lengths[0])


def test_below_a_lower_roof_a_rope_is_taken_as_held():
    edge = np.column_stack([ACROSS, np.zeros(4), np.full(4, 9.0)])
    limited = rope_over(TautPaths(slab(), [0.0, A, 9.0]), edge, H, room=np.full(4, 1.0))
    assert limited.lengths[3, 0] == pytest.approx(limited.to_edge[3] + 6)
    fall = fall_geometry(limited, rope(4.3))
    assert (fall.taut_sliding <= fall.taut + 1e-9).all()


@settings(deadline=None, max_examples=25)
@given(p=st.sampled_from([0.0, 0.7, 3.0]), length=st.floats(2.5, 9), more=st.floats(0, 3))
def test_a_longer_rope_never_shortens_a_fall_and_never_loses_an_edge(p, length, more):
    short, long = (fall_geometry(over(p), rope(one)) for one in (length, length + more))
    assert not (short.reached & ~long.reached).any()
    both = short.reached
    assert (long.free_fall[both] >= short.free_fall[both] - 1e-9).all()
    assert (long.longest_free_fall[both] >= short.longest_free_fall[both] - 1e-6).all()
    assert (long.longest_free_fall[both] >= long.free_fall[both] - 1e-9).all()


def test_a_rope_measured_at_one_height_only_has_one_stance():
    one = RopeOver(np.array([0.0]), np.array([[2.0]]), np.array([[0.0]]), np.array([1.0]))
    assert one.nearest.tolist() == [2.0]


def test_over_a_mere_step_to_a_lower_part_of_the_roof_nobody_falls():
    edge = np.column_stack([ACROSS, np.zeros(4), np.full(4, 9.0)])
    steps = np.array([True, False, True, False])
    stepped = rope_over(TautPaths(slab(), [0.0, A, 9.0]), edge, H, steps=steps)
    assert fall_geometry(stepped, rope(20.0)).reached.tolist() == (~steps).tolist()
    assert np.isfinite(stepped.nearest).tolist() == (~steps).tolist()


def test_a_place_on_the_roof_is_as_near_as_its_nearest_stance():
    places = np.array([[0.0, 8.0, 9.0], [4.0, 3.0, 9.0]])
    nearest, standing = nearest_over(TautPaths(slab(), [0.0, A, 9.7]), places, H)
    assert nearest == pytest.approx([5.0, 4.0], abs=1e-3)
    assert standing == pytest.approx(np.hypot([5.0, 4.0], 0.7))


def test_no_rope_runs_through_the_building_below_a_ridge():
    """Anchor on the ridge 2 m in; plumb below the rake's top the rope folds over the edge: hypot with s, not a chord.

    At the top t = 0, so that l^2 = (2 + s cos q)^2 + (s sin q)^2 down the gable wall.
    """
    q, drop = np.radians(35.0), np.array([0.2, 0.9, 2.5, 5.0])
    walls = [(0, 0), (12, 0), (12, 8), (0, 8)]
    roof = roof_from_outline(walls, form="gable", pitches=[35] * 4, eave_height=6, gable_sides=[1, 3])
    top = 6 + 4 * np.tan(q)
    below = np.column_stack([np.zeros(4), np.full(4, 4.0), top - drop])
    taut = TautPaths(roof, [2.0, 4.0, top]).lengths(below)
    assert taut == pytest.approx(np.hypot(2 + drop * np.cos(q), drop * np.sin(q)), abs=1e-5)
