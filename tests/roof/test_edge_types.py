"""Types and names of edges from the facets beside them.

Expected values: worked by hand from planes z = y tan(pitch); the angle of a hip between two pitches from the line on
which both planes have the same height.
"""

import math

import numpy as np
import pytest

from ropewright.roof import EdgeType
from ropewright.roof.mending.edge_types import boundary_type, compass_point, crease_type, unique_names


def normal(pitch, toward):
    """Upward normal of a facet whose water runs to `toward`, clockwise from +y. [deg]"""
    p, t = math.radians(pitch), math.radians(toward)
    return np.array([math.sin(p) * math.sin(t), math.sin(p) * math.cos(t), math.cos(p)])


def turned(pitch, turn):
    """Walk along the foot of a slope that falls south, turned uphill by `turn` within the slope. [deg]"""
    p, t = math.radians(pitch), math.radians(turn)
    return np.array([math.cos(t), math.sin(t) * math.cos(p), math.sin(t) * math.sin(p)])


@pytest.mark.parametrize("pitch", [5.0, 20.0, 45.0, 70.0])
@pytest.mark.parametrize(
    ("turn", "kind"),
    [(0, EdgeType.EAVE), (14, EdgeType.EAVE), (16, EdgeType.RAKE), (90, EdgeType.RAKE), (180, EdgeType.HIGH_EAVE)],
)
def test_an_edge_is_level_within_15_degrees_of_the_contour(pitch, turn, kind):
    assert boundary_type(normal(pitch, 180), turned(pitch, turn)) is kind


def test_a_flat_facet_has_eaves_all_round():
    for turn in range(0, 360, 45):
        assert boundary_type(normal(1.9, 180), turned(1.9, turn)) is EdgeType.EAVE


@pytest.mark.parametrize(("south", "east"), [(45, 45), (10, 70), (70, 10), (4, 4), (60, 15)])
def test_the_crease_between_slopes_that_meet_at_a_corner_is_a_hip_however_unlike_they_are(south, east):
    """South of the crease z = y tan(south); east of it z = -x tan(east): equal along (-tan(south), tan(east))."""
    run = np.array(
        [
            -math.tan(math.radians(south)),
            math.tan(math.radians(east)),
            math.tan(math.radians(south)) * math.tan(math.radians(east)),
        ]
    )
    assert crease_type(normal(south, 180), normal(east, 90), run) is EdgeType.HIP
    assert crease_type(normal(east, 90), normal(south, 180), -run) is EdgeType.HIP


def test_slopes_that_run_toward_each_other_make_a_valley():
    run = np.array([1.0, 1.0, -1.0])  # north-west of it the roof falls east, south-east of it north
    assert crease_type(normal(45, 90), normal(45, 0), run) is EdgeType.VALLEY


def test_a_turn_of_less_than_two_degrees_is_a_break():
    west = np.array([-1.0, 0.0, 0.0])
    assert crease_type(normal(0.9, 180), normal(0.9, 0), west) is EdgeType.BREAK
    assert crease_type(normal(2.1, 180), normal(2.1, 0), west) is EdgeType.RIDGE


@pytest.mark.parametrize(("x", "y", "name"), [(0, 1, "north"), (1, 0.9, "north-east"), (-3, 0.1, "west"), (0, 0, "")])
def test_compass_points(x, y, name):
    assert compass_point(x, y) == name


def test_the_longest_of_a_name_goes_without_a_number():
    assert unique_names(["eave", "eave", "rake", "eave"], [1.0, 3.0, 9.0, 2.0]) == ["eave 3", "eave", "rake", "eave 2"]
