"""Heights, facets, grid and outline of roofs small enough to work out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof.height import facet_at, grid_on, plan_outline, roof_height
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import Edge, EdgeType, Facet, Roof

L_PLAN = [(0.0, 0.0), (12.0, 0.0), (12.0, 6.0), (5.0, 6.0), (5.0, 13.0), (0.0, 13.0)]
GABLE = roof_from_outline([(0, 0), (10, 0), (10, 6), (0, 6)], form="gable", pitches=[45], eave_height=3)
COURT = roof_from_outline(
    [(0, 0), (10, 0), (10, 6), (0, 6)],
    form="flat",
    pitches=[0],
    eave_height=3,
    holes=[[(4, 2), (6, 2), (6, 4), (4, 4)]],
)


def level(name: str, x0: float, y0: float, x1: float, y1: float, z: float) -> Facet:
    return Facet(name, np.array([(x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z)], float))


def around(facet: Facet, *kinds: EdgeType) -> list[Edge]:
    ring = facet.ring
    return [
        Edge(f"{facet.id} {i}", kind, ring[i], ring[(i + 1) % len(ring)], (facet.id,)) for i, kind in enumerate(kinds)
    ]


def test_height_follows_the_slopes() -> None:
    xy = [(1, 0), (1, 2), (1, 3), (1, 4.5), (9, 6)]
    assert roof_height(GABLE, xy).tolist() == pytest.approx([3, 5, 6, 4.5, 3])


def test_there_is_no_height_beside_the_roof() -> None:
    assert np.isnan(roof_height(GABLE, [(-0.01, 3), (10.01, 3), (5, 6.01), (5, -0.01)])).all()


def test_there_is_no_height_in_a_hole_but_on_its_rim_there_is() -> None:
    assert np.isnan(roof_height(COURT, [(5, 3)])).all()
    assert roof_height(COURT, [(4, 3), (5, 2), (6, 4)]).tolist() == [3, 3, 3]
    assert facet_at(COURT, [(5, 3), (4, 3)]).tolist() == [-1, 0]


def test_points_on_edges_are_on_the_roof() -> None:
    rng = np.random.default_rng(3)
    roof = roof_from_outline(L_PLAN, form="hip", pitches=[37], eave_height=3, overhang=0.3)
    for edge in roof.edges:
        points = edge.start + rng.uniform(0, 1, (20, 1)) * (edge.end - edge.start)
        np.testing.assert_allclose(roof_height(roof, points[:, :2]), points[:, 2], atol=1e-7)


def test_point_on_a_shared_edge_belongs_to_the_first_facet() -> None:
    assert facet_at(GABLE, [(5, 3)]).tolist() == [0]


def test_array_equals_one_point_at_a_time() -> None:
    roof = roof_from_outline(L_PLAN, form="gable", pitches=[30], eave_height=3)
    xy = np.random.default_rng(5).uniform(-1, 14, (200, 2))
    singly = [roof_height(roof, point[None, :])[0] for point in xy]
    np.testing.assert_array_equal(roof_height(roof, xy), singly)
    np.testing.assert_array_equal(facet_at(roof, xy) < 0, np.isnan(singly))


def test_of_facets_over_each_other_the_highest_counts() -> None:
    low, high = level("low", 0, 0, 10, 6, 3.0), level("dormer", 4, 1, 6, 3, 4.0)
    for facets in ((low, high), (high, low)):
        roof = Roof(facets, ())
        assert roof_height(roof, [(5, 2), (1, 1)]).tolist() == [4, 3]
        assert facets[facet_at(roof, [(5, 2)])[0]].id == "dormer"


def test_plumb_facet_covers_nothing() -> None:
    wall = Facet("wall", np.array([(0, 0, 0), (4, 0, 0), (4, 0, 3), (0, 0, 3)], float))
    assert facet_at(Roof((wall,), ()), [(2, 0)]).tolist() == [-1]


def test_no_points_give_no_heights() -> None:
    assert roof_height(GABLE, np.empty((0, 2))).shape == (0,)


@pytest.mark.parametrize("xy", [[1, 2], [[1, 2, 3]]], ids=["a flat row", "three numbers"])
def test_points_must_be_pairs(xy: object) -> None:
    with pytest.raises(ValueError, match="shape"):
        roof_height(GABLE, xy)  # type: ignore[arg-type]


def test_grid_covers_the_roof_evenly() -> None:
    grid = grid_on(GABLE, 0.5)
    assert len(grid) == 20 * 12  # each point stands for a square of half a metre
    np.testing.assert_allclose(grid[:, 2], 6 - np.abs(grid[:, 1] - 3))
    assert grid[0].tolist() == [0.25, 0.25, 3.25]


def test_grid_leaves_out_what_is_not_roof() -> None:
    roof = roof_from_outline(L_PLAN, form="hip", pitches=[45], eave_height=3)
    assert len(grid_on(roof, 1.0)) == 12 * 6 + 5 * 7
    assert len(grid_on(COURT, 1.0)) == 60 - 4


def test_grid_coarser_than_the_roof_has_one_point() -> None:
    assert grid_on(GABLE, 100.0)[:, :2].tolist() == [[5, 3]]


@pytest.mark.parametrize("step", [0.0, -1.0, float("nan"), float("inf")])
def test_grid_step_must_be_above_zero(step: float) -> None:
    with pytest.raises(ValueError, match="above 0 m"):
        grid_on(GABLE, step)


def test_outline_is_that_of_the_roof_edge() -> None:
    roof = roof_from_outline(L_PLAN, form="gable", pitches=[30], eave_height=3, overhang=0.5)
    (ring,) = plan_outline(roof)
    expected = [(-0.5, -0.5), (12.5, -0.5), (12.5, 6.5), (5.5, 6.5), (5.5, 13.5), (-0.5, 13.5)]
    assert sorted(map(tuple, ring.tolist())) == sorted(expected)


def test_courtyard_is_a_clockwise_ring_after_the_outer_one() -> None:
    outer, court = plan_outline(COURT)
    assert sorted(map(tuple, court.tolist())) == [(4, 2), (4, 4), (6, 2), (6, 4)]
    assert np.ptp(outer[:, 0]) == 10
    x, y = court.T
    assert x @ np.roll(y, -1) - np.roll(x, -1) @ y < 0


def test_step_between_two_roofs_is_not_part_of_the_outline() -> None:
    """The lower roof ends along the whole side against a wall, the upper one along half of it with an eave."""
    low, high = level("low", 0, 0, 5, 6, 3.0), level("high", 5, 0, 9, 6, 5.0)
    eave = EdgeType.EAVE
    edges = around(low, eave, EdgeType.WALL, eave, eave) + around(high, eave, eave, eave, eave)
    (ring,) = plan_outline(Roof((low, high), tuple(edges)))
    assert sorted(map(tuple, ring.tolist())) == [(0, 0), (0, 6), (9, 0), (9, 6)]


def test_step_along_part_of_a_side_leaves_the_rest_in_the_outline() -> None:
    low, high = level("low", 0, 0, 5, 6, 3.0), level("high", 5, 2, 9, 4, 5.0)
    eave = EdgeType.EAVE
    edges = around(low, eave, EdgeType.WALL, eave, eave) + around(high, eave, eave, eave, eave)
    (ring,) = plan_outline(Roof((low, high), tuple(edges)))
    assert sorted(map(tuple, ring.tolist())) == [(0, 0), (0, 6), (5, 0), (5, 2), (5, 4), (5, 6), (9, 2), (9, 4)]


def test_edges_that_do_not_close_are_refused() -> None:
    low = level("low", 0, 0, 5, 6, 3.0)
    edges = around(low, EdgeType.EAVE, EdgeType.EAVE, EdgeType.EAVE, EdgeType.RIDGE)
    with pytest.raises(RoofError, match=r"don't close at \(0, 6\)"):
        plan_outline(Roof((low,), tuple(edges)))
