"""The taut rope over a gable roof, against its two slopes laid into one plane.

Derived here: a gable of plan width 2 b and pitch a unfolds into a strip 2 b / cos a wide, and walls unfold below its
edges, so that ropes become straight lines.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof import Roof
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

LENGTH, HALF, PITCH, EAVE = 12.0, 4.4, math.radians(35.0), 3.0
SLOPE = HALF / math.cos(PITCH)
PEAK = EAVE + HALF * math.tan(PITCH)
ANCHOR = np.array([5.0, -1.2, PEAK - 1.2 * math.tan(PITCH)])  # on the south slope


@pytest.fixture(scope="module")
def gable() -> Roof:
    """Ridge on y = 0; eaves at y = -4.4 and 4.4, that is walls at 4.0 and an overhang of 0.4."""
    walls = [(0.4, -4.0), (11.6, -4.0), (11.6, 4.0), (0.4, 4.0)]
    return roof_from_outline(walls, form="gable", pitches=[35.0], eave_height=EAVE, overhang=0.4)


@pytest.fixture(scope="module")
def paths(gable: Roof) -> TautPaths:
    return TautPaths(gable, ANCHOR)


def on_slope(x: float, y: float) -> tuple[float, float, float]:
    return (x, y, PEAK - abs(y) * math.tan(PITCH))


def unfolded(x: float, y: float) -> tuple[float, float]:
    return (x, y / math.cos(PITCH))


@pytest.mark.parametrize(("x", "y"), [(5.0, 2.0), (11.9, 4.4), (0.0, 4.4), (7.0, -4.4), (8.5, 1e-7), (12.0, -3.0)])
def test_on_the_roof_it_is_straight_in_the_unfolded_roof(paths: TautPaths, x: float, y: float) -> None:
    expected = math.dist(unfolded(*ANCHOR[:2]), unfolded(x, y))
    assert paths.lengths([on_slope(x, y)])[0] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("x", "drop"), [(5.0, 2.0), (9.0, 0.5), (1.0, 7.0)])
def test_below_the_eave_the_wall_unfolds_too(paths: TautPaths, x: float, drop: float) -> None:
    start = unfolded(*ANCHOR[:2])
    for side in (-1.0, 1.0):
        expected = math.dist(start, (x, side * (SLOPE + drop)))
        got = paths.lengths([(x, side * HALF, EAVE - drop)])[0]
        assert got == pytest.approx(expected, abs=1e-9)


def test_out_from_the_eave_the_fall_line_turns_into_the_last_plane(paths: TautPaths) -> None:
    """0.3 m out and 1.6 m down is 1.628 m from the edge, however it is turned round it."""
    expected = math.dist(unfolded(*ANCHOR[:2]), (6.0, SLOPE + math.hypot(0.3, 1.6)))
    assert paths.lengths([(6.0, HALF + 0.3, EAVE - 1.6)])[0] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("drop", [0.3, 1.0, 2.5])
def test_down_the_gable_wall_it_bends_on_the_rake(paths: TautPaths, drop: float) -> None:
    """The wall x = 12 unfolds about the rake: along the rake by sin, square to it by cos of the pitch."""
    y = -2.5
    rake = -y / math.cos(PITCH) + drop * math.sin(PITCH), drop * math.cos(PITCH)
    expected = math.dist((1.2 / math.cos(PITCH), 0.0), (rake[0], LENGTH - ANCHOR[0] + rake[1]))
    path = paths.path((LENGTH, y, PEAK + y * math.tan(PITCH) - drop))
    assert path.edges == ("east rake (south side)",)
    assert path.length == pytest.approx(expected, abs=1e-9)


def test_above_the_roof_a_clear_line_is_straight(paths: TautPaths) -> None:
    point = (ANCHOR[0] + 3.0, ANCHOR[1] - 1.0, ANCHOR[2] + 1.5)
    path = paths.path(point)
    assert path.edges == ()
    assert path.length == pytest.approx(math.dist(ANCHOR, point), abs=1e-12)


def test_a_standing_worker_beyond_the_ridge_is_reached_over_it(paths: TautPaths) -> None:
    x, y, z = on_slope(5.0, 3.0)
    path = paths.path((x, y, z + 1.5))
    over = math.hypot(3.0, PEAK - z - 1.5)
    assert path.edges == ("main ridge",)
    assert path.length == pytest.approx(1.2 / math.cos(PITCH) + over, abs=1e-9)


def test_round_the_wall_corner_the_two_walls_unfold(gable: Roof) -> None:
    """From the eave's end down the south wall and round to the gable wall: two walls are one plane."""
    paths = TautPaths(gable, (11.5, -HALF, EAVE))
    path = paths.path((LENGTH, -HALF + 0.5, EAVE - 3.0))
    assert path.length == pytest.approx(math.hypot(1.0, 3.0), abs=1e-9)
    assert path.edges[-1] == "wall corner at south eave and east rake (south side)"


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_from_a_ridge_anchor_both_slopes_are_straight(gable: Roof, share: float) -> None:
    x = share * LENGTH
    paths = TautPaths(gable, (x, 0.0, PEAK))
    points = [on_slope(3.0, -4.0), on_slope(10.0, 4.4), (4.0, 0.0, PEAK)]
    expected = [math.dist((x, 0.0), unfolded(*p[:2])) for p in points]
    assert paths.lengths(points) == pytest.approx(expected, abs=1e-9)


def test_last_bend_is_what_the_rope_pulls_toward(paths: TautPaths) -> None:
    below = (5.0, HALF, EAVE - 1.0)
    straight = on_slope(4.0, -3.0)
    bends = paths.last_bends([below, straight])
    assert bends[0] == pytest.approx((5.0, HALF, EAVE), abs=1e-9)
    assert bends[1] == pytest.approx(ANCHOR, abs=1e-12)


def test_path_turns_from_slope_to_slope_by_twice_the_pitch(paths: TautPaths) -> None:
    path = paths.path(on_slope(5.0, 2.0))
    assert path.turn_deg == pytest.approx([70.0], abs=1e-9)
    assert path.points[1] == pytest.approx((5.0, 0.0, PEAK), abs=1e-9)


def test_an_anchor_a_hair_inside_is_lifted_onto_the_roof(gable: Roof) -> None:
    sunk = TautPaths(gable, ANCHOR - (0.0, 0.0, 0.004))
    assert sunk.anchor == pytest.approx(ANCHOR, abs=1e-12)


def test_an_anchor_inside_the_building_is_refused(gable: Roof) -> None:
    with pytest.raises(RoofError, match=r"^anchor: got \(5\.0, -1\.2, .*0\.020 m below the roof"):
        TautPaths(gable, ANCHOR - (0.0, 0.0, 0.02))


def test_a_point_inside_the_building_is_named(paths: TautPaths) -> None:
    with pytest.raises(RoofError, match=r"^points\[1\]: .* below the roof; give a point outside"):
        paths.lengths([on_slope(5.0, 2.0), (5.0, 2.0, 1.0)])


@pytest.mark.parametrize("points", [[(1.0, 2.0)], [(1.0, 2.0, math.nan)], [(1.0, math.inf, 9.0)]])
def test_points_must_be_finite_places_in_space(paths: TautPaths, points: list[tuple[float, ...]]) -> None:
    with pytest.raises(ValueError, match="finite numbers of shape"):
        paths.lengths(points)


def test_no_points_give_no_lengths(paths: TautPaths) -> None:
    assert paths.lengths(np.empty((0, 3))).shape == (0,)
    assert paths.last_bends(np.empty((0, 3))).shape == (0, 3)


def test_a_solid_made_once_serves_several_anchors(gable: Roof) -> None:
    solid = RoofSolid(gable)
    point = [on_slope(9.0, 3.0)]
    for anchor in (ANCHOR, (2.0, 0.0, PEAK)):
        assert TautPaths(solid, anchor).lengths(point) == TautPaths(gable, anchor).lengths(point)
