"""Points near an anchor give the answers of all points, alone and joined with those of other anchors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field import EdgePoints, edge_points, hang_heights, roll, rope_over
from ropewright.field.near import joined, near_edges, straight_distance
from ropewright.roof import Roof
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths

D_RING = 1.4


def hip_with_hatch() -> Roof:
    roof = roof_from_outline([(0, 0), (12, 0), (12, 8), (0, 8)], form="hip", pitches=[30], eave_height=4)
    return with_openings(roof, [OpeningSpec(name="hatch", center=(6.0, 2.4), size=(0.8, 0.8))])


@pytest.fixture(scope="module")
def roof() -> Roof:
    return hip_with_hatch()


@pytest.fixture(scope="module")
def edges(roof: Roof) -> EdgePoints:
    return edge_points(roof, 0.4)


ANCHORS = [(6.0, 4.0, 6.4), (5.0, 4.0, 6.4), (2.5, 2.5, 5.5)]


def swings(edges: EdgePoints, over, length: float):  # type: ignore[no-untyped-def]
    """Reached points and the height that a body loses from each."""
    rope = np.full(len(edges.points), length)
    hang = roll(edges, hang_heights(edges.points[:, 2], over.to_edge), over.to_edge, rope)
    return over.nearest <= length, hang.drop


def near_part(roof: Roof, edges: EdgePoints, anchor, reach: float):  # type: ignore[no-untyped-def]
    paths = TautPaths(roof, anchor)
    part, index = near_edges(edges, straight_distance(edges.points, paths.anchor, D_RING) <= reach)
    return part, rope_over(paths, part.points, D_RING, reach=reach), index


@pytest.mark.parametrize("anchor", ANCHORS)
@pytest.mark.parametrize("length", [3.0, 5.0, 7.5, 30.0])
def test_points_in_reach_of_the_rope_are_all_that_matter(roof, edges, anchor, length) -> None:  # type: ignore[no-untyped-def]
    whole = rope_over(TautPaths(roof, anchor), edges.points, D_RING, reach=length)
    part, over, index = near_part(roof, edges, anchor, length)
    (reached, drop), (near_reached, near_drop) = swings(edges, whole, length), swings(part, over, length)
    assert sorted(np.flatnonzero(reached)) == sorted(index[near_reached])
    assert near_drop[near_reached] == pytest.approx(drop[index[near_reached]], abs=2e-6)


@pytest.mark.parametrize("length", [3.0, 5.0, 7.5, 30.0])
def test_points_of_several_anchors_joined_are_as_each_alone(roof, edges, length) -> None:  # type: ignore[no-untyped-def]
    """The greatest drop of each; a ring cut open at its highest hang stands for the ring."""
    parts = [near_part(roof, edges, anchor, length) for anchor in ANCHORS]
    together = joined([(part, over) for part, over, _ in parts])
    reached, drop = swings(together.edges, together.over, length)
    first = 0
    for number, (part, over, _) in enumerate(parts):
        alone_reached, alone_drop = swings(part, over, length)
        own = reached & (together.owner == number)
        assert set(together.source[own] - first) == set(np.flatnonzero(alone_reached))
        assert drop[own] == pytest.approx(alone_drop[together.source[own] - first], abs=2e-6)
        first += len(part.points)


@settings(max_examples=80, deadline=None)
@given(st.tuples(*[st.floats(-5, 5)] * 3), st.tuples(*[st.floats(-5, 5)] * 3), st.floats(0.5, 2.0), st.floats(0.0, 1.0))
def test_no_body_on_a_point_is_nearer_than_the_straight_distance(
    point: tuple[float, ...], anchor: tuple[float, ...], height: float, share: float
) -> None:
    at, fixed = np.array(point), np.array(anchor)
    least = straight_distance(at[None], fixed, height)[0]
    assert least <= np.linalg.norm(at - fixed + np.array([0, 0, share * height])) + 1e-9


def test_no_point_near_leaves_nothing(edges: EdgePoints) -> None:
    part, index = near_edges(edges, np.zeros(len(edges.points), bool))
    assert not len(index)
    assert part.closed == ()


def test_a_ring_cut_anywhere_stays_in_its_order(edges: EdgePoints) -> None:
    """Points left out at the ring's own start make one run that goes past it."""
    near = np.ones(len(edges.points), bool)
    ring = np.flatnonzero(edges.chain == edges.chain[0])
    near[ring[5:9]] = False
    part, index = near_edges(edges, near)
    assert not part.closed[0]
    assert index[: len(ring) - 4].tolist() == [*ring[9:], *ring[:5]]
