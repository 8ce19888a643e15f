"""What a falling body meets; distances held against shapely, an independent geometry library."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field.below import Surroundings, Thing, below_edges, level_distance, lower_roof, upright_distance
from ropewright.field.edges import edge_points
from ropewright.roof.measured import roof_from_facets
from ropewright.roof.solid import RoofSolid

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
    assert upright_distance(points[:, :2], points[:, 2], points[:, 2], line) == pytest.approx([5, 5, 5])


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


lines = st.lists(st.tuples(coordinates, coordinates, coordinates), min_size=2, max_size=4, unique=True)


@settings(deadline=None, max_examples=50)
@given(x=coordinates, y=coordinates, low=coordinates, tall=st.floats(0, 10), corners=lines)
def test_distance_to_an_upright_body_is_the_least_found_by_trying(x, y, low, tall, corners):
    """Tried at 200 places of each piece, which can't give less and is off by no more than a step."""
    line = np.array(corners)
    found = upright_distance(np.array([[x, y]]), np.array([low]), np.array([low + tall]), line)[0]
    along = np.linspace(0, 1, 201)[:, None]
    on_line = np.vstack([a + along * (b - a) for a, b in pairwise(line)])
    over = np.maximum(np.maximum(on_line[:, 2] - low - tall, low - on_line[:, 2]), 0)
    tried = np.sqrt((on_line[:, 0] - x) ** 2 + (on_line[:, 1] - y) ** 2 + over**2).min()
    step = np.linalg.norm(np.diff(line, axis=0), axis=1).max() / 200
    assert tried - step <= found <= tried + 1e-9


def test_a_line_passing_at_mid_body_is_as_near_as_in_plan():
    """Looking at a few heights of the body only would give more than the 3 m that it is."""
    line = np.array([[-9.0, 3, 4.37], [9, 3, 4.37]])
    assert upright_distance(np.zeros((1, 2)), np.zeros(1), np.array([8.0]), line) == pytest.approx([3.0])


HIGH = np.array([[0.0, 0, 6], [5, 0, 6], [5, 5, 6], [0, 5, 6]])
LOW = np.array([[5.0, 0, 3], [9, 0, 3], [9, 5, 3], [5, 5, 3]])


def test_a_lower_part_of_the_same_roof_is_what_a_fall_from_the_upper_one_meets():
    roof = roof_from_facets([("high", HIGH, ()), ("low", LOW, ())])
    edges = edge_points(roof, 0.5)
    below = below_edges(edges, Surroundings((GROUND,)), lower_roof(edges, RoofSolid(roof).heights))
    over_low = (edges.points[:, 0] == 5) & (edges.points[:, 2] == 6) & (np.array(edges.edge_names) == "east eave")
    assert over_low.sum() == 11
    assert set(below.tops[over_low]) == {3.0}
    assert {below.names[i] for i in np.flatnonzero(over_low)} == {"lower roof"}
    assert set(below.tops[~over_low]) == {0.0}


def test_the_other_wing_at_the_same_height_is_not_below_an_inner_corner():
    corners = [(0.0, 0), (8, 0), (8, 3), (3, 3), (3, 8), (0, 8)]
    flat = np.array([(*corner, 4.0) for corner in corners])
    roof = roof_from_facets([("flat", flat, ())])
    edges = edge_points(roof, 0.5)
    assert np.isneginf(lower_roof(edges, RoofSolid(roof).heights)).all()
