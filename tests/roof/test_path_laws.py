"""What holds for taut ropes on every roof: equal angles, both ways alike, no detour gains, never through a building.

A shortest path bends on an edge so that the angles to the edge before and after are equal (first variation of length);
the other laws are those of any shortest path.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from path_roofs import ROOFS

from ropewright.roof import Roof
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

Floats = NDArray[np.float64]
NAMES = st.sampled_from(sorted(ROOFS))
SEEDS = st.integers(0, 2**31)


@cache
def solid_of(name: str) -> RoofSolid:
    return RoofSolid(ROOFS[name]())


def bounds(roof: Roof) -> tuple[Floats, Floats]:
    corners = np.vstack([facet.ring for facet in roof.facets])[:, :2]
    return corners.min(axis=0), corners.max(axis=0)


def on_roof(solid: RoofSolid, seed: int, count: int) -> Floats:
    """Points on the surface."""
    random, (low, high) = np.random.default_rng(seed), bounds(solid.roof)
    xy = random.uniform(low, high, (200, 2))
    z = solid.heights(xy)
    return np.column_stack([xy, z])[np.isfinite(z)][:count]


def anywhere(solid: RoofSolid, seed: int, count: int) -> Floats:
    """Points on the surface, above it and beside the building."""
    random, (low, high) = np.random.default_rng(seed), bounds(solid.roof)
    xy = random.uniform(low - 1.5, high + 1.5, (count, 2))
    top = solid.heights(xy)
    above = np.where(np.isfinite(top), top, 0.0) + random.choice([0.0, 1.5], count)
    return np.column_stack([xy, np.where(np.isfinite(top), above, random.uniform(-1.0, 6.0, count))])


@given(NAMES, SEEDS)
@settings(deadline=None, max_examples=12)
def test_angles_to_the_edge_are_equal_at_every_bend_on_one(name: str, seed: int) -> None:
    solid = solid_of(name)
    paths = TautPaths(solid, on_roof(solid, seed, 1)[0])
    corners = np.vstack([solid.mesh.corners, solid.saddles])
    for point in anywhere(solid, seed, 12):
        path = paths.path(point)
        for before, bend, after in zip(path.points[:-2], path.points[1:-1], path.points[2:], strict=True):
            if np.linalg.norm(corners - bend, axis=1).min() < 1e-6:
                continue  # at a corner no edge leads on
            run = np.linalg.norm(bend - before), np.linalg.norm(after - bend)
            ways = [e.along for e in solid.edges if _beside(bend, e.start, e.along, e.length) < 1e-9]
            assert ways
            apart = [abs((bend - before) @ u / run[0] - (after - bend) @ u / run[1]) for u in ways]
            assert min(apart) < 1e-6


def _beside(point: Floats, start: Floats, along: Floats, length: float) -> float:
    place = np.clip((point - start) @ along, 0.0, length)
    return float(np.linalg.norm(start + place * along - point))


@given(NAMES, SEEDS)
@settings(deadline=None, max_examples=12)
def test_the_way_back_is_as_long(name: str, seed: int) -> None:
    solid = solid_of(name)
    points = on_roof(solid, seed, 4)
    lengths = np.array([TautPaths(solid, point).lengths(points) for point in points])
    assert lengths == pytest.approx(lengths.T, abs=1e-9)


@given(NAMES, SEEDS)
@settings(deadline=None, max_examples=12)
def test_no_detour_is_shorter(name: str, seed: int) -> None:
    solid = solid_of(name)
    stops, goals = on_roof(solid, seed, 4), anywhere(solid, seed, 30)
    ways = np.array([TautPaths(solid, stop).lengths(goals) for stop in stops])
    between = TautPaths(solid, stops[0]).lengths(stops)
    assert (ways[0] <= between[:, None] + ways + 1e-9).all()
    assert (ways[0] >= np.linalg.norm(goals - stops[0], axis=1) - 1e-9).all()


@given(NAMES, SEEDS)
@settings(deadline=None, max_examples=12)
def test_legs_add_up_and_never_pass_under_the_roof(name: str, seed: int) -> None:
    solid = solid_of(name)
    paths = TautPaths(solid, on_roof(solid, seed, 1)[0])
    points = anywhere(solid, seed, 12)
    lengths, bends = paths.reach(points)
    for point, length, bend in zip(points, lengths, bends, strict=True):
        path = paths.path(point)
        assert path.length == pytest.approx(length, abs=1e-9)
        assert path.points[-2] == pytest.approx(bend, abs=1e-9)
        for start, end in pairwise(path.points):
            inner = start + np.linspace(0.0, 1.0, 203)[1:-1, None] * (end - start)
            deep = np.min(
                [solid.heights(inner[:, :2] + shift) - inner[:, 2] for shift in np.eye(2)[[0, 0, 1, 1]] * _SHIFTS],
                axis=0,
            )
            assert deep.max() < 2e-6  # walls are touched: one of four places beside has to be free


_SHIFTS = np.array([[1e-6], [-1e-6], [1e-6], [-1e-6]])


@given(SEEDS)
@settings(deadline=None, max_examples=8)
def test_a_mirrored_roof_mirrors_the_rope(seed: int) -> None:
    solid = solid_of("tee")  # even about x = 8
    anchor, goals = on_roof(solid, seed, 1)[0], anywhere(solid, seed, 30)
    mirror = np.array([-1.0, 1.0, 1.0])
    shift = np.array([16.0, 0.0, 0.0])
    there, back = TautPaths(solid, anchor), TautPaths(solid, anchor * mirror + shift)
    assert there.lengths(goals) == pytest.approx(back.lengths(goals * mirror + shift), abs=1e-9)


@given(SEEDS)
@settings(deadline=None, max_examples=8)
def test_scaling_and_turning_the_building_scales_the_rope(seed: int) -> None:
    solid = solid_of("ell")
    anchor, goals = on_roof(solid, seed, 1)[0], anywhere(solid, seed, 30)
    angle, scale = np.random.default_rng(seed).uniform(0.0, 6.28), 1.7
    turn = scale * np.array([[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    facets = tuple(type(f)(f.id, f.ring @ turn) for f in solid.roof.facets)
    turned = TautPaths(Roof(facets, ()), anchor @ turn)
    assert turned.lengths(goals @ turn) == pytest.approx(scale * TautPaths(solid, anchor).lengths(goals), abs=1e-8)


@pytest.mark.parametrize("name", ["hip", "ell", "tee", "dormer"])
def test_lowering_a_hanging_point_adds_the_drop(name: str) -> None:
    """The rope over the south eave in the middle: below it hangs plumb."""
    solid = solid_of(name)
    low, high = bounds(solid.roof)
    x, y = 0.5 * (low[0] + high[0]), low[1]
    foot, up_slope = np.array([x, y, 3.0]), np.array([[x, y + 1.2]])
    anchor = np.append(up_slope, solid.heights(up_slope))
    drops = np.array([0.0, 0.3, 1.0, 2.5])
    lengths = TautPaths(solid, anchor).lengths(foot - np.outer(drops, (0.0, 0.0, 1.0)))
    assert lengths - lengths[0] == pytest.approx(drops, abs=1e-9)


@given(NAMES, SEEDS)
@settings(deadline=None, max_examples=8)
def test_points_together_equal_points_one_by_one(name: str, seed: int) -> None:
    solid = solid_of(name)
    paths, goals = TautPaths(solid, on_roof(solid, seed, 1)[0]), anywhere(solid, seed, 8)
    assert paths.lengths(goals) == pytest.approx([paths.lengths(goal[None])[0] for goal in goals], abs=1e-12)
