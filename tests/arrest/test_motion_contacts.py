"""What a body in motion meets: the slope, the ground, things beside it, the wall below the edge; all by hand sums."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import SLOPE, eave_scene, on_slope

from ropewright.arrest import GRAVITY, Chain
from ropewright.arrest.motion import Outcome, motion
from ropewright.arrest.motion_history import MotionPhase, motion_history
from ropewright.arrest.motion_launch import Body, Launch
from ropewright.arrest.motion_scene import Solid

CHAIN = Chain(mass=100.0, free_fall=0.0, stiffness=6_000.0)
SQUARE = np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])


@pytest.mark.parametrize("friction", [0.0, 0.2, 0.5])
def test_slide_reaches_the_edge_at_the_speed_of_the_slope(friction):
    """v2 = 2 g (sin - mu cos) d."""
    launch = Launch(0, on_slope(0, 2.0), 9.0, roof_friction=friction)
    fall = motion(eave_scene(on_slope(0, 4)), launch, CHAIN, time_limit=4.0)
    speed = np.sqrt(2 * GRAVITY * (np.sin(SLOPE) - friction * np.cos(SLOPE)) * 2.0)
    assert fall.over_speed[0] == pytest.approx(speed, rel=5e-3)
    assert fall.solved.all()


def test_body_lies_where_friction_holds_it():
    launch = Launch(0, on_slope(0, 2.0), 9.0, roof_friction=1.01 * np.tan(SLOPE))
    fall = motion(eave_scene(on_slope(0, 4)), launch, CHAIN)
    assert fall.outcomes == (Outcome.LIES,)
    assert fall.end[0] == pytest.approx(on_slope(0, 2.0), abs=1e-6)
    assert np.isnan(fall.over_speed[0])
    assert np.isnan(fall.hang).all()


def test_rope_holds_a_slide_on_the_roof():
    """It stretches by m g (sin - mu cos)/k at most twice over, and then holds the body there."""
    launch = Launch(0, on_slope(0, 2.0), 2.5, roof_friction=0.3)
    fall = motion(eave_scene(on_slope(0, 4)), launch, CHAIN, time_limit=10.0)
    assert fall.end[0, 2] > 0
    assert fall.peak_force[0] < 100 * GRAVITY * 3
    assert fall.solved.all()


def test_phases_of_a_slide_in_their_order():
    launch = Launch(0, on_slope(0, 1.0), 7.0, roof_friction=0.2)
    history = motion_history(eave_scene(on_slope(0, 4)), launch, CHAIN, duration=2.5)
    assert list(dict.fromkeys(history.phase))[:3] == [MotionPhase.SLIDE, MotionPhase.FREE_FALL, MotionPhase.CATCH]


def test_ground_is_met_feet_first_at_the_speed_of_the_drop():
    scene = eave_scene(on_slope(0, 4), (Solid(top=-3.0),))
    fall = motion(scene, Launch(0, [0, -0.2, 1.0], 30.0), CHAIN, body=Body(below=1.4, above=0.4))
    drop = 1.0 - (-3.0 + 1.4)
    assert fall.outcomes == (Outcome.MET,)
    assert fall.met[0] == 0
    assert fall.met_speed[0] == pytest.approx(np.sqrt(2 * GRAVITY * drop), rel=5e-3)
    assert fall.met_time[0] == pytest.approx(np.sqrt(2 * drop / GRAVITY), rel=5e-3)
    assert np.isnan(fall.hang).all()


def test_own_floor_is_met_like_the_ground():
    fall = motion(eave_scene(on_slope(0, 4)), Launch(0, [0, 0, 0.0], 30.0, floor=-2.0), CHAIN)
    assert fall.met[0] == -2
    assert fall.met_place[0, 2] == pytest.approx(-2.0, abs=0.03)


def test_the_higher_of_two_things_below_is_met():
    scene = eave_scene(on_slope(0, 4), (Solid(top=-5.0), Solid(top=-2.0, base=-2.5, outline=SQUARE)))
    fall = motion(scene, Launch(0, [[0, 0, 0.0], [2, 0, 0.0]], 30.0), CHAIN, body=Body(radius=0.3))
    assert fall.met.tolist() == [1, 0]


def test_body_swings_into_a_post_half_its_width_early():
    """The plain pendulum about the foot of the anchor meets the post where its side is."""
    post = Solid(top=5.0, outline=np.array([[-1.2, -1], [-1, -1], [-1, 1], [-1.2, 1]]))
    scene = eave_scene(on_slope(0, 4), (Solid(top=-50.0), post))
    fall = motion(scene, Launch(0, [2.5, 0, -2.5], 8.0), CHAIN, body=Body(radius=0.3), time_limit=5.0)
    assert fall.outcomes == (Outcome.MET,)
    assert fall.met[0] == 1
    assert fall.met_place[0, 0] == pytest.approx(-1.0 + 0.3, abs=2e-3)
    assert fall.met_speed[0] > 1.0


def test_a_thing_the_body_stands_in_is_met_once_it_has_left_it():
    pole = Solid(top=0.5, outline=SQUARE + np.array([3.2, 0.0]))
    scene = eave_scene(on_slope(0, 4), (pole,))
    stands = motion(scene, Launch(0, [2.3, 0, 0.0], 6.5), CHAIN, time_limit=0.3)
    assert stands.met[0] == -1


def test_pendulum_toward_the_wall_hits_it_at_the_speed_of_its_drop():
    """Plumb at the wall the body has fallen r (1 - cos); the blow takes that speed away."""
    radius, angle = 2.0, np.radians(30.0)
    scene = eave_scene(on_slope(0, 4))
    place = [0.0, -radius * np.sin(angle), -radius * np.cos(angle)]
    stiff = Chain(mass=100.0, free_fall=0.0, stiffness=1e6)
    fall = motion(scene, Launch(0, place, 6.0), stiff, time_limit=1.0)
    assert fall.wall_speed[0] == pytest.approx(np.sqrt(2 * GRAVITY * radius * (1 - np.cos(angle))), rel=5e-3)
    assert fall.wall_place[0] == pytest.approx([0.0, 0.0, -radius], abs=0.03)
    assert fall.energy.contact[0] == pytest.approx(100 * GRAVITY * radius * (1 - np.cos(angle)), rel=2e-2)


def test_a_fall_along_the_wall_does_not_touch_it():
    fall = motion(eave_scene(on_slope(0, 4)), Launch(0, [2, 0, 1.0], 6.5), CHAIN, time_limit=2.0)
    assert fall.wall_speed[0] == pytest.approx(0.0, abs=1e-6)
