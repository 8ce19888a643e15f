"""Falls in motion on whole roofs: the rim's ropes are the roof's, and a swing goes round corners without a break."""

from __future__ import annotations

import numpy as np
import pytest

from ropewright.arrest import GRAVITY, Chain
from ropewright.arrest.motion import Outcome, motion
from ropewright.arrest.motion_history import motion_history
from ropewright.arrest.motion_launch import Body, Launch
from ropewright.field import Surroundings, Thing, edge_points, fall_geometry, rope_over
from ropewright.field.motion import launch_down, launch_over, met_names, rim_of, scene_of, upstream_share
from ropewright.roof.height import roof_height
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.path import TautPaths

HOUSE = [(0, 0), (12, 0), (12, 8), (0, 8)]
NOTCHED = [(0, 0), (12, 0), (12, 6), (6, 6), (6, 12), (0, 12)]
ROPE = Chain(mass=100.0, free_fall=0.0, stiffness=5_000.0)


def _paths(roof, at, above=0.0):
    return TautPaths(roof, [*at, float(roof_height(roof, [at])[0]) + above])


@pytest.fixture(scope="module")
def gable():
    roof = roof_from_outline(HOUSE, form="gable", pitches=[35], eave_height=6, overhang=0.4)
    paths = _paths(roof, (4, 3))
    return roof, paths, rim_of(roof, paths)


@pytest.mark.parametrize(
    ("outline", "form", "at", "above"),
    [
        (HOUSE, "gable", (4, 3), 0.0),
        (HOUSE, "gable", (2, 2), 0.7),
        (HOUSE, "hip", (5, 3), 0.0),
        (NOTCHED, "hip", (3, 3), 0.0),
    ],
    ids=["gable", "mast", "hip", "notched hip"],
)
def test_rim_has_the_ropes_of_the_roof(outline, form, at, above):
    roof = roof_from_outline(outline, form=form, pitches=[35], eave_height=3, overhang=0.4)
    paths = _paths(roof, at, above)
    rim, rng = rim_of(roof, paths), np.random.default_rng(3)
    for k, edge in enumerate(rim.edges):
        places = rng.uniform(0.0, edge.length, 40)
        true = paths.lengths(edge.start + places[:, None] * edge.along)
        assert [rim.length_to(k, s) for s in places] == pytest.approx(true, abs=1e-6)


def test_loaded_rope_in_a_swing_is_as_long_as_the_taut_path(gable):
    """Without friction the force says how long the rope is; the roof's own search says how long it has to be."""
    _, paths, rim = gable
    scene = scene_of(rim, Surroundings((Thing("ground", -50.0),)))
    edge = next(k for k, one in enumerate(rim.edges) if one.name == "south eave")
    start = [7.5, -0.45, 5.0]
    history = motion_history(scene, Launch(edge, start, 6.0), ROPE, duration=1.8)
    loaded = np.flatnonzero(history.force > 50.0)[::10]
    assert len(loaded) > 10
    stretched = 6.0 + history.force[loaded] / 5_000.0
    assert paths.lengths(history.place[loaded]) == pytest.approx(stretched, abs=2e-4)


def test_rope_that_swings_past_a_corner_bends_round_the_wall(gable):
    """Past the west corner the body hangs before the gable wall; the path found by the roof's search is as long."""
    _, paths, rim = gable
    scene = scene_of(rim, Surroundings((Thing("ground", -50.0),)))
    edge = next(k for k, one in enumerate(rim.edges) if one.name == "south eave")
    start = np.array([1.0, -0.45, 3.5])
    length = float(paths.lengths(start[None])[0]) + 1.2
    launch = Launch(edge, start, length, velocity=[-3.0, 0.0, 0.0])
    fall = motion_history(scene, launch, ROPE, duration=1.6)
    past = np.flatnonzero((fall.place[:, 0] < -0.5) & (fall.force > 50.0))[::8]
    assert len(past) > 5
    found = paths.lengths(fall.place[past])
    assert found == pytest.approx(length + fall.force[past] / 5_000.0, abs=2e-4)


@pytest.mark.parametrize("friction", [0.0, 0.3])
def test_every_fall_round_a_house_is_solved(gable, friction):
    roof, paths, rim = gable
    edges = edge_points(roof, 1.0)
    over = rope_over(paths, edges.points, 1.4)
    length = np.full(len(edges.points), 6.5)
    geometry = fall_geometry(over, length)
    shed = np.array([[2.0, -2], [5, -2], [5, -0.6], [2, -0.6]])
    around = Surroundings((Thing("ground", 0.0), Thing("shed", 2.6, 0.0, shed)))
    scene = scene_of(rim, around)
    launch = launch_over(rim, edges, geometry, length, outward=0.1, lanyard=1.2, edge_friction=friction)
    chain = Chain(100.0, 0.0, 5_300.0, 3_800.0, 0.2, absorber_force=4_000.0, absorber_length=1.2)
    falls = motion(scene, launch, chain, body=Body(1.5, 0.4), time_limit=4.0)
    assert len(falls) == geometry.reached.sum()
    assert falls.solved.all()
    assert "shed" in met_names(scene, around, falls.met)


def test_slide_goes_over_the_edge_below_it(gable):
    roof, _, rim = gable
    points = np.array([[6.0, 2.0, 0.0], [6.0, 6.0, 0.0]])
    points[:, 2] = roof_height(roof, points[:, :2])
    launch, found = launch_down(rim, points, 8.0, roof_friction=[0.3, 5.0])
    assert [rim.edges[k].name for k in launch.edge] == ["south eave", "north eave"]
    falls = motion(scene_of(rim, Surroundings((Thing("ground", -50.0),))), launch, ROPE, time_limit=4.0)
    slope, way = np.radians(35.0), 2.4 / np.cos(np.radians(35.0))
    speed = np.sqrt(2 * GRAVITY * (np.sin(slope) - 0.3 * np.cos(slope)) * way)
    assert falls.over_speed[0] == pytest.approx(speed, rel=5e-3)
    assert falls.outcomes[1] == Outcome.LIES
    assert found.tolist() == [0, 1]


def test_a_body_on_the_roof_does_not_meet_what_stands_under_its_overhang(gable):
    """A shed under the eave reaches to where a body that hangs would meet it; one that lies on the roof is above it."""
    roof, _, rim = gable
    point = np.array([[6.0, 0.9, float(roof_height(roof, [[6.0, 0.9]])[0])]])
    shed = np.array([[5.0, -0.4], [7, -0.4], [7, 0.4], [5, 0.4]])
    chimney = Thing("chimney", 9.0, 0.0, np.array([[5.5, 0.2], [6.5, 0.2], [6.5, 0.4], [5.5, 0.4]]))
    for thing, met in ((Thing("shed", 5.8, 0.0, shed), ""), (chimney, "chimney")):
        around = Surroundings((Thing("ground", -50.0), thing))
        scene = scene_of(rim, around)
        # slowly, s = g (sin 35 - 0.62 cos 35) t^2 / 2 = 0.3 m in a second: not over the edge, but within a body's width
        launch, _ = launch_down(rim, point, 6.0, roof_friction=0.62)
        fall = motion(scene, launch, ROPE, body=Body(1.9, 0.4, 0.3), time_limit=1.0)
        assert met_names(scene, around, fall.met)[0] == met
        assert np.isnan(fall.over_speed[0])


def test_a_wing_is_met_as_the_wall_under_its_eave():
    roof = roof_from_outline(NOTCHED, form="hip", pitches=[35], eave_height=6, overhang=0.0)
    paths = _paths(roof, (7.5, 4.0))
    rim = rim_of(roof, paths)
    around = Surroundings((Thing("ground", -50.0),))
    scene = scene_of(rim, around)
    edge = next(k for k, one in enumerate(rim.edges) if np.allclose(one.out[:2], [0, 1]) and one.start[0] > 11.0)
    launch = Launch(edge, [11.0, 6.35, 4.0], 6.5, velocity=[-3.0, 0.0, 0.0])
    fall = motion(scene, launch, ROPE, body=Body(1.4, 0.4), time_limit=4.0)
    assert fall.outcomes == (Outcome.MET,)
    assert met_names(scene, around, fall.met)[0].startswith("wall under ")
    assert fall.met_place[0, 0] == pytest.approx(6.3, abs=0.02)


def test_ridge_takes_a_share_of_the_rope_beyond_the_edge(gable):
    _, paths, _ = gable
    points = np.array([[4.0, -0.4, 6.0], [4.0, 8.4, 6.0]])
    straight, over = upstream_share(paths, points, 0.3)
    assert straight == pytest.approx(1.0)
    path = paths.path(points[1])
    legs = np.linalg.norm(np.diff(path.points, axis=0), axis=1)
    legs = legs[legs > 1e-9]
    turn = np.radians(path.turn_deg[0])
    assert over == pytest.approx((legs[1] + legs[0] * np.exp(-0.3 * turn)) / legs.sum(), rel=1e-6)
