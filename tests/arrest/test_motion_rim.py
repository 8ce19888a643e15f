"""The rope to every place of a rim: windows are exact, corners are found, surfaces are those of the building."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from motion_scenes import UP, on_slope, straight

from ropewright.arrest.rim import Rim, RimEdge


def _box(size: tuple[float, float] = (10.0, 6.0)) -> list[RimEdge]:
    """A flat roof's four edges, counterclockwise."""
    x, y = size
    ring = np.array([[0.0, 0, 0], [x, 0, 0], [x, y, 0], [0, y, 0]])
    ends = np.roll(ring, -1, axis=0)
    return [RimEdge(a, b, np.array([0.0, 0, 1]), f"edge {k}") for k, (a, b) in enumerate(zip(ring, ends, strict=True))]


def _notched() -> list[RimEdge]:
    ring = np.array([[0.0, 0, 0], [10, 0, 0], [10, 4, 0], [4, 4, 0], [4, 9, 0], [0, 9, 0]])
    ends = np.roll(ring, -1, axis=0)
    return [RimEdge(a, b, np.array([0.0, 0, 1]), f"edge {k}") for k, (a, b) in enumerate(zip(ring, ends, strict=True))]


@settings(deadline=None, max_examples=30)
@given(x=st.floats(-8, 8), up=st.floats(0.0, 6.0), above=st.floats(0.0, 3.0), place=st.floats(0.0, 20.0))
def test_a_straight_rope_has_one_exact_window(x, up, above, place):
    anchor = on_slope(x, up) + np.array([0, 0, above])
    eave = RimEdge(np.array([-10.0, 0, 0]), np.array([10.0, 0, 0]), UP)
    rim = Rim([eave], straight(anchor))
    assert len(rim.windows) == 1
    assert rim.length_to(0, place) == pytest.approx(np.linalg.norm(anchor - [place - 10.0, 0, 0]), abs=1e-9)


def test_two_ways_of_a_rope_meet_in_two_windows():
    """The shorter of two bends: each side has its own, and the change is found to a few micrometres."""
    bends = np.array([[2.0, 3.0, 0.0], [8.0, 3.0, 0.0]])

    def reach(points):
        away = np.linalg.norm(points[:, None] - bends, axis=2) + np.array([1.0, 1.5])
        nearer = away.argmin(axis=1)
        return away.min(axis=1), bends[nearer]

    rim = Rim(_box()[:1], reach)
    places = np.linspace(0, 10, 501)
    lengths = np.array([rim.length_to(0, s) for s in places])
    true, _ = reach(np.column_stack([places, np.zeros((501, 2))]))
    assert np.abs(lengths - true).max() < 1e-6
    assert rim.windows[0].high < 5.5 < rim.windows[-1].high


def test_a_rope_over_a_ridge_from_a_mast_is_met_within_a_micrometre():
    """From a mast 2 m above the slope behind a ridge along y = 3, z = 1: no one image serves, many windows do."""
    mast = np.array([3.0, 8.0, 1.5])

    def reach(points):
        from scipy.optimize import minimize_scalar

        def over(point):
            def length(s):
                ridge = np.array([s, 3.0, 1.0])
                return np.linalg.norm(mast - ridge) + np.linalg.norm(point - ridge)

            found = minimize_scalar(length, bounds=(-30, 30), method="bounded", options={"xatol": 1e-11})
            return found.fun, np.array([found.x, 3.0, 1.0])

        rows = [over(point) for point in points]
        return np.array([row[0] for row in rows]), np.array([row[1] for row in rows])

    rim = Rim(_box()[:1], reach, spacing=2.0)
    places = np.linspace(0.1, 9.9, 15)
    true, _ = reach(np.column_stack([places, np.zeros((15, 2))]))
    assert [rim.length_to(0, s) for s in places] == pytest.approx(true, abs=1e-6)


def test_walk_round_a_box_closes_and_turns_left():
    anchor = np.array([5.0, 3.0, 0.0])
    rim = Rim(_box()[::-1], straight(anchor))  # in any order
    assert rim.turns == pytest.approx(np.pi / 2)
    assert sorted(rim.after) == [0, 1, 2, 3]
    assert sorted(rim.run(0)) == [0, 1, 2, 3]
    assert rim.others(0) == []


def test_gable_rakes_share_one_wall():
    """Its corners stand at the ends of the wall, not at the apex."""
    apex = np.array([0.0, 3.0, 2.0])
    up_s, up_n = np.array([0.0, -2, 3]) / np.sqrt(13), np.array([0.0, 2, 3]) / np.sqrt(13)
    rakes = [RimEdge(np.array([0.0, 6, 0]), apex, up_n), RimEdge(apex, np.zeros(3), up_s)]
    eave = RimEdge(np.zeros(3), np.array([8.0, 0, 0]), up_s)
    rim = Rim([*rakes, eave], straight(np.array([4.0, 1.5, 1.0])))
    assert rim.corners[1, 1] == pytest.approx(3.0)
    assert rim.corners[0, 1] == pytest.approx(6.0)
    assert rim.corners[2, 0] == pytest.approx(0.0)
    assert rim.corners[2, 1] > 1e6  # the walk ends there: no corner


def test_run_stops_at_an_inner_corner_and_the_wing_is_a_thing_in_the_way():
    rim = Rim(_notched(), straight(np.array([2.0, 2.0, 1.0])))
    assert rim.turns[2] == pytest.approx(-np.pi / 2)
    notch = 2  # faces north, in the notch
    assert 3 not in rim.run(notch)
    assert 3 in rim.others(notch)
    walls, _ = rim.surfaces(notch)
    inside = np.array([8.0, 2.0])
    assert (walls[:, :2] @ inside < walls[:, 2]).all()


def test_a_facet_beyond_a_valley_does_not_bound_the_body():
    """Two facets that fall toward each other: from one eave the other's plane lies below."""
    south = RimEdge(np.zeros(3), np.array([8.0, 0, 0]), np.array([0.0, 0.6, 0.8]))
    north = RimEdge(np.array([8.0, 6, 0]), np.array([0.0, 6, 0]), np.array([0.0, -0.6, 0.8]))
    east = RimEdge(south.end, north.start, np.array([0.0, 0, 1]))
    rim = Rim([south, east, north], straight(np.array([4.0, 1.0, 3.0])))
    _, facets = rim.surfaces(0)
    assert not np.isclose(facets[:, 1], -0.6).any()


@pytest.mark.parametrize("edges", [[], [RimEdge(np.zeros(3), np.array([0.0, 0, 3]), UP)]])
def test_a_rim_needs_edges_with_a_length(edges):
    with pytest.raises(ValueError, match="a rim needs edges"):
        Rim(edges, straight(np.zeros(3)))


def test_spacing_must_be_positive():
    with pytest.raises(ValueError, match="spacing must be above 0 m"):
        Rim(_box(), straight(np.array([5.0, 3, 0])), spacing=0.0)
