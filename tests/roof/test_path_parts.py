"""Taut ropes over steps, dormers, courtyards and half-hips, each laid flat by hand.

The house is 12 m x 8 m with slopes of 1 in 1 from 5 m at its walls, so that z = 5 + y on the south slope; its dormer
stands between x = 4 and x = 6 from y = 1 back into that slope.
"""

from __future__ import annotations

import math

import pytest

from ropewright.roof import Roof
from ropewright.roof.dormers import DormerSpec, with_dormers
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths
from ropewright.roof.union import union_of_roofs

Point = tuple[float, float, float]

WALLS = [(0, 0), (12, 0), (12, 8), (0, 8)]


def flat(x: float, wide: float, height: float) -> Roof:
    outline = [(x, 0), (x + wide, 0), (x + wide, 6), (x, 6)]
    return roof_from_outline(outline, form="flat", pitches=[0], eave_height=height)


@pytest.fixture(scope="module")
def step() -> Roof:
    """A flat roof at 6 m up to x = 8, one at 3 m beyond."""
    return union_of_roofs([("", flat(0, 8, 6.0)), ("low", flat(8, 4, 3.0))])


def with_dormer(kind: str) -> Roof:
    house = roof_from_outline(WALLS, form="gable", pitches=[45], eave_height=5.0, gable_sides=[1, 3])
    return with_dormers(house, [DormerSpec("dormer", (5, 1), 2, 1, kind, 45)])


@pytest.fixture(scope="module")
def flat_dormer() -> Roof:
    return with_dormer("flat")


def length(roof: Roof, anchor: Point, point: Point) -> float:
    return float(TautPaths(roof, anchor).lengths([point])[0])


def test_over_a_step_the_wall_side_turns_into_the_plane_of_the_upper_roof(step: Roof) -> None:
    """2 m to the edge, from there 2 m out and 3 m down; 2 m along the edge in all."""
    path = TautPaths(step, (6, 3, 6)).path((10, 5, 3))
    assert path.length == pytest.approx(math.hypot(2 + math.hypot(2, 3), 2))
    assert path.edges == ("east eave",)


def test_up_a_step_is_as_long_as_down_it(step: Roof) -> None:
    assert length(step, (10, 5, 3), (6, 3, 6)) == pytest.approx(length(step, (6, 3, 6), (10, 5, 3)))


def test_over_both_edges_of_a_step_to_a_body_below_the_lower_eave(step: Roof) -> None:
    """From the upper edge (8, 6) to the lower one (12, 3) through the air, then 1 m down the wall."""
    assert length(step, (6, 3, 6), (12, 3, 2)) == pytest.approx(2 + math.hypot(4, 3) + 1)


def test_from_the_ridge_to_the_top_of_a_dormer_is_straight_through_the_air(flat_dormer: Roof) -> None:
    assert length(flat_dormer, (5, 4, 9), (5, 1, 7)) == pytest.approx(math.hypot(3, 2))


def test_over_the_front_of_a_dormer_it_bends_on_its_eave(flat_dormer: Roof) -> None:
    path = TautPaths(flat_dormer, (5, 4, 9)).path((5, 0.7, 6.2))
    assert path.length == pytest.approx(math.hypot(3, 2) + math.hypot(0.3, 0.8))
    assert path.edges == ("dormer south eave",)


def test_over_the_cheeks_of_a_dormer_it_bends_on_both_eaves(flat_dormer: Roof) -> None:
    """At y = 1.8 the cheeks stand 0.2 m out of the slope; round the front would be 0.8 m forward and back."""
    path = TautPaths(flat_dormer, (3, 1.8, 6.8)).path((7, 1.8, 6.8))
    assert path.length == pytest.approx(2 + 2 * math.hypot(1, 0.2))
    assert path.edges == ("dormer west eave", "dormer east eave")


def test_round_the_front_of_a_dormer_it_bends_on_the_corners_of_its_walls(flat_dormer: Roof) -> None:
    """At y = 1.2 the front is 0.2 m forward, the top 0.8 m up."""
    path = TautPaths(flat_dormer, (3, 1.2, 6.2)).path((7, 1.2, 6.2))
    assert path.length == pytest.approx(2 + 2 * math.hypot(1, 0.2))
    assert [p.round(6).tolist() for p in path.points[1:-1]] == [[4, 1, 6.2], [6, 1, 6.2]]


def test_from_the_ridge_to_the_gable_of_a_dormer_clears_its_ridge() -> None:
    """The line from 9 m at y = 4 to 8 m at y = 1 lies above the dormer's ridge, level at 8 m from y = 3 on."""
    assert length(with_dormer("gable"), (5, 4, 9), (5, 1, 8)) == pytest.approx(math.sqrt(10))


def test_across_a_courtyard_it_is_straight_and_down_into_it_bends_once() -> None:
    yard = [[(4, 3), (8, 3), (8, 5), (4, 5)]]
    roof = roof_from_outline(WALLS, form="flat", pitches=[0], eave_height=4.0, holes=yard)
    assert length(roof, (2, 4, 4), (10, 4, 4)) == pytest.approx(8)
    path = TautPaths(roof, (2, 4, 4)).path((6, 4, 2))
    assert path.length == pytest.approx(2 + math.hypot(2, 2))
    assert path.edges == ("courtyard east eave",)


def test_over_a_half_hip_it_cuts_the_corner_below_the_end_of_the_ridge() -> None:
    """The hip begins 1 m up and its plane meets the ridge 2 m in, at (8, 3, 6).

    Round that point lie, laid flat, the south slope from the ridge to the hip rafter (its run in the slope is 2 along
    and sqrt(8) down) and the hip's plane from there to its middle line (sides sqrt(12), sqrt(8) and 2): less than half
    a turn from the ridge, so that the rope is shorter beside that point than over it.
    """
    outline = [(0, 0), (10, 0), (10, 6), (0, 6)]
    roof = roof_from_outline(outline, form="gable", pitches=[45], eave_height=3.0, half_hips={1: 1.0})
    slope = math.pi - math.atan2(math.sqrt(8), 2)
    hip = math.acos((12 + 8 - 4) / (2 * math.sqrt(12) * math.sqrt(8)))
    expected = math.sqrt(3**2 + 8 - 2 * 3 * math.sqrt(8) * math.cos(slope + hip))
    path = TautPaths(roof, (5, 3, 6)).path((10, 3, 4))
    assert path.length == pytest.approx(expected)
    assert path.edges[0] in ("south-east hip", "north-east hip")


def test_wall_over_a_lower_wing_is_gone_over_at_its_rake() -> None:
    """A lean-to against the west gable: down the wall from the rake at (0, 2, 7) to the lean-to at (0, 2, 4)."""
    house = roof_from_outline(WALLS, form="gable", pitches=[45], eave_height=5.0, gable_sides=[1, 3])
    low = roof_from_outline([(-3, 0), (0, 0), (0, 4), (-3, 4)], form="flat", pitches=[0], eave_height=4.0)
    roof = union_of_roofs([("", house), ("low", low)])
    # on the slope, square to the rake's fall, y = 2 all along: 1 m level to the rake, then 3 m plumb
    path = TautPaths(roof, (1, 2, 7)).path((0, 2, 4))
    along = 3 * math.sin(math.radians(45))  # the wall laid flat about the rake
    square = 3 * math.cos(math.radians(45))
    assert path.length == pytest.approx(math.hypot(1 + square, along))
