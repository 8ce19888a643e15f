"""Points along the fall edges of a plain square roof."""

import numpy as np
import pytest

from ropewright.field.edges import edge_points
from ropewright.roof import Edge, EdgeType, Facet, Roof

CORNERS = np.array([[0.0, 0, 3], [4, 0, 3], [4, 2, 3], [0, 2, 3]])


def flat_roof(*, wall_at=None):
    names = ("south eave", "east eave", "north eave", "west eave")
    edges = tuple(
        Edge(name, EdgeType.WALL if i == wall_at else EdgeType.EAVE, CORNERS[i], CORNERS[(i + 1) % 4], ("flat",))
        for i, name in enumerate(names)
    )
    return Roof(facets=(Facet("flat", CORNERS),), edges=edges)


def test_no_two_neighbours_are_further_apart_than_the_spacing():
    edges = edge_points(flat_roof(), 0.3)
    steps = np.linalg.norm(np.diff(edges.points, axis=0), axis=1)
    assert steps.max() <= 0.3 + 1e-12


def test_each_edge_has_both_its_ends():
    edges = edge_points(flat_roof(), 0.3)
    south = edges.points[edges.edge == 0]
    assert (south[0].tolist(), south[-1].tolist()) == ([0, 0, 3], [4, 0, 3])


def test_outward_points_away_from_the_roof():
    edges = edge_points(flat_roof(), 1.0)
    out = {name: edges.outward[edges.edge == i][0].round(12).tolist() for i, name in enumerate(edges.names)}
    assert out == {"south eave": [0, -1], "east eave": [1, 0], "north eave": [0, 1], "west eave": [-1, 0]}


def test_edges_all_round_make_one_closed_chain():
    edges = edge_points(flat_roof(), 1.0)
    assert (edges.closed, set(edges.chain.tolist())) == ((True,), {0})


def test_a_wall_opens_the_chain_and_is_no_fall_edge():
    edges = edge_points(flat_roof(wall_at=1), 1.0)
    assert edges.closed == (False,)
    assert "east eave" not in edges.edge_names
    steps = np.linalg.norm(np.diff(edges.points, axis=0), axis=1)
    assert steps.max() <= 1.0  # the chain starts behind the wall, so that neighbours stay neighbours


@pytest.mark.parametrize("spacing", [0.0, -1.0, float("nan")])
def test_spacing_must_be_above_nothing(spacing):
    with pytest.raises(ValueError, match="spacing must be above 0 m"):
        edge_points(flat_roof(), spacing)
