"""The building as a solid: which edges a rope can bend on, where saddles stand, what is inside."""

from __future__ import annotations

import numpy as np
import pytest
from path_roofs import apart, courtyard, crossed, dormer, ell, facet, hip, skylight, step

from ropewright.errors import RoofError
from ropewright.roof import Roof
from ropewright.roof.convex import convex_pieces, signed_area
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid


def uprights(solid: RoofSolid) -> dict[tuple[float, ...], float]:
    """Height of the bottom of every wall corner by its top."""
    return {
        tuple(e.start.round(6)): round(float(e.start[2] - e.length), 6) for e in solid.edges if abs(e.along[2]) == 1.0
    }


def test_a_hip_roof_has_ridge_hips_eaves_and_wall_corners_and_no_saddle() -> None:
    solid = RoofSolid(hip())
    names = sorted(str(edge.name) for edge in solid.edges)
    assert sum("hip" in name for name in names) == 4
    assert sum(name.endswith("eave") and not name.startswith("wall") for name in names) == 4
    assert sum(name.startswith("wall corner at") for name in names) == 4
    assert len(names) == 13
    assert len(solid.saddles) == 0


def test_saddles_stand_at_both_ends_of_a_valley() -> None:
    solid = RoofSolid(ell())
    valley = next(edge for edge in solid.roof.edges if edge.type == "valley")
    ends = np.array([valley.start, valley.end])
    assert np.sort(solid.saddles[:, 2]) == pytest.approx(np.sort(ends[:, 2]), abs=1e-9)
    assert not any(edge.name == valley.name for edge in solid.edges)


def test_the_foot_of_a_wall_is_no_edge_but_the_eave_beyond_it_is() -> None:
    """The low roof's west side runs along x = 6 from y = 7 to -1; the high wall stands on it from 6 to 0."""
    solid = RoofSolid(step())
    along = [e for e in solid.edges if e.start[0] == 6.0 and e.start[2] == 3.0 and abs(e.along[1]) == 1.0]
    assert sorted(round(e.length, 6) for e in along) == [1.0, 1.0]


def test_wall_corners_end_on_the_roof_they_stand_on() -> None:
    bottoms = uprights(RoofSolid(step()))
    assert bottoms[6.0, 0.0, 6.0] == 3.0
    assert bottoms[6.0, 6.0, 6.0] == 3.0
    assert bottoms[0.0, 0.0, 6.0] < -100.0


def test_where_two_slopes_cross_each_keeps_its_upper_edge() -> None:
    solid = RoofSolid(crossed())
    between = [e for e in solid.edges if abs(e.start[0] - 6.0) < 1e-9 and abs(e.along[2]) < 0.9 and e.along[1] != 0.0]
    assert sorted(round(e.length, 6) for e in between) == [round(np.hypot(4.0, 1.5), 6)] * 2
    assert np.linalg.norm(solid.saddles - (6.0, 4.0, 4.5), axis=1).min() < 1e-9


def test_an_opening_is_a_shaft_with_a_rim_of_its_name() -> None:
    solid = RoofSolid(skylight())
    assert sum(edge.name == "skylight" for edge in solid.edges) == 4
    assert solid.heights([(5.0, 1.5), (5.0, 3.0)]) == pytest.approx([-np.inf, 6.0])


def test_a_rope_goes_down_an_opening_over_its_rim() -> None:
    """From 1 m of slope above the upper rim, straight down: over the rim and plumb below it."""
    up = np.sqrt(0.5)
    path = TautPaths(skylight(), (5.0, 2.5 + up, 5.5 + up)).path((5.0, 2.5, 3.5))
    assert path.edges == ("skylight",)
    assert path.length == pytest.approx(1.0 + 2.0, abs=1e-9)


def test_down_a_step_the_rope_bends_on_the_upper_edge_alone() -> None:
    """Unfolded: 2 m on the high roof, 3 m of wall, 2 m of low roof would be 7 m; through the air it is shorter."""
    path = TautPaths(step(), (4.0, 3.0, 6.0)).path((8.0, 3.0, 3.0))
    assert path.length == pytest.approx(2.0 + np.hypot(2.0, 3.0), abs=1e-9)
    assert len(path.points) == 3


def test_across_a_gap_the_rope_runs_through_the_air() -> None:
    path = TautPaths(apart(), (4.0, 3.0, 5.0)).path((8.0, 3.0, 3.4))
    assert len(path.points) == 3
    assert path.length == pytest.approx(1.0 + np.hypot(3.0, 1.6), abs=1e-9)


def test_across_a_courtyard_the_rope_is_straight_between_the_eaves() -> None:
    path = TautPaths(courtyard(), (5.0, 6.0, 3.0)).path((9.0, 6.0, 3.0))
    assert path.length == pytest.approx(4.0, abs=1e-12)


def test_over_a_dormer_the_rope_passes_its_ridge() -> None:
    """At its back; nearer its front the way round the front is shorter."""
    path = TautPaths(dormer(), (3.0, 2.9, 5.4)).path((7.0, 2.9, 5.4))
    assert path.length == pytest.approx(2.0 * np.hypot(2.0, 0.8), abs=1e-9)


def test_a_steep_facet_is_a_wall_and_carries_nothing() -> None:
    solid = RoofSolid(dormer())
    assert "cheek" not in solid.mesh.ids


def test_a_roof_of_walls_alone_is_refused() -> None:
    with pytest.raises(RoofError, match=r"^roof: got 'no facet that slopes less than a wall'"):
        RoofSolid(Roof((facet("wall", (0, 0, 0), (4, 0, 0), (4, 0, 3), (0, 0, 3)),), ()))


def test_a_facet_whose_outline_crosses_itself_is_named() -> None:
    with pytest.raises(RoofError, match=r"^facet bow: missing; the outline crosses itself"):
        RoofSolid(Roof((facet("bow", (0, 0, 3), (4, 4, 3), (4, 0, 3), (0, 6, 3), (-1, 3, 3)),), ()))


def test_the_order_and_sense_of_rings_do_not_matter() -> None:
    roof = ell()
    turned = Roof(tuple(facet(f.id, *map(tuple, np.roll(f.ring, 2, axis=0)[::-1])) for f in roof.facets[::-1]), ())
    points = [(2.0, 12.0, 3.3), (11.0, -1.0, 1.0), (13.0, 9.0, 2.0)]
    points = [p for p in points if RoofSolid(roof).heights([p[:2]])[0] < p[2]]
    anchor = roof.facets[0].ring.mean(axis=0)
    assert TautPaths(turned, anchor).lengths(points) == pytest.approx(TautPaths(roof, anchor).lengths(points), abs=1e-9)


@pytest.mark.parametrize("holes", [0, 1, 3])
def test_convex_pieces_cover_the_polygon_less_its_holes(holes: int) -> None:
    outline = np.array([(0, 0), (9, 0), (9, 4), (6, 4), (6, 7), (0, 7)], float)
    cut = [np.array([(x, 1), (x, 2), (x + 1, 2.5), (x + 1, 1)], float) for x in (1, 3, 7)][:holes]
    pieces = convex_pieces(outline, cut)
    whole = signed_area(outline) + sum(signed_area(hole) for hole in cut)
    assert sum(signed_area(piece) for piece in pieces) == pytest.approx(whole, abs=1e-9)
    for piece in pieces:
        sides = np.roll(piece, -1, axis=0) - piece
        after = np.roll(sides, -1, axis=0)
        assert (sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0] > 0.0).all()
