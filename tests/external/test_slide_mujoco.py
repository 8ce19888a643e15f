"""A body that slides down a rough slope, over the eave and into its rope, against a rigid-body engine (MuJoCo).

The engine has its own contact with friction: a ball of 5 mm that can't turn, on a tilted box whose edge is the eave.
The rope is its tendon over a thin bar, as in `test_swing_mujoco`. The engine's contact gives a little, and the ball
leaves the box's edge round its own radius; tolerances allow for both. Speed at the edge also has the closed form
v2 = 2 g (sin - mu cos) d; ours is told as of the last step on the roof.
"""

from __future__ import annotations

import numpy as np
import pytest

from ropewright.arrest import GRAVITY, Chain
from ropewright.arrest.motion import motion
from ropewright.arrest.motion_launch import Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.rim import Rim, RimEdge

mujoco = pytest.importorskip("mujoco")

PITCH, BALL, BAR = np.radians(35.0), 0.005, 1e-3
UP = np.array([0.0, -np.sin(PITCH), np.cos(PITCH)])
INWARD = np.array([0.0, np.cos(PITCH), np.sin(PITCH)])
ANCHOR = 4.0 * INWARD
MASS, LENGTH, STIFFNESS, WAY = 100.0, 6.0, 6_000.0, 3.0


def _text(values) -> str:
    return " ".join(f"{v:.12g}" for v in values)


def engine(friction: float, duration: float, step: float = 2e-4) -> tuple[np.ndarray, np.ndarray]:
    """Place of the ball's foot, shape (m, 3), and pull of the rope, shape (m,), at every step."""
    middle = 5.0 * INWARD - (0.5 + BALL) * UP
    model = mujoco.MjModel.from_xml_string(f"""
    <mujoco>
      <option timestep="{step}" integrator="implicitfast" gravity="0 0 -9.80665" cone="elliptic"/>
      <worldbody>
        <site name="anchor" pos="{_text(ANCHOR)}"/>
        <site name="outside" pos="{_text([0, -0.05, 0.05])}"/>
        <geom name="edge" type="cylinder" size="{BAR}" fromto="-9 0 0 9 0 0" contype="0" conaffinity="0"/>
        <geom type="box" size="9 5 0.5" pos="{_text(middle)}" euler="{np.degrees(PITCH)} 0 0"
              friction="{friction} 0 0"/>
        <body pos="{_text(WAY * INWARD)}">
          <joint type="slide" axis="1 0 0"/><joint type="slide" axis="0 1 0"/><joint type="slide" axis="0 0 1"/>
          <geom type="sphere" size="{BALL}" mass="{MASS}" friction="{friction} 0 0"/>
          <site name="d-ring"/>
        </body>
      </worldbody>
      <tendon><spatial name="rope" stiffness="{STIFFNESS}" springlength="0 {LENGTH}">
        <site site="anchor"/><geom geom="edge" sidesite="outside"/><site site="d-ring"/>
      </spatial></tendon>
    </mujoco>""")
    data = mujoco.MjData(model)
    place, force = [], []
    for _ in range(round(duration / step)):
        mujoco.mj_step(model, data)
        place.append(data.qpos + WAY * INWARD)
        force.append(STIFFNESS * max(data.ten_length[0] - LENGTH, 0.0))
    return np.array(place), np.array(force)


def ours(friction: float, duration: float, error_bound: float = 1e-6):
    eave = RimEdge(np.array([-9.0, 0, 0]), np.array([9.0, 0, 0]), UP)
    rim = Rim([eave], lambda p: (np.linalg.norm(p - ANCHOR, axis=1), np.tile(ANCHOR, (len(p), 1))), spacing=18.0)
    launch = Launch(0, WAY * INWARD, LENGTH, roof_friction=friction)
    return motion(
        Scene(rim), launch, Chain(MASS, 0.0, STIFFNESS), time_limit=duration, rest_speed=1e-9, least_loss=0.0,
        error_bound=error_bound,
    )  # fmt: skip


@pytest.mark.parametrize("friction", [0.0, 0.2, 0.45])
def test_slide_and_catch_are_the_engines(friction):
    """Speed at the edge and peak force within 0.3 %, lowest point within 1 cm."""
    duration = 2.6
    place, force = engine(friction, duration)
    fall = ours(friction, duration)
    over = int(np.argmax(place[:, 1] < 0.0))
    speed = np.linalg.norm(place[over] - place[over - 5]) / (5 * 2e-4)
    exact = np.sqrt(2 * GRAVITY * (np.sin(PITCH) - friction * np.cos(PITCH)) * WAY)
    assert speed == pytest.approx(exact, rel=3e-3)
    assert fall.over_speed[0] == pytest.approx(exact, rel=3e-3)
    assert fall.solved.all()
    assert fall.peak_force[0] == pytest.approx(force.max(), rel=3e-3)
    assert fall.lowest[0] == pytest.approx(place[:, 2].min(), abs=0.01)


@pytest.mark.parametrize("friction", [0.0, 0.2, 0.45])
def test_steps_of_usual_length_err_deeper_if_at_all(friction):
    """A body leaves the roof up to a step late: some centimetres on ten metres of fall."""
    fine, usual = ours(friction, 2.6), ours(friction, 2.6, error_bound=1e-4)
    assert -0.02 < usual.lowest[0] - fine.lowest[0] < 1e-3
    assert -1e-3 < usual.peak_force[0] / fine.peak_force[0] - 1 < 5e-3
