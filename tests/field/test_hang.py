"""Where a body comes to hang.

Expected places are worked out from the definition H(E) = z(E) - (L - l(A, E)) on a plane roof of slope angle theta,
where the taut rope to an edge is a straight line on the slope:
- level eave, anchor at slope distance s above it: H is least where l is, at the foot of the perpendicular;
- rake, anchor at level distance w from it: with t the slope distance below the anchor's level, H = const - t sin(theta)
  + sqrt(w^2 + t^2), least at t = w tan(theta). A fall lower down swings up the rake.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field.edges import EdgePoints
from ropewright.field.hang import hang_heights, highest_on_way, roll


def one_chain(points, *, closed=False):
    n = len(points)
    return EdgePoints(
        names=("edge",),
        edge=np.zeros(n, int),
        points=points,
        outward=np.zeros((n, 2)),
        chain=np.zeros(n, int),
        closed=(closed,),
        is_opening=np.zeros(n, bool),
    )


@settings(deadline=None, max_examples=30)
@given(s=st.floats(1, 10), x=st.floats(2, 8), start=st.integers(0, 200))
def test_on_an_eave_a_body_rolls_to_the_foot_of_the_perpendicular(s, x, start):
    along = np.linspace(0, 10, 201)
    eave = np.column_stack([along, np.zeros(201), np.full(201, 3.0)])
    h = hang_heights(eave[:, 2], np.hypot(along - x, s), 20.0)
    rest = roll(one_chain(eave), h).rest[start]
    assert along[rest] == pytest.approx(x, abs=0.05 / 2 + 1e-9)


@settings(deadline=None, max_examples=30)
@given(w=st.floats(0.5, 4), theta=st.floats(10, 50), start=st.integers(0, 400))
def test_on_a_rake_a_body_comes_to_rest_w_tan_theta_below_the_anchor(w, theta, start):
    slope = np.radians(theta)
    below = np.linspace(-1, 7, 401)  # slope distance below the anchor's level
    rake = np.column_stack([np.zeros(401), below * np.cos(slope), 8 - below * np.sin(slope)])
    h = hang_heights(rake[:, 2], np.hypot(w, below), 20.0)
    rest = roll(one_chain(rake), h).rest[start]
    # half a step; a hair more where the minimum lies midway, since H is not quite even about it
    assert below[rest] == pytest.approx(w * np.tan(slope), abs=0.02 / 2 + 1e-4)


def test_a_fall_far_down_the_rake_swings_up_it():
    slope = np.radians(40)
    below = np.linspace(0, 6, 301)
    rake = np.column_stack([np.zeros(301), below * np.cos(slope), 8 - below * np.sin(slope)])
    hang = roll(one_chain(rake), hang_heights(rake[:, 2], np.hypot(1.0, below), 20.0))
    assert rake[hang.rest[300], 2] > rake[300, 2]


def test_a_body_swings_over_all_that_is_no_higher_than_its_start():
    along = np.linspace(-5, 5, 101)
    eave = np.column_stack([along, np.zeros(101), np.full(101, 3.0)])
    hang = roll(one_chain(eave), hang_heights(eave[:, 2], np.hypot(along, 4.0), 20.0))
    assert (along[hang.first[80]], hang.count[80]) == (pytest.approx(-3.0), 61)


def test_a_level_step_does_not_stop_the_swing():
    """Where two edges meet the corner stands twice, at one height."""
    h = np.array([5.0, 4.0, 4.0, 3.0, 6.0])
    hang = roll(one_chain(np.zeros((5, 3))), h)
    assert hang.rest.tolist() == [3, 3, 3, 3, 3]


def test_a_closed_chain_lets_a_body_swing_past_its_seam():
    h = np.array([2.0, 3.0, 4.0, 3.0, 1.0])
    hang = roll(one_chain(np.zeros((5, 3)), closed=True), h)
    assert hang.rest.tolist() == [4, 4, 4, 4, 4]


def test_a_body_swings_no_further_than_its_rope_reaches():
    """The corner lies lower, but 9 m of rope away from the anchor: a rope of 6 m can't hang anybody there."""
    h, needed = np.array([5.0, 4.5, 4.0, 3.0]), np.array([4.0, 5.0, 7.0, 9.0])
    hang = roll(one_chain(np.zeros((4, 3))), h, needed, np.full(4, 6.0))
    assert (hang.rest[0], hang.count[0], hang.drop[0]) == (1, 2, pytest.approx(0.5))


def test_height_lost_goes_down_to_the_lowest_place_behind_a_low_hump():
    h = np.array([5.0, 3.0, 4.0, 2.0, 6.0])
    hang = roll(one_chain(np.zeros((5, 3))), h)
    assert (hang.rest[0], hang.drop[0]) == (1, pytest.approx(3.0))


def test_the_way_round_a_corner_is_measured_along_the_edges():
    points = np.array([[0.0, 0, 0], [3, 0, 0], [3, 0, 0], [3, 4, 0]])
    hang = roll(one_chain(points), np.array([3.0, 2.0, 2.0, 1.0]))
    assert hang.drag[0] == pytest.approx(7.0)


def test_what_stands_highest_on_the_way_is_found_past_the_seam():
    h = np.array([2.0, 3.0, 9.0, 3.0, 2.5])
    chain = one_chain(np.zeros((5, 3)), closed=True)
    highest = highest_on_way(chain, roll(chain, h), np.array([0.0, 0, 9, 0, 7]))
    assert highest[1] == 4
    assert highest[2] == 2
