"""Straight skeletons worked out by hand, and what must hold for every one of them.

On an outline whose sides all run along x or y, with all slopes at 45 degrees, the height of the roof at a point is the
distance to the outline in the greater of |dx| and |dy|: the largest square about the point that the outline holds.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from ropewright.roof.skeleton import Skeleton, SkeletonError, straight_skeleton, trace_rings

Floats = NDArray[np.float64]
Ring = list[tuple[float, float]]

L_PLAN: Ring = [(0, 0), (10, 0), (10, 6), (4, 6), (4, 12), (0, 12)]
T_PLAN: Ring = [(0, 0), (12, 0), (12, 6), (8, 6), (8, 11), (4, 11), (4, 6), (0, 6)]
U_PLAN: Ring = [(0, 0), (14, 0), (14, 10), (9, 10), (9, 4), (5, 4), (5, 9), (0, 9)]
CROSS: Ring = [(4, 0), (8, 0), (8, 4), (13, 4), (13, 7), (8, 7), (8, 12), (4, 12), (4, 7), (0, 7), (0, 4), (4, 4)]
COURT: Ring = [(0, 0), (12, 0), (12, 10), (0, 10)]
HOLE: Ring = [(5, 3), (5, 6), (8, 6), (8, 3)]
PLANS = {"L": [L_PLAN], "T": [T_PLAN], "U": [U_PLAN], "cross": [CROSS], "courtyard": [COURT, HOLE]}


def sides(rings: list[Ring]) -> int:
    return sum(len(ring) for ring in rings)


def inner_nodes(skeleton: Skeleton, count: int) -> Floats:
    return np.array(sorted(skeleton.nodes[count:])).round(12)


def height_from(skeleton: Skeleton, rings: list[Ring], speeds: list[float], x: float, y: float) -> float:
    """Height at a point, from the face that holds it and the plane of its side."""
    corners = [pair for ring in rings for pair in zip(ring, ring[1:] + ring[:1], strict=True)]
    for ((x0, y0), (x1, y1)), speed, face in zip(corners, speeds, skeleton.faces, strict=True):
        for ring in face:
            plan = [skeleton.nodes[node][:2] for node in ring]
            if holds(plan, x, y):
                along = math.hypot(x1 - x0, y1 - y0)
                return ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / along / speed
    return math.nan


def holds(ring: list[tuple[float, float]], x: float, y: float) -> bool:
    inside = False
    for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            inside = not inside
    return inside


def square_distance(rings: list[Ring], x: float, y: float) -> float:
    """Half the side of the largest square about a point that meets no side of the rings."""
    nearest = math.inf
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
            dx = max(min(x0, x1) - x, x - max(x0, x1), 0.0)
            dy = max(min(y0, y1) - y, y - max(y0, y1), 0.0)
            nearest = min(nearest, max(dx, dy))
    return nearest


def test_square_ends_in_one_point() -> None:
    skeleton = straight_skeleton([[(0, 0), (6, 0), (6, 6), (0, 6)]], [1] * 4)
    assert inner_nodes(skeleton, 4).tolist() == [[3, 3, 3]]
    assert len(skeleton.arcs) == 4


def test_rectangle_has_its_ridge_half_the_width_from_the_ends() -> None:
    skeleton = straight_skeleton([[(0, 0), (10, 0), (10, 6), (0, 6)]], [1] * 4)
    assert inner_nodes(skeleton, 4).tolist() == [[3, 3, 3], [7, 3, 3]]
    assert len(skeleton.arcs) == 5


def test_steeper_ends_move_the_ridge_ends_outward() -> None:
    """The ends climb twice as fast: at the ridge, 3 m up, they stand 1.5 m in."""
    skeleton = straight_skeleton([[(0, 0), (10, 0), (10, 6), (0, 6)]], [1, 0.5, 1, 0.5])
    assert inner_nodes(skeleton, 4).tolist() == [[1.5, 3, 3], [8.5, 3, 3]]


def test_standing_ends_carry_the_ridge_out_to_the_gables() -> None:
    skeleton = straight_skeleton([[(0, 0), (10, 0), (10, 6), (0, 6)]], [1, 0, 1, 0])
    assert inner_nodes(skeleton, 4).tolist() == [[0, 3, 3], [10, 3, 3]]
    assert [len(face) for face in skeleton.faces] == [1, 0, 1, 0]


def test_slopes_of_unlike_pitch_set_the_ridge_off_the_middle() -> None:
    """Speeds 1 and 2 across 6 m: they meet after 2 m of rise, 2 m from one side and 4 m from the other."""
    skeleton = straight_skeleton([[(0, 0), (10, 0), (10, 6), (0, 6)]], [1, 0, 2, 0])
    assert inner_nodes(skeleton, 4).tolist() == [[0, 2, 2], [10, 2, 2]]


def test_l_plan_of_unlike_wings() -> None:
    """Wings 6 m and 4 m wide: ridges 3 m and 2 m up, joined by a hip; the valley runs to the lower ridge."""
    skeleton = straight_skeleton([L_PLAN], [1] * 6)
    assert inner_nodes(skeleton, 6).tolist() == [[2, 4, 2], [2, 10, 2], [3, 3, 3], [7, 3, 3]]


def test_two_sides_in_one_line_meet_behind_the_wing_between_them() -> None:
    """Behind the wing of a T plan the two valleys meet; from there to the ridge both slopes are one plane."""
    skeleton = straight_skeleton([T_PLAN], [1] * 8)
    nodes = inner_nodes(skeleton, 8).tolist()
    assert [6, 4, 2] in nodes
    assert [6, 3, 3] in nodes


def test_triangle_ends_in_the_centre_of_its_inscribed_circle() -> None:
    """A triangle with sides 3, 4 and 5 holds a circle of radius 1."""
    skeleton = straight_skeleton([[(0, 0), (4, 0), (0, 3)]], [1] * 3)
    assert inner_nodes(skeleton, 3).tolist() == [[1, 1, 1]]


def test_slope_passes_a_shaft_and_goes_on_behind_it() -> None:
    shaft: Ring = [(3, 1), (3, 2), (5, 2), (5, 1)]
    skeleton = straight_skeleton([[(0, 0), (10, 0), (10, 8), (0, 8)], shaft], [1, 0, 1, 0, 0, 0, 0, 0])
    outer, hole = skeleton.faces[0]
    assert len(outer) == 4
    assert sorted(skeleton.nodes[node] for node in hole) == [(3, 1, 1), (3, 2, 2), (5, 1, 1), (5, 2, 2)]


@pytest.mark.parametrize("rings", PLANS.values(), ids=PLANS)
def test_height_at_45_degrees_is_the_square_distance_to_the_outline(rings: list[Ring]) -> None:
    speeds = [1.0] * sides(rings)
    skeleton = straight_skeleton(rings, speeds)
    rng = np.random.default_rng(1)
    checked = 0
    for x, y in rng.uniform(0, 14, (900, 2)).tolist():
        if sum(holds(ring, x, y) for ring in rings) % 2:
            checked += 1
            assert height_from(skeleton, rings, speeds, x, y) == pytest.approx(square_distance(rings, x, y), abs=1e-12)
    assert checked > 250


@pytest.mark.parametrize("rings", PLANS.values(), ids=PLANS)
@pytest.mark.parametrize("turn", [0.3, 1.2, 2.9])
def test_turned_outline_has_the_turned_skeleton(rings: list[Ring], turn: float) -> None:
    c, s = math.cos(turn), math.sin(turn)
    turned = [[(c * x - s * y, s * x + c * y) for x, y in ring] for ring in rings]
    one, other = straight_skeleton(rings, [1.2] * sides(rings)), straight_skeleton(turned, [1.2] * sides(rings))
    back = np.array(other.nodes) @ np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    assert same_points(np.array(one.nodes), back, 1e-12)
    assert len(one.arcs) == len(other.arcs)


@pytest.mark.parametrize("rings", PLANS.values(), ids=PLANS)
def test_mirrored_outline_has_the_mirrored_skeleton(rings: list[Ring]) -> None:
    mirrored = [[(-x, y) for x, y in reversed(ring)] for ring in rings]
    one, other = straight_skeleton(rings, [0.8] * sides(rings)), straight_skeleton(mirrored, [0.8] * sides(rings))
    assert same_points(np.array(one.nodes), np.array(other.nodes) * [-1, 1, 1], 1e-12)


@pytest.mark.parametrize("rings", PLANS.values(), ids=PLANS)
def test_outline_in_map_coordinates_has_the_same_skeleton(rings: list[Ring]) -> None:
    """At 5,000 km from the origin the last digit of a coordinate is a nanometre."""
    moved = [[(x + 5e6, y + 3e6) for x, y in ring] for ring in rings]
    one, other = straight_skeleton(rings, [1.0] * sides(rings)), straight_skeleton(moved, [1.0] * sides(rings))
    assert same_points(np.array(one.nodes), np.array(other.nodes) - [5e6, 3e6, 0], 2e-9)


def same_points(one: Floats, other: Floats, tolerance: float) -> bool:
    gaps = np.linalg.norm(one[:, None, :] - other[None, :, :], axis=2)
    return len(one) == len(other) and bool(
        (gaps.min(axis=0) < tolerance).all() and (gaps.min(axis=1) < tolerance).all()
    )


@st.composite
def stars(draw: st.DrawFn) -> Ring:
    count = draw(st.integers(4, 11))
    turns = [(i + draw(st.floats(0.1, 0.9))) * math.tau / count for i in range(count)]
    reach = [draw(st.floats(3.0, 12.0)) for _ in range(count)]
    return [(r * math.cos(a), r * math.sin(a)) for a, r in zip(turns, reach, strict=True)]


speeds_of_eleven = st.lists(st.floats(0.5, 3.0), min_size=11, max_size=11)


@settings(deadline=None, max_examples=60)
@given(stars(), speeds_of_eleven, st.floats(0.01, 100.0))
def test_scaled_outline_has_the_scaled_skeleton(ring: Ring, speeds: list[float], scale: float) -> None:
    speeds = speeds[: len(ring)]
    one = straight_skeleton([ring], speeds)
    other = straight_skeleton([[(x * scale, y * scale) for x, y in ring]], speeds)
    if len(one.nodes) == len(other.nodes):  # else sides met in one point at one scale, and almost so at the other
        assert same_points(np.array(one.nodes) * scale, np.array(other.nodes), 1e-6 * max(scale, 1))


@settings(deadline=None, max_examples=100)
@given(stars(), speeds_of_eleven)
def test_faces_lie_in_the_planes_of_their_sides_and_cover_the_outline_once(ring: Ring, speeds: list[float]) -> None:
    skeleton = straight_skeleton([ring], speeds[: len(ring)])
    covered = 0.0
    for i, ((x0, y0), (x1, y1), face) in enumerate(zip(ring, ring[1:] + ring[:1], skeleton.faces, strict=True)):
        (loop,) = face  # the face of a side of a plain outline is one piece without holes
        nodes = np.array([skeleton.nodes[node] for node in loop])
        area = float(nodes[:, 0] @ np.roll(nodes[:, 1], -1) - np.roll(nodes[:, 0], -1) @ nodes[:, 1]) / 2
        assert area > 0
        covered += area
        along = math.hypot(x1 - x0, y1 - y0)
        away = ((x1 - x0) * (nodes[:, 1] - y0) - (y1 - y0) * (nodes[:, 0] - x0)) / along
        assert np.abs(away - speeds[i] * nodes[:, 2]).max() < 1e-7
    corners = np.array(ring)
    x, y = corners.T
    assert covered == pytest.approx(float(x @ np.roll(y, -1) - np.roll(x, -1) @ y) / 2, rel=1e-9)


@pytest.mark.parametrize("size", [1e-3, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9, 1e-10, 1e-12])
@pytest.mark.parametrize("name", PLANS)
def test_corners_a_little_off_leave_the_roof_a_little_off(name: str, size: float) -> None:
    """Events that coincide on the exact plan happen one after the other, in any order; the height hardly changes."""
    rings = PLANS[name]
    speeds = [1.0] * sides(rings)
    rng = np.random.default_rng(int(-math.log10(size)))
    shifted = [
        [(x + dx, y + dy) for (x, y), (dx, dy) in zip(r, rng.uniform(-size, size, (len(r), 2)), strict=True)]
        for r in rings
    ]
    skeleton = straight_skeleton(shifted, speeds)
    checked = 0
    for x, y in rng.uniform(0, 13, (120, 2)).tolist():
        expected = square_distance(rings, x, y)
        if sum(holds(ring, x, y) for ring in rings) % 2 and expected > 0.01:
            checked += 1
            # a corner off by `size` on a side of 3 m turns it, and what is 14 m away moves by up to ten times that
            assert height_from(skeleton, shifted, speeds, x, y) == pytest.approx(expected, abs=12 * size + 2e-6)
    assert checked > 25


def test_neighbours_in_one_line_with_unlike_speeds_are_refused() -> None:
    with pytest.raises(SkeletonError, match="one line") as caught:
        straight_skeleton([[(0, 0), (5, 0), (10, 0), (10, 6), (0, 6)]], [1, 2, 1, 1, 1])
    assert caught.value.sides == (0, 1)
    assert caught.value.point == pytest.approx((5, 0))


def test_sides_that_never_meet_are_refused() -> None:
    with pytest.raises(SkeletonError, match="never close"):
        straight_skeleton([[(0, 0), (6, 0), (6, 6), (0, 6)]], [0, 0, 0, 0])


def test_outline_that_doubles_back_is_refused() -> None:
    with pytest.raises(SkeletonError, match="double back"):
        straight_skeleton([[(0, 0), (6, 0), (3, 0), (3, 4)]], [1] * 4)


@pytest.mark.parametrize("speed", [-1.0, math.nan, math.inf])
def test_speed_out_of_range_is_a_programming_mistake(speed: float) -> None:
    with pytest.raises(ValueError, match="finite and 0 or more"):
        straight_skeleton([[(0, 0), (6, 0), (6, 6), (0, 6)]], [1, 1, 1, speed])


def test_one_speed_per_side() -> None:
    with pytest.raises(ValueError, match="4 sides, got 3 speeds"):
        straight_skeleton([[(0, 0), (6, 0), (6, 6), (0, 6)]], [1, 1, 1])


def test_rings_that_touch_are_traced_apart() -> None:
    """Two triangles that share a corner: each turns back into its own sector there."""
    plan = [(0, 0), (-1, 1), (-1, -1), (1, -1), (1, 1)]
    links = [(0, 1), (1, 2), (2, 0), (0, 3), (3, 4), (4, 0)]
    for order in itertools.permutations(links, len(links)):
        rings = trace_rings(order, plan)
        assert sorted(tuple(sorted(ring)) for ring in rings) == [(0, 1, 2), (0, 3, 4)]


def test_open_links_are_refused() -> None:
    with pytest.raises(SkeletonError, match="open"):
        trace_rings([(0, 1), (1, 2)], [(0, 0), (1, 0), (0, 1)])
