"""Faces in one plane taken as one: areas against shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.readers.faces import merged_faces

SLOPE = np.array([[1.0, 0.0, 0.3], [0.0, 1.0, 0.7]])


def lifted(plan):
    """Plan points on a slope."""
    return np.asarray(plan, float)[:, :2] @ SLOPE


def triangles(polygon):
    """Triangles of a polygon in plan, counterclockwise."""
    for one in shapely.constrained_delaunay_triangles(polygon).geoms:
        ring = np.array(shapely.geometry.polygon.orient(one).exterior.coords)[:-1]
        yield [lifted(ring)]


def plan_of(face):
    return shapely.Polygon(face.ring[:, :2], [hole[:, :2] for hole in face.holes])


@given(cells=st.sets(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=18))
@settings(deadline=None, max_examples=60)
def test_triangles_of_any_plan_of_squares_become_that_plan_again(cells):
    whole = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in cells])
    parts = list(whole.geoms) if whole.geom_type == "MultiPolygon" else [whole]
    faces = merged_faces([one for part in parts for one in triangles(part)])
    made = [plan_of(face) for face in faces]
    assert all(one.is_valid for one in made)
    assert sum(one.area for one in made) == pytest.approx(whole.area, rel=1e-9)
    assert shapely.union_all(made).symmetric_difference(whole).area == pytest.approx(0.0, abs=1e-6)


def test_a_hole_stays_a_hole():
    plan = shapely.Polygon([(0, 0), (6, 0), (6, 6), (0, 6)], [[(2, 2), (4, 2), (4, 4), (2, 4)]])
    [face] = merged_faces(list(triangles(plan)))
    assert len(face.holes) == 1
    assert plan_of(face).area == pytest.approx(32.0)


def test_faces_of_unlike_slope_stay_apart():
    ridge = [[0, 3, 6], [8, 3, 6]]
    south = np.array([[0, 0, 3], [8, 0, 3], ridge[1], ridge[0]], float)
    north = np.array([[8, 6, 3], [0, 6, 3], ridge[0], ridge[1]], float)
    assert len(merged_faces([[south], [north]])) == 2


def test_two_sides_of_a_sheet_stay_apart_and_a_copy_goes():
    square = np.array([[0.0, 0, 1], [2, 0, 1], [2, 2, 1], [0, 2, 1]])
    assert len(merged_faces([[square], [square[::-1]], [np.roll(square, 1, axis=0)]])) == 2


def test_squares_that_touch_at_a_corner_are_two_faces():
    squares = [np.array([[x, x, 0], [x + 1, x, 0], [x + 1, x + 1, 0], [x, x + 1, 0]], float) for x in (0, 1)]
    assert len(merged_faces([[one] for one in squares])) == 2
