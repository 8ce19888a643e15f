"""Falls in three dimensions against closed forms, and against the one-dimensional catch.

Pendulums: worked examples of two mechanics textbooks (rise of a pendulum bob, H. C. Verma, example 8.5, p. 124; period
of a pendulum, Bansal, example 16.19, p. 634), read in their open companion notebooks. Period at 60 degrees: 1.0732
times the small one, from the complete elliptic integral.
"""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import SLOPE, eave_scene, on_slope, rake_scene
from scipy.optimize import brentq, minimize_scalar

from ropewright.arrest import GRAVITY, Chain, catch, effective_length
from ropewright.arrest.motion import motion
from ropewright.arrest.motion_history import motion_history
from ropewright.arrest.motion_launch import Launch

#: So stiff that a pendulum's rope keeps its length to a part in a thousand. [N/m]
STIFF = 1.0e6


@pytest.mark.parametrize(
    ("parts", "friction", "lanyard"),
    [
        ({}, 0.0, 0.0),
        ({"fast_stiffness": 5_000.0, "relaxation_time": 0.2}, 0.0, 0.0),
        ({}, 0.4, 0.0),
        ({"fast_stiffness": 5_000.0, "relaxation_time": 0.2}, 0.4, 0.0),
        ({"absorber_force": 4_000.0, "absorber_length": 1.2, "lanyard_stiffness": 5e4}, 0.0, 0.0),
        ({"absorber_force": 3_000.0, "absorber_length": 0.5, "lockout_stiffness": 6e4}, 0.0, 1.2),
        (
            {"absorber_force": 4_000.0, "absorber_length": 1.2, "grab_slip_force": 2_500.0, "grab_slip_length": 0.3},
            0.3,
            0.0,
        ),
        ({"grab_lock": 0.2}, 0.3, 0.0),
    ],
    ids=["spring", "relaxing", "friction", "relaxing, friction", "absorber", "spent absorber", "slipping grab", "lock"],
)
def test_plumb_fall_is_the_one_dimensional_catch(parts, friction, lanyard):
    length, start, upslope = 6.0, 1.3, 4.0
    modulus, rope = 35_000.0, length - lanyard
    whole = Chain(mass=100.0, free_fall=0.0, stiffness=modulus / rope, **parts)
    launch = Launch(0, [0.0, 0.0, start], length, lanyard=lanyard, edge_friction=friction)
    fall = motion(eave_scene(on_slope(0, upslope)), launch, whole, time_limit=1.5)

    near = length + parts.get("grab_lock", 0.0) - upslope - lanyard
    stiffer = rope / float(effective_length(near, rope - near, np.pi / 2 - SLOPE, friction))
    if "fast_stiffness" in parts:
        parts = parts | {"fast_stiffness": parts["fast_stiffness"] * stiffer}
    drop = start + length - upslope
    alone = catch(Chain(mass=100.0, free_fall=drop, stiffness=modulus / rope * stiffer, **parts))
    assert fall.peak_force == pytest.approx(alone.peak_force, rel=1e-3)
    lowest = start - drop - parts.get("grab_lock", 0.0) - alone.stop_distance
    assert fall.lowest == pytest.approx(lowest, abs=1e-3)
    assert fall.absorber_opening == pytest.approx(alone.absorber_opening, abs=1e-3)
    assert fall.grab_slip == pytest.approx(alone.grab_slip, abs=1e-3)


def test_anchor_side_carries_the_capstan_share_of_the_force():
    chain = Chain(mass=100.0, free_fall=0.0, stiffness=6_000.0)
    fall = motion(eave_scene(on_slope(0, 4)), Launch(0, [0, 0, 1.0], 6.0, edge_friction=0.4), chain, time_limit=1.2)
    assert fall.anchor_force / fall.peak_force == pytest.approx(np.exp(-0.4 * (np.pi / 2 - SLOPE)), rel=1e-6)


def _pendulum(angle: float, radius: float, pull: float) -> tuple:
    """A body drawn aside by an angle, on a rope that friction holds fast at the edge's zero and that pulls already.

    The pull is that of the swing, so that the rope does not bounce.
    """
    scene = eave_scene(on_slope(-5.0 * np.sin(angle), 5.0 * np.cos(angle)))
    stretched = radius + pull / STIFF * radius / (5.0 + radius)  # only the rope on the body's side stretches
    place = [stretched * np.sin(angle), 0.0, -stretched * np.cos(angle)]
    return scene, place, 5.0 + radius


def test_pendulum_slows_as_it_rises():
    """From 3 m/s on 0.5 m at g = 10 it has 2 m/s left at 60 degrees; speeds go as the root of g."""
    scale = np.sqrt(GRAVITY / 10.0)
    scene, place, length = _pendulum(0.0, 0.5, pull=100.0 * (GRAVITY + 9.0 * scale**2 / 0.5))
    launch = Launch(0, place, length, velocity=[3.0 * scale, 0, 0], edge_friction=50.0)
    fall = motion_history(scene, launch, Chain(100.0, 0.0, STIFF), duration=0.3)
    turned = np.arctan2(fall.place[:, 0], -fall.place[:, 2])
    at_60 = np.interp(np.pi / 3, turned, fall.speed)
    assert at_60 == pytest.approx(2.0 * scale, rel=2e-3)


@pytest.mark.parametrize(("degrees", "factor", "tolerance"), [(4.0, 1.0003, 3e-3), (60.0, 1.0732, 3e-3)])
def test_pendulum_takes_its_period(degrees, factor, tolerance):
    """0.6 m: 1.5539 s at g = 9.81, small swings."""
    angle = np.radians(degrees)
    scene, place, length = _pendulum(angle, 0.6, pull=100.0 * GRAVITY * np.cos(angle))
    launch = Launch(0, place, length, edge_friction=50.0)
    fall = motion_history(scene, launch, Chain(100.0, 0.0, STIFF), duration=0.6, rest_speed=1e-6)
    quarter = np.interp(0.0, -fall.place[:, 0], fall.time)
    assert 4.0 * quarter == pytest.approx(1.5538926 * np.sqrt(9.81 / GRAVITY) * factor, rel=tolerance)


def test_without_friction_a_swing_rises_to_where_it_began():
    scene = eave_scene(on_slope(0, 4.0))
    start = np.array([2.0, 0.0, -2.0])
    bend = 4.0 / 6.0 * start[0]  # in the unfolded plane: 4 m above the edge, 2 m below it
    length = np.hypot(bend, 4.0) + np.hypot(start[0] - bend, 2.0)
    fall = motion_history(scene, Launch(0, start, length), Chain(100.0, 0.0, STIFF), duration=3.0, rest_speed=1e-6)
    far = fall.place[:, 0].argmin()
    assert fall.place[far, 0] == pytest.approx(-2.0, abs=0.01)
    assert fall.place[far, 2] == pytest.approx(-2.0, abs=0.01)


def test_hang_is_at_the_foot_of_the_anchor_on_an_eave():
    fall = motion(eave_scene(on_slope(0, 4)), Launch(0, [2, 0, 0.5], 6.0), Chain(100.0, 0.0, 6e3), time_limit=0.05)
    assert fall.bend[0] == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    assert fall.hang[0] == pytest.approx([0.0, 0.0, 4.0 - 6.0 - 100.0 * GRAVITY / 6e3], abs=1e-6)


@pytest.mark.parametrize("degrees", [20.0, 35.0, 45.0])
def test_hang_on_a_rake_lies_w_tan_pitch_below_the_anchors_level(degrees):
    pitch, w = np.radians(degrees), 3.0
    scene = rake_scene([0.0, w, 0.0], pitch)
    below = w * np.tan(pitch)
    start = -(below + 1.5) * np.array([np.cos(pitch), 0.0, np.sin(pitch)])
    fall = motion(scene, Launch(0, start, 9.0), Chain(100.0, 0.0, 6e3), time_limit=0.05)
    assert np.linalg.norm(fall.bend[0]) == pytest.approx(below, abs=1e-6)
    assert fall.bend[0, 2] < 0


def test_hang_is_the_least_hanging_height():
    """Against a search of H(s) = z(s) - (L - l(A, s)) that knows nothing of the windows."""
    pitch, anchor = np.radians(35.0), np.array([1.0, 3.0, 2.0])
    scene = rake_scene(anchor, pitch)
    along = np.array([np.cos(pitch), 0.0, np.sin(pitch)])
    least = minimize_scalar(
        lambda s: s * along[2] + np.linalg.norm(anchor - s * along), bounds=(-20, 20), method="bounded"
    )
    fall = motion(scene, Launch(0, [0.5, 0, 0.35], 9.0), Chain(100.0, 0.0, 6e3), time_limit=0.05)
    assert fall.bend[0] @ along == pytest.approx(least.x, abs=1e-4)


def test_friction_keeps_the_hang_where_the_edge_can_hold_it():
    """It stays where the pull along the level eave, cos a, is mu times the force across it."""
    friction, upslope = 0.3, 4.0

    def drives(s: float) -> float:
        far = np.hypot(s, upslope)
        cosine, sine = s / far, upslope / far
        across = np.sqrt(1.0 + sine**2 - 2.0 * sine * np.sin(SLOPE))
        return cosine - friction * across

    edge = brentq(drives, 0.0, 4.0)
    scene, chain = eave_scene(on_slope(0, upslope)), Chain(100.0, 0.0, 6e3)
    fall = motion(
        scene, Launch(0, [[3.5, 0, 0], [0.5 * edge, 0, 0]], 6.5, edge_friction=friction), chain, time_limit=0.02
    )
    assert fall.bend[0, 0] == pytest.approx(edge, abs=1e-6)
    assert fall.bend[1, 0] == pytest.approx(0.5 * edge, abs=2e-3)  # slack, it gives way as the body drops 2 mm
