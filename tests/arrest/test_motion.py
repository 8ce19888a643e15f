"""Falls in three dimensions against closed forms.

Peak force of the undamped rope: F = m g (1 + sqrt(1 + 2 h k/(m g))), in texts on strength of materials. A swing
comes to rest under the foot of the perpendicular from the anchor to the eave (docs/derivations.md).
"""

import numpy as np
import pytest

from ropewright.arrest.motion import motion
from ropewright.arrest.motion_launch import Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.parts import GRAVITY, Chain
from ropewright.arrest.rim import Rim, RimEdge

ANCHOR = np.array([0.0, 4.0, 3.0])
CHAIN = Chain(mass=100.0, free_fall=0.0, stiffness=10_000.0)


def scene():
    eave = RimEdge(np.array([-9.0, 0, 0]), np.array([9.0, 0, 0]), np.array([0.0, -0.6, 0.8]))

    def measured(points):
        return np.linalg.norm(points - ANCHOR, axis=1), np.tile(ANCHOR, (len(points), 1))

    return Scene(Rim([eave], measured))


def test_a_plumb_fall_gives_the_closed_form():
    fall = motion(scene(), Launch(edge=0, place=[0.0, 0.0, 0.0], length=7.0), CHAIN, time_limit=1.0)
    weight, h = 100.0 * GRAVITY, 2.0
    expected = weight * (1 + np.sqrt(1 + 2 * h * 10_000.0 / weight))
    assert fall.peak_force[0] == pytest.approx(expected, rel=1e-3)
    assert fall.lowest[0] == pytest.approx(-h - expected / 10_000.0, rel=1e-3)


def test_energy_is_accounted_for_in_a_swing():
    places = np.array([[1.0, 0, 0], [2.0, 0, 0], [3.0, 0, 0]])
    falls = motion(scene(), Launch(edge=0, place=places, length=8.0), CHAIN, time_limit=4.0)
    assert (falls.solved.all(), (falls.energy_error <= 5e-3).all()) == (True, True)


def test_falls_on_either_side_of_the_anchor_mirror_each_other():
    places = np.array([[-2.0, 0, 0], [2.0, 0, 0]])
    falls = motion(scene(), Launch(edge=0, place=places, length=8.0), CHAIN, time_limit=4.0)
    assert falls.peak_force[0] == pytest.approx(falls.peak_force[1], rel=1e-6)
    assert falls.end[0] * [-1, 1, 1] == pytest.approx(falls.end[1], abs=1e-4)


def test_a_swing_takes_the_body_past_the_foot_of_the_perpendicular():
    fall = motion(scene(), Launch(edge=0, place=[3.0, 0.0, 0.0], length=8.0), CHAIN, time_limit=6.0)
    assert fall.far_side[0] > 0.0
    assert fall.drag_length[0] > 0.0
