"""Pitch, azimuth, area and plane of a facet.

Expected values: trigonometry of 3-4-5 triangles and rises in 12, worked by hand.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.roof import Facet
from ropewright.roof.facets import facet_area, facet_azimuth, facet_normal, facet_pitch, facet_plane


def sloping(pitch: float, toward: float, *, size: float = 4.0, at: tuple[float, float, float] = (0, 0, 0)) -> Facet:
    """Square in plan, pitched by `pitch` deg, its water running to `toward` deg clockwise from +y."""
    down = np.array([math.sin(math.radians(toward)), math.cos(math.radians(toward))])
    plan = np.array([[0.0, 0], [size, 0], [size, size], [0, size]])
    height = -math.tan(math.radians(pitch)) * plan @ down
    return Facet("f", np.column_stack((plan, height)) + np.array(at))


@pytest.mark.parametrize(
    ("rise", "degrees"), [(0.0, 0.0), (4.0, 18.4349), (12.0, 45.0), (24.0, 63.4349)], ids=["flat", "4", "12", "24"]
)
def test_pitch_is_the_angle_whose_tangent_is_rise_over_twelve(rise, degrees):
    ring = np.array([[0.0, 0, 0], [5, 0, 0], [5, 12, rise], [0, 12, rise]])
    assert facet_pitch(Facet("f", ring)) == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize("toward", [0.0, 45.0, 90.0, 180.0, 213.0, 270.0])
def test_azimuth_is_the_way_the_water_runs(toward):
    assert facet_azimuth(sloping(30.0, toward)) == pytest.approx(toward, abs=1e-9)


def test_a_level_facet_has_no_azimuth():
    assert math.isnan(facet_azimuth(sloping(0.49, 90.0)))
    assert facet_azimuth(sloping(0.51, 90.0)) == pytest.approx(90.0)


def test_area_is_measured_on_the_slope_and_holes_are_taken_off():
    slope = np.array([[0.0, 0, 0], [8, 0, 0], [8, 4, 3], [0, 4, 3]])  # 8 by 5 on the slope
    hole = np.array([[2.0, 0, 0], [2, 4, 3], [4, 4, 3], [4, 0, 0]])  # 2 by 5
    assert facet_area(Facet("f", slope, (hole,))) == pytest.approx(30.0)


def test_a_facet_given_upside_down_faces_down():
    assert facet_pitch(Facet("f", sloping(30.0, 90.0).ring[::-1])) == pytest.approx(150.0)


def test_no_area_and_no_plane_are_said_so():
    with pytest.raises(ValueError, match="no area"):
        facet_normal(Facet("thin", np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]])))
    with pytest.raises(ValueError, match="plumb"):
        facet_plane(Facet("wall", np.array([[0.0, 0, 0], [1, 0, 0], [1, 0, 2]])))


@given(st.floats(1.0, 75.0), st.floats(0.0, 359.0), st.floats(-3e6, 3e6), st.floats(-3e6, 3e6))
@settings(deadline=None, max_examples=60)
def test_map_coordinates_cost_no_digits_that_matter(pitch, toward, east, north):
    facet = sloping(pitch, toward, at=(east, north, 400.0))
    assert facet_pitch(facet) == pytest.approx(pitch, abs=1e-6)
    assert facet_area(facet) == pytest.approx(16.0 / math.cos(math.radians(pitch)), rel=1e-7)
    a, b, c = facet_plane(facet)
    assert facet.ring[:, :2] @ np.array([a, b]) + c == pytest.approx(facet.ring[:, 2], abs=1e-6)
