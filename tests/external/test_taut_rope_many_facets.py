"""Taut ropes on roofs of some 60 facets against pygeodesic, an independent exact geodesic library (MMP algorithm).

On a convex roof the shortest way through the open space runs on the surface, so both must agree; over valleys a rope
may leave the surface, so it is never longer. What the library can not tell is held to the equal-angle condition: at a
bend on an edge the angles to the edge before and after are equal, and no leg passes through the building, looked at
point by point.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from pygeodesic import geodesic
from shapely import Polygon, constrained_delaunay_triangles
from taut_oracle import stays_outside
from test_taut_rope_geodesic import _quarters

from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid


def oval(sides: int) -> list[tuple[float, float]]:
    angles = 2.0 * np.pi * np.arange(sides) / sides
    return [(float(14.0 * np.cos(a)), float(9.0 * np.sin(a))) for a in angles]


def comb(wings: int) -> list[tuple[float, float]]:
    """A bar with wings of unlike length on one side."""
    ring = [(0.0, 0.0), (8.0 * wings, 0.0)]
    for k in range(wings):
        x, y = 8.0 * (wings - k), 12.0 + 1.5 * (k % 3)
        ring += [(x, y), (x - 5.0, y), (x - 5.0, 7.0), (x - 8.0, 7.0)]
    return [*ring[:-1], (0.0, 7.0)]


@cache
def solid_of(plan: str) -> RoofSolid:
    outline = oval(60) if plan == "oval" else comb(18)
    return RoofSolid(roof_from_outline(outline, form="hip", pitches=[35], eave_height=3.0, overhang=0.4))


def refined(plan: str, cuts: int) -> tuple[np.ndarray, np.ndarray]:
    """Corners and triangles of all facets, each triangle between corners of its facet cut so often into four."""
    triangles = []
    for facet in solid_of(plan).roof.facets:
        heights = {tuple(corner[:2]): corner for corner in facet.ring.tolist()}
        cut = constrained_delaunay_triangles(Polygon(facet.ring[:, :2])).geoms
        fan = [tuple(np.array(heights[xy]) for xy in part.exterior.coords[:3]) for part in cut]
        for _ in range(cuts):
            fan = [small for a, b, c in fan for small in _quarters(a, b, c)]
        triangles += fan
    corners, faces = np.unique(np.array(triangles).reshape(-1, 3).round(9), axis=0, return_inverse=True)
    return corners, faces.reshape(-1, 3)


def anchored(corners: np.ndarray) -> int:
    """The corner of a mesh that is nearest to the middle of its length, of those near its top."""
    high = corners[:, 2] > corners[:, 2].max() - 1.0
    return int(np.argmin(np.where(high, np.abs(corners[:, 0] - corners[:, 0].mean()), np.inf)))


def both(plan: str) -> tuple[np.ndarray, np.ndarray]:
    """Lengths by ours and theirs from high up to the corners of a mesh."""
    corners, faces = refined(plan, 2)
    source = anchored(corners)
    theirs, _ = geodesic.PyGeodesicAlgorithmExact(corners, faces).geodesicDistances(np.array([source]), None)
    return TautPaths(solid_of(plan), corners[source]).lengths(corners), theirs


def test_on_a_convex_roof_of_60_facets_ropes_are_surface_geodesics() -> None:
    ours, theirs = both("oval")
    assert len(solid_of("oval").roof.facets) == 60
    assert ours == pytest.approx(theirs, abs=1e-6)


def test_over_valleys_of_18_wings_ropes_are_never_longer_and_often_shorter() -> None:
    ours, theirs = both("comb")
    assert len(solid_of("comb").roof.facets) >= 55
    assert (ours <= theirs + 1e-6).all()
    assert (ours < theirs - 0.1).sum() > 0.2 * len(ours)


@pytest.mark.parametrize("plan", ["oval", "comb"])
def test_every_bend_has_equal_angles_and_no_leg_passes_through_the_building(plan: str) -> None:
    solid = solid_of(plan)
    corners, _ = refined(plan, 1)
    paths = TautPaths(solid, corners[anchored(corners)])
    for goal in corners[:: max(1, len(corners) // 25)]:
        path = paths.path(goal)
        assert stays_outside(solid.roof, path.points[:-1], path.points[1:]).all()
        for before, bend, after in zip(path.points[:-2], path.points[1:-1], path.points[2:], strict=True):
            if np.linalg.norm(np.vstack([solid.mesh.corners, solid.saddles]) - bend, axis=1).min() < 1e-6:
                continue  # at a corner no edge leads on
            into, on = (bend - before) / np.linalg.norm(bend - before), (after - bend) / np.linalg.norm(after - bend)
            places = [np.clip((bend - e.start) @ e.along, 0.0, e.length) for e in solid.edges]
            beside = [np.linalg.norm(e.start + t * e.along - bend) for e, t in zip(solid.edges, places, strict=True)]
            nearest = solid.edges[int(np.argmin(beside))]
            assert min(beside) < 1e-9
            assert abs((into - on) @ nearest.along) < 1e-6
