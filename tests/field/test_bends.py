"""Friction at the bends before the edge: the mean turn never lets more rope work than all bends one by one do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.arrest.parts import effective_length
from ropewright.field.bends import mean_turn, upstream_turns
from ropewright.field.motion import upstream_share
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPath, TautPaths

#: Two legs of a rope over a ridge, and three over ridge and hip, with their turns in order from the anchor.
legs_and_turns = st.lists(st.tuples(st.floats(0.05, 9), st.floats(0, 120)), min_size=1, max_size=4)


def path_of(legs, turns):
    """Rope in one upright plane with the given legs and the given turns between them."""
    heading = np.concatenate([[0.0], np.cumsum(np.radians(turns))])
    steps = np.array(legs)[:, None] * np.column_stack([np.cos(heading), np.zeros(len(legs)), -np.sin(heading)])
    points = np.vstack([np.zeros(3), np.cumsum(steps, axis=0)])
    return TautPath(points, ("",) * len(turns), np.array(turns), float(sum(legs)))


@given(legs_and_turns, st.floats(0, 1.1), st.floats(0, 2))
def test_less_rope_works_than_with_every_bend_of_its_own(pairs, friction, at_edge):
    legs = [1.0, *(leg for leg, _ in pairs)]
    turns = [turn for _, turn in pairs]
    path = path_of(legs, turns)
    after = np.concatenate([np.cumsum(np.radians(turns[::-1]))[::-1], [0.0]])  # between each leg and the edge
    one_by_one = float((np.array(legs) * np.exp(-friction * (at_edge + after))).sum())
    mean = float(effective_length(0.0, sum(legs), at_edge + mean_turn(path), friction))
    assert mean <= one_by_one * (1 + 1e-12)


def test_a_straight_rope_has_turned_nowhere():
    assert mean_turn(path_of([3.0], [])) == 0.0


@pytest.fixture(scope="module")
def gable():
    roof = roof_from_outline([(0, 0), (12, 0), (12, 8), (0, 8)], form="gable", pitches=[35], eave_height=6)
    return TautPaths(roof, [6.0, 3.0, 6 + 3 * np.tan(np.radians(35))])


def test_only_ropes_over_the_ridge_turn_and_only_where_wanted(gable):
    points = np.array([[6.0, 0, 6], [6.0, 8, 6], [6.0, 8, 6]])
    turns = upstream_turns(gable, points, np.array([True, True, False]))
    assert turns == pytest.approx([0.0, np.radians(70) / 5, 0.0], abs=1e-6)


def test_it_is_no_more_than_the_share_that_a_fall_in_motion_takes(gable):
    point = np.array([[6.0, 8.0, 6.0]])
    mean = float(np.exp(-0.5 * upstream_turns(gable, point, np.array([True]))[0]))
    assert mean <= upstream_share(gable, point, 0.5)[0]
    assert mean == pytest.approx(upstream_share(gable, point, 0.5)[0], abs=0.03)


def test_many_ropes_turn_as_each_does_by_itself():
    """Over ridge, hips and valley of an L, some ropes bend nowhere, some once, some more often."""
    plan = [(0, 0), (14, 0), (14, 7), (7, 7), (7, 14), (0, 14)]
    roof = roof_from_outline(plan, form="hip", pitches=[40], eave_height=4)
    paths = TautPaths(roof, [3.5, 11.0, 4 + 3.0 * np.tan(np.radians(40))])
    points = np.array([[x, y, 4.0] for x, y in ((0, 3), (3, 0), (12, 0), (14, 5), (10, 7), (7, 9), (2, 14), (0, 13))])
    one_by_one = [mean_turn(paths.path(point)) for point in points]
    assert upstream_turns(paths, points, np.ones(len(points), bool)) == pytest.approx(one_by_one, abs=1e-9)
    assert len({len(corners) for corners in paths.corners(points)}) >= 2
    for corners, point in zip(paths.corners(points), points, strict=True):
        assert corners == pytest.approx(paths.path(point).points, abs=1e-12)
