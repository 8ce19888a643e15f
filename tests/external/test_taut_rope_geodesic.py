"""Taut ropes on convex roofs against pygeodesic, an independent exact geodesic library (MMP algorithm).

On a hip roof the shortest way through the open space runs on the surface, so both must agree. The library takes corners
of a mesh as targets: each facet is cut into small triangles, whose corners serve as anchor and targets.
"""

import numpy as np
import pytest
from pygeodesic import geodesic

from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths

PLAN = np.array([[0.0, 0], [12, 0], [12, 8], [0, 8]])


def refined(roof, cuts=3):
    """Corners and triangles of all facets, each triangle of a fan cut `cuts` times into four."""
    triangles = []
    for facet in roof.facets:
        fan = [(facet.ring[0], facet.ring[k], facet.ring[k + 1]) for k in range(1, len(facet.ring) - 1)]
        for _ in range(cuts):
            fan = [small for a, b, c in fan for small in _quarters(a, b, c)]
        triangles += fan
    corners, faces = np.unique(np.array(triangles).reshape(-1, 3).round(9), axis=0, return_inverse=True)
    return corners, faces.reshape(-1, 3)


def _quarters(a, b, c):
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    return (a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)


def both(form):
    roof = roof_from_outline(PLAN, form=form, pitches=[33.69], eave_height=3.0)
    corners, faces = refined(roof)
    exact = geodesic.PyGeodesicAlgorithmExact(corners, faces)
    for source in (0, len(corners) // 2, len(corners) - 7):
        theirs, _ = exact.geodesicDistances(np.array([source]), None)
        yield TautPaths(roof, corners[source]).lengths(corners), theirs


def test_on_a_hip_roof_ropes_are_surface_geodesics():
    for ours, theirs in both("hip"):
        assert ours == pytest.approx(theirs, abs=1e-6)


def test_on_a_gable_roof_ropes_are_never_longer_than_surface_geodesics():
    """Past the gable wall the rope takes the short way through the open air, which the library has no surface for."""
    for ours, theirs in both("gable"):
        assert (ours <= theirs + 1e-6).all()
