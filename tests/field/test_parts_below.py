"""What lies below the edges of dormers, shafts, courtyards and steps, on heights that can be read off the plan.

The house is 12 m x 8 m with slopes of 1 in 1 from 5 m at its walls; its dormer's front stands 1 m up the south slope,
on 6 m, its eaves on 7 m; the flat garage beside it lies at 2.6 m.
"""

from __future__ import annotations

import numpy as np
import pytest

from ropewright.field.below import Below, Surroundings, Thing, below_edges, lower_roof
from ropewright.field.edges import EdgePoints, edge_points
from ropewright.roof import Roof
from ropewright.roof.dormers import DormerSpec, with_dormers
from ropewright.roof.height import grid_on
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.solid import RoofSolid
from ropewright.roof.union import union_of_roofs

GROUND = Surroundings((Thing("ground", top=0.0),))
WALLS = [(0, 0), (12, 0), (12, 8), (0, 8)]


def house(holes: tuple[list[tuple[float, float]], ...] = (), walls: tuple[int, ...] = ()) -> Roof:
    return roof_from_outline(
        WALLS, form="gable", pitches=[45], eave_height=5.0, gable_sides=[1, 3], holes=holes, wall_sides=walls
    )


def garage() -> Roof:
    return roof_from_outline([(12, 1), (16, 1), (16, 6), (12, 6)], form="flat", pitches=[0], eave_height=2.6)


def whole() -> Roof:
    return with_dormers(
        union_of_roofs([("", house()), ("garage", garage())]), [DormerSpec("dormer", (5, 1), 2, 1, "flat")]
    )


def looked_at(roof: Roof, spacing: float = 0.25) -> tuple[EdgePoints, Below]:
    edges = edge_points(roof, spacing)
    return edges, below_edges(edges, GROUND, lower_roof(edges, RoofSolid(roof).heights))


def at(edges: EdgePoints, below: Below, name: str, place: tuple[float, float]) -> tuple[float, str]:
    """What lies below the point of an edge that is nearest to a place in plan."""
    own = np.flatnonzero(np.array(edges.edge_names) == name)
    nearest = own[np.argmin(np.linalg.norm(edges.points[own, :2] - place, axis=1))]
    return float(below.tops[nearest]), below.names[nearest]


def test_a_fall_from_the_front_of_a_dormer_ends_on_the_slope_before_it() -> None:
    """2 cm out from the front, at y = 1, the slope lies at 5.98 m."""
    assert at(*looked_at(whole()), "dormer south eave", (5, 1)) == (pytest.approx(5.98), "lower roof")


def test_a_fall_from_the_cheek_of_a_dormer_ends_on_the_slope_beside_it() -> None:
    """Half a metre behind the front the slope beside the cheek lies at 6.5 m, 10 cm further up at 6.6 m."""
    top, name = at(*looked_at(whole()), "dormer east eave", (6, 1.5))
    assert (top, name) == (pytest.approx(6.6), "lower roof")


def test_a_fall_over_a_rake_ends_on_the_lower_roof_that_stands_there() -> None:
    edges, below = looked_at(whole())
    assert at(edges, below, "east rake (south side)", (12, 3)) == (pytest.approx(2.6), "lower roof")
    assert at(edges, below, "east rake (north side)", (12, 7.5)) == (0.0, "ground")
    assert at(edges, below, "west rake (south side)", (0, 2)) == (0.0, "ground")


def test_a_fall_from_the_lower_roof_ends_on_the_ground() -> None:
    assert at(*looked_at(whole()), "garage east eave", (16, 3)) == (0.0, "ground")


def test_the_foot_of_a_wall_is_no_fall_edge() -> None:
    edges, _ = looked_at(whole())
    assert not any("wall" in name for name in edges.names)
    assert {name for name in edges.names if name.startswith("garage")} == {
        "garage south eave",
        "garage east eave",
        "garage north eave",
    }


def test_top_edges_of_a_dormer_are_one_chain_apart_from_the_eaves() -> None:
    edges, _ = looked_at(whole())
    own = {int(chain) for chain, name in zip(edges.chain, edges.edge_names, strict=True) if name.startswith("dormer")}
    assert len(own) == 1
    assert not edges.closed[own.pop()]


def test_a_fall_into_a_courtyard_ends_on_its_ground() -> None:
    flat = roof_from_outline(WALLS, form="flat", pitches=[0], eave_height=4.0, holes=[[(4, 3), (8, 3), (8, 5), (4, 5)]])
    edges, below = looked_at(flat)
    inner = [name.startswith("courtyard") for name in edges.edge_names]
    assert sum(inner) > 40
    assert (below.tops[inner] == 0.0).all()


def test_a_fall_into_a_shaft_in_a_slope_does_not_end_on_that_slope() -> None:
    """At its corners the slope goes on beside the rim, lower down; that is no roof to land on."""
    edges, below = looked_at(house((([(3, 1), (5, 1), (5, 2), (3, 2)]),), (4, 5, 6, 7)))
    inner = np.array([name.startswith("courtyard") for name in edges.edge_names])
    assert inner.any()
    assert {below.names[i] for i in np.flatnonzero(inner)} == {"ground"}


def test_a_skylight_in_a_slope_with_a_dormer_keeps_its_rim() -> None:
    roof = with_openings(whole(), [OpeningSpec("light", (9, 2), (0.8, 0.8))])
    edges, below = looked_at(roof)
    rim = edges.is_opening
    assert rim.sum() >= 16
    assert {below.names[i] for i in np.flatnonzero(rim)} == {"ground"}


def test_a_worker_may_stand_on_dormers_and_lower_roofs() -> None:
    points = grid_on(whole(), 0.25)
    on_dormer = (abs(points[:, 0] - 5) < 0.9) & (points[:, 1] > 1.1) & (points[:, 1] < 1.9)
    on_garage = points[:, 0] > 12.1
    assert on_dormer.any()
    assert points[on_dormer, 2] == pytest.approx(7.0)
    assert on_garage.any()
    assert points[on_garage, 2] == pytest.approx(2.6)


def test_slope_of_an_edge_is_that_of_its_facet() -> None:
    edges = edge_points(house(), 1.0)
    assert edges.slope is not None
    north = [name == "north eave" for name in edges.edge_names]
    np.testing.assert_allclose(edges.slope[north], [[0.0, -1.0]] * sum(north), atol=1e-12)
