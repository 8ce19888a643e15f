"""A wrong roof must never come out: what the proof at the end refuses, and how trouble below it is told."""

from __future__ import annotations

import numpy as np
import pytest

from ropewright.errors import RoofError
from ropewright.roof import outline as outline_module
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.outline_proof import prove_roof
from ropewright.roof.skeleton import SkeletonError
from ropewright.roof.surface import Edge, EdgeType, Facet, Roof

SQUARE = np.array([(0, 0, 3), (4, 0, 3), (4, 4, 3), (0, 4, 3)], float)


def roof_of(ring: np.ndarray, *edges: Edge) -> Roof:
    around = [Edge(f"{i}", EdgeType.EAVE, ring[i], ring[(i + 1) % 4], ("a",)) for i in range(4)]
    return Roof((Facet("a", ring),), (*around, *edges))


def test_square_is_proven() -> None:
    prove_roof(roof_of(SQUARE))


def test_facet_turned_over_is_refused() -> None:
    with pytest.raises(RoofError, match="facet 'a' without area"):
        prove_roof(roof_of(SQUARE[::-1]))


def test_facet_out_of_plane_is_refused() -> None:
    with pytest.raises(RoofError, match=r"'a' that is 0\.00\d* m out of plane"):
        prove_roof(roof_of(SQUARE + np.outer([0, 0, 0, 1], [0, 0, 0.01])))


def test_edges_that_cross_are_refused() -> None:
    across = Edge("hip", EdgeType.HIP, np.array([2.0, 2, 3]), np.array([2.0, 5, 3]), ("a",))
    with pytest.raises(RoofError, match="edges that cross: '2' and 'hip'"):
        prove_roof(roof_of(SQUARE, across))


def test_edges_that_only_touch_are_proven() -> None:
    within = Edge("hip", EdgeType.HIP, np.array([2.0, 2, 3]), np.array([2.0, 4, 3]), ("a",))
    prove_roof(roof_of(SQUARE, within))


def test_trouble_in_the_skeleton_names_the_sides_by_their_corners(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise SkeletonError("could not be closed", (1, 2), (7.0, 3.0))

    monkeypatch.setattr(outline_module, "straight_skeleton", fails)
    with pytest.raises(RoofError) as caught:
        roof_from_outline([(0, 0), (10, 0), (10, 6), (0, 6)], form="hip", pitches=[40], eave_height=3)
    assert "the side from (10, 0) to (10, 6) m and the side from (10, 6) to (0, 6) m" in str(caught.value)
    assert "could not be closed near (7, 3) m" in str(caught.value)
