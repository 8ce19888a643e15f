"""What a falling body meets; distances held against shapely, an independent geometry library."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field.below import Surroundings, Thing, distance_to_polyline, level_distance

GROUND = Thing("ground", top=0.0)
PORCH = Thing("porch roof", top=2.5, outline=np.array([[0.0, -3], [4, -3], [4, 0], [0, 0]]))

coordinates = st.floats(-20, 20).map(lambda x: round(x, 3))


@settings(deadline=None, max_examples=50)
@given(x=coordinates, y=coordinates)
def test_level_distance_is_that_of_an_independent_library(x, y):
    outline = np.array([[0.0, 0], [8, 0], [8, 3], [4, 3], [4, 9], [0, 9]])
    ours = level_distance(np.array([[x, y]]), outline)[0]
    assert ours == pytest.approx(shapely.Polygon(outline).distance(shapely.Point(x, y)), abs=1e-9)


def test_distance_to_a_line_in_space_is_taken_at_its_nearest_point():
    line = np.array([[0.0, 0, 0], [10, 0, 0], [10, 10, 0]])
    points = np.array([[5.0, 3, 4], [13, 5, 4], [-3, 4, 0]])
    assert distance_to_polyline(points, line) == pytest.approx([5, 5, 5])


def test_a_body_lands_on_the_highest_thing_under_it():
    tops, names = Surroundings((GROUND, PORCH)).first_below(np.array([[2.0, -1, 6], [9, -1, 6]]))
    assert (tops.tolist(), names) == ([2.5, 0.0], ("porch roof", "ground"))


def test_a_body_passing_close_by_meets_the_thing_too():
    around = Surroundings((GROUND, PORCH), body_radius=0.3)
    _, names = around.first_below(np.array([[4.29, -1, 6], [4.31, -1, 6]]))
    assert names == ("porch roof", "ground")


def test_what_begins_above_a_point_is_not_below_it():
    balcony = Thing("balcony over", top=9.0, base=7.0, outline=PORCH.outline)
    _, names = Surroundings((GROUND, balcony)).first_below(np.array([[2.0, -1, 6]]))
    assert names == ("ground",)


def test_an_upright_body_meets_only_what_it_overlaps():
    points = np.tile([2.0, -1.0, 6.0], (3, 1))
    feet = np.array([2.6, 2.4, 0.5])
    assert Surroundings((GROUND, PORCH)).met_between(points, feet, feet + 1.8).tolist() == [-1, 1, 1]
