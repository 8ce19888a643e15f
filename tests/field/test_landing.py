"""Where a body comes down on a lower roof: closed forms of a level throw over level roofs.

A body that leaves an edge level at u drops g d^2 / (2 u^2) while it goes d outward (Galilei's parabola), so that on a
roof h lower it lands at d = u sqrt(2 h / g).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.field.below import Surroundings, Thing, lower_roof
from ropewright.field.edges import edge_points
from ropewright.field.landing import Landing, landings
from ropewright.roof import Roof
from ropewright.roof.openings import OpeningSpec, with_openings
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.solid import RoofSolid
from ropewright.roof.union import union_of_roofs

G = 9.80665
GROUND = Surroundings((Thing("ground", top=0.0),))
HOUSE = [(0, 0), (8, 0), (8, 6), (0, 6)]


def stepped(drop: float, depth: float = 5.0, pitch: float = 0.0) -> Roof:
    """A flat house 6 m up, and south of all of it a porch that lies lower, flat or falling away from the house."""
    walls = [(0, -depth), (8, -depth), (8, 0), (0, 0)]
    high = depth * math.tan(math.radians(pitch))
    form = {"form": "shed", "high_side": 2} if pitch else {"form": "flat"}
    porch = roof_from_outline(walls, pitches=[pitch], eave_height=6.0 - drop - high, **form)
    return union_of_roofs([("", roof_from_outline(HOUSE, form="flat", pitches=[0], eave_height=6.0)), ("porch", porch)])


def landing_of(roof: Roof, around: Surroundings = GROUND) -> tuple[Landing, np.ndarray]:
    """Landing of every edge point, and which points stand on the house's edge over the porch, away from its ends."""
    edges, heights = edge_points(roof, 0.5), RoofSolid(roof).heights
    room = edges.points[:, 2] - lower_roof(edges, heights)
    middle = (np.abs(edges.points[:, 1]) < 1e-9) & (np.abs(edges.points[:, 0] - 4) < 3) & (edges.points[:, 2] > 5.99)
    return landings(roof, edges, room, heights, around), np.flatnonzero(middle & (edges.outward[:, 1] < -0.9))


@pytest.mark.parametrize("drop", [0.3, 0.9, 1.8])
def test_the_height_of_a_step_onto_a_level_roof_is_its_drop(drop: float) -> None:
    landing, edge = landing_of(stepped(drop))
    assert len(edge) > 5
    assert landing.height[edge] == pytest.approx(np.full(len(edge), drop))


def test_a_roof_that_falls_away_lies_deeper_below_a_body_than_below_the_edge() -> None:
    """At 45 deg and 0.3 m out it lies 0.3 m deeper."""
    landing, edge = landing_of(stepped(0.9, pitch=45.0))
    assert landing.height[edge] == pytest.approx(np.full(len(edge), 1.2))


@pytest.mark.parametrize("speed", [0.0, 2.0, 4.0])
@pytest.mark.parametrize("drop", [0.5, 1.5])
def test_a_body_lands_where_a_level_throw_does(speed: float, drop: float) -> None:
    """Nobody stumbles over an edge faster than at 2 m/s; half a body further, looked at in steps of up to 0.25 m."""
    landing, edge = landing_of(stepped(drop, depth=9.0))
    _, out = landing.lands(np.full(len(landing.height), speed))
    thrown = max(speed, 2.0) * math.sqrt(2 * drop / G) + 0.3
    assert (out[edge] >= thrown - 1e-9).all()
    assert (out[edge] <= thrown + 0.36).all()


def test_who_may_fly_past_the_lower_roof_does_not_land_on_it() -> None:
    """A drop of 0.9 m takes 0.43 s: 0.86 m at 2 m/s and half a body need 1.16 m of roof, 4 m/s need 2.0 m."""
    for width, speed, lands in ((1.0, 0.0, False), (1.6, 0.0, True), (1.6, 4.0, False), (2.6, 4.0, True)):
        landing, edge = landing_of(stepped(0.9, depth=width))
        depth, _ = landing.lands(np.full(len(landing.height), speed))
        assert np.isfinite(depth[edge]).tolist() == [lands] * len(edge)


def test_a_skylight_in_the_lower_roof_is_no_landing_covered_or_not() -> None:
    roof = with_openings(
        stepped(0.9), [OpeningSpec("skylight", center=(4.0, -0.9), size=(2.0, 0.8), guard="cover", cover_fixed=True)]
    )
    landing, edge = landing_of(roof)
    x = edge_points(roof, 0.5).points[edge, 0]
    assert np.isinf(landing.height[edge][np.abs(x - 4) < 1.3]).all()
    assert np.isfinite(landing.height[edge][np.abs(x - 4) > 1.7]).all()


def test_what_stands_on_the_lower_roof_is_no_landing() -> None:
    vent = Thing("vent", 6.4, 5.0, np.array([[3.0, -0.4], [3.5, -0.4], [3.5, -0.1], [3.0, -0.1]]))
    landing, edge = landing_of(stepped(0.9), Surroundings((*GROUND.things, vent)))
    x = edge_points(stepped(0.9), 0.5).points[edge, 0]
    assert np.isinf(landing.height[edge][np.abs(x - 3.25) < 0.5]).all()
    assert np.isfinite(landing.height[edge][np.abs(x - 3.25) > 1.0]).all()


def test_beside_the_end_of_the_lower_roof_there_is_no_landing() -> None:
    """Half a body hangs over its rim."""
    landing, _ = landing_of(stepped(0.9))
    points = edge_points(stepped(0.9), 0.5).points
    over = (np.abs(points[:, 1]) < 1e-9) & (points[:, 2] > 5.99)
    assert np.isinf(landing.height[over & (np.abs(points[:, 0] - 4) > 3.8)]).all()


def test_over_a_drop_to_the_ground_there_is_no_landing() -> None:
    landing, _ = landing_of(stepped(0.9))
    north = edge_points(stepped(0.9), 0.5).points[:, 1] > 5.9
    assert np.isinf(landing.height[north]).all()


def test_from_the_lower_roof_a_fall_goes_on_over_its_own_edges_and_no_others() -> None:
    roof = stepped(0.9)
    landing, edge = landing_of(roof)
    points = edge_points(roof, 0.5).points
    start, end = landing.beyond
    assert set(edge.tolist()) <= set(start.tolist())
    assert set(end.tolist()) == set(np.flatnonzero(np.abs(points[:, 2] - 5.1) < 1e-6).tolist())


@settings(deadline=None, max_examples=20)
@given(drop=st.floats(0.26, 1.7), more=st.floats(0, 0.1), speed=st.floats(0, 5), faster=st.floats(0, 3))
def test_a_greater_drop_or_speed_never_makes_a_landing_less(
    drop: float, more: float, speed: float, faster: float
) -> None:
    landing, edge = landing_of(stepped(drop))
    lower, _ = landing_of(stepped(drop + more))
    depth, out = (part[edge] for part in landing.lands(np.full(len(landing.height), speed)))
    for other, at in ((lower, speed), (landing, speed + faster)):
        deeper, further = (part[edge] for part in other.lands(np.full(len(landing.height), at)))
        assert (deeper >= depth - 1e-9).all()
        assert (further >= out - 1e-9).all()
