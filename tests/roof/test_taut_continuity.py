"""What holds for the taut rope as its two ends move: laws of any distance through the open space.

Walking from one place to another the rope gets longer or shorter by the way walked at most; no rope is shorter than the
straight line; and nothing depends on where the building stands and which way it faces.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from path_roofs import ROOFS

from ropewright.roof import Facet, Opening, Roof
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

SOLIDS = {name: RoofSolid(make()) for name, make in ROOFS.items()}
NAMES = st.sampled_from(sorted(ROOFS))
SEEDS = st.integers(0, 2**31)


def outside(solid: RoofSolid, seed: int, count: int) -> np.ndarray:
    """Points on the surface, above it and beside the building."""
    random = np.random.default_rng(seed)
    low, high = solid.mesh.corners.min(axis=0) - 1.5, solid.mesh.corners.max(axis=0) + 1.5
    points = random.uniform(low, high, (count, 3))
    top = solid.heights(points[:, :2])
    on = np.isfinite(top) & (random.uniform(size=count) < 0.7)
    points[:, 2] = np.where(on, top, np.maximum(points[:, 2], top))
    return points


@given(NAMES, SEEDS)
@settings(deadline=None, max_examples=25)
def test_the_rope_grows_by_no_more_than_the_way_walked(name: str, seed: int) -> None:
    """Along straight ways through the air, in steps of some millimetres, where windows take turns too."""
    solid = SOLIDS[name]
    ends = outside(solid, seed, 9)
    paths = TautPaths(solid, ends[0])
    for a, b in zip(ends[1::2], ends[2::2], strict=True):
        if solid.is_clear(a[None], b[None])[0]:
            walk = a + np.linspace(0.0, 1.0, 400)[:, None] * (b - a)
            lengths = paths.lengths(walk)
            assert np.isfinite(lengths).all()
            assert np.abs(np.diff(lengths)).max() <= np.linalg.norm(b - a) / 399 + 1e-9


@given(NAMES, SEEDS)
@settings(deadline=None, max_examples=25)
def test_no_rope_is_shorter_than_the_straight_line_which_is_the_rope_where_it_is_clear(name: str, seed: int) -> None:
    solid = SOLIDS[name]
    points = outside(solid, seed, 60)
    lengths = TautPaths(solid, points[0]).lengths(points)
    straight = np.linalg.norm(points - points[0], axis=1)
    clear = solid.is_clear(np.repeat(points[:1], len(points), axis=0), points)
    assert (lengths >= straight - 1e-12).all()
    assert lengths[clear] == pytest.approx(straight[clear], abs=1e-9)
    assert (lengths[~clear] > straight[~clear]).all()


@given(NAMES, SEEDS, st.floats(0.0, 6.28), st.floats(-300.0, 300.0))
@settings(deadline=None, max_examples=15)
def test_where_the_building_stands_and_faces_does_not_matter(name: str, seed: int, angle: float, away: float) -> None:
    solid = SOLIDS[name]
    points = outside(solid, seed, 30)
    turn = np.array([[np.cos(angle), np.sin(angle), 0.0], [-np.sin(angle), np.cos(angle), 0.0], [0.0, 0.0, 1.0]])

    def moved(p: np.ndarray) -> np.ndarray:
        return np.asarray(p) @ turn + (away, -0.5 * away, 0.1 * away)

    roof = solid.roof
    facets = tuple(Facet(f.id, moved(f.ring), tuple(moved(h) for h in f.holes)) for f in roof.facets)
    openings = tuple(Opening(o.name, o.facet, moved(o.ring)) for o in roof.openings)
    there = TautPaths(Roof(facets, (), openings), moved(points[0])).lengths(moved(points))
    assert there == pytest.approx(TautPaths(solid, points[0]).lengths(points), abs=1e-7)


@pytest.mark.parametrize("name", sorted(ROOFS))
def test_rounding_to_either_side_of_an_eave_or_a_wall_changes_no_rope(name: str) -> None:
    """Points on the rim and on the wall below it, moved by less than a tenth of a micrometre each way."""
    solid = SOLIDS[name]
    random = np.random.default_rng(2)
    rims = [e for e in solid.edges if abs(e.left[2]) < 1e-9 or abs(e.right[2]) < 1e-9]
    points = np.array([e.start + random.uniform(0.1, 0.9) * min(e.length, 5.0) * e.along for e in rims])
    points = np.vstack([points, points - (0.0, 0.0, 0.4)])
    points = points[solid.heights(points[:, :2] * 1.0) - points[:, 2] <= 0.0]
    anchor = outside(solid, 1, 1)[0]
    paths = TautPaths(solid, anchor)
    lengths = paths.lengths(points)
    moved = points + random.uniform(-6e-8, 6e-8, points.shape)
    assert np.isfinite(lengths).all()
    assert paths.lengths(moved) == pytest.approx(lengths, abs=1e-6)
