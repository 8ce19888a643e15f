"""Swings over a straight edge against a rigid-body engine (MuJoCo): its own tendon, wrapped over a thin bar.

The rope is a spatial tendon that is slack below its length, the edge a cylinder of 1 mm radius that the tendon wraps
with no friction, the body a mass on three slides. MuJoCo has no friction of a tendon on what it wraps, so that is not
compared. What the bar's radius adds to the rope is a millimetre; tolerances allow for it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from ropewright.arrest import Chain
from ropewright.arrest.motion import motion
from ropewright.arrest.motion_history import motion_history
from ropewright.arrest.motion_launch import Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.rim import Rim, RimEdge

mujoco = pytest.importorskip("mujoco")

SLOPE = np.radians(30.0)
#: Radius of the bar. [m]
BAR = 1e-3


@dataclass(frozen=True)
class Swing:
    """A fall over a level edge along x, or one that climbs with x."""

    anchor: tuple[float, float, float]
    start: tuple[float, float, float]
    velocity: tuple[float, float, float]
    length: float
    stiffness: float
    duration: float
    climb: float = 0.0  #: pitch of the edge [rad]


CASES = {
    "plumb": Swing((0, 4.33, 2.5), (0, 0, 1.0), (0, 0, 0), 7.0, 6_000.0, 1.2),
    "along the eave": Swing((0, 4.33, 2.5), (2, 0, -1.0), (0, 0, 0), 8.0, 4_375.0, 3.0),
    "walking": Swing((0, 4.33, 2.5), (2, 0, 0.5), (-1.5, 0, 0), 7.0, 6_000.0, 2.5),
    "off the slope": Swing((1, 3.46, 2.0), (2.5, -0.6, -0.3), (0.5, -1.0, -1.0), 6.5, 5_000.0, 1.0),
    "on a rake": Swing((0, 3.0, 0.0), (-4.0, 0, -3.2), (0, 0, 0), 7.0, 6_000.0, 2.0, climb=np.radians(35.0)),
}


def along_edge(case: Swing) -> np.ndarray:
    return np.array([np.cos(case.climb), 0.0, np.sin(case.climb)])


def engine_model(case: Swing, step: float, integrator: str = "RK4"):
    """The case as the engine's model."""
    u = along_edge(case)
    ends = " ".join(f"{v:.12g}" for v in (*(-60.0 * u), *(60.0 * u)))
    outside = np.array([0.0, -0.05, 0.0]) + 0.1 * np.array([-np.sin(case.climb), 0.0, np.cos(case.climb)])

    def text(values) -> str:
        return " ".join(f"{v:.12g}" for v in values)

    return mujoco.MjModel.from_xml_string(f"""
    <mujoco>
      <option timestep="{step}" integrator="{integrator}" gravity="0 0 -9.80665"><flag contact="disable"/></option>
      <worldbody>
        <site name="anchor" pos="{text(case.anchor)}"/>
        <site name="outside" pos="{text(outside)}"/>
        <geom name="edge" type="cylinder" size="{BAR}" fromto="{ends}"/>
        <body name="body" pos="{text(case.start)}">
          <joint type="slide" axis="1 0 0"/><joint type="slide" axis="0 1 0"/><joint type="slide" axis="0 0 1"/>
          <geom type="sphere" size="0.05" mass="100"/><site name="d-ring"/>
        </body>
      </worldbody>
      <tendon><spatial name="rope" stiffness="{case.stiffness}" springlength="0 {case.length}">
        <site site="anchor"/><geom geom="edge" sidesite="outside"/><site site="d-ring"/>
      </spatial></tendon>
    </mujoco>""")


def engine_path(case: Swing, step: float, integrator: str = "RK4") -> tuple[np.ndarray, np.ndarray]:
    """Place, shape (m, 3), and force, shape (m,), at every step of the engine."""
    model = engine_model(case, step, integrator)
    data = mujoco.MjData(model)
    data.qvel[:] = case.velocity
    steps = round(case.duration / step)
    place, force = np.empty((steps, 3)), np.empty(steps)
    for k in range(steps):
        mujoco.mj_step(model, data)
        place[k], force[k] = data.qpos + case.start, data.ten_length[0] - case.length
    return place, case.stiffness * np.maximum(force, 0.0)


def our_scene(case: Swing) -> Scene:
    """The case as a rim of one edge."""
    anchor, u = np.array(case.anchor, float), along_edge(case)
    inward = np.array([0.0, np.cos(SLOPE), np.sin(SLOPE)])
    up = np.cross(u, inward)

    def reach(points):
        return np.linalg.norm(points - anchor, axis=1), np.tile(anchor, (len(points), 1))

    return Scene(Rim([RimEdge(-60.0 * u, 60.0 * u, up / np.linalg.norm(up))], reach, spacing=120.0))


def our_launch(case: Swing, count: int = 1) -> Launch:
    return Launch(0, np.tile(case.start, (count, 1)).astype(float), case.length, velocity=case.velocity)


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_swing_is_the_engines(case):
    """Peak force within 0.2 %, lowest point within 5 mm, and within 1 cm of the engine's path all the way."""
    place, force = engine_path(case, 5e-4)
    chain = Chain(mass=100.0, free_fall=0.0, stiffness=case.stiffness)
    fall = motion(our_scene(case), our_launch(case), chain, time_limit=case.duration, rest_speed=1e-9, least_loss=0.0)
    assert fall.solved.all()
    assert fall.peak_force[0] == pytest.approx(force.max(), rel=2e-3)
    assert fall.lowest[0] == pytest.approx(place[:, 2].min(), abs=5e-3)
    ours = motion_history(
        our_scene(case), our_launch(case), chain, duration=case.duration, rest_speed=1e-9, least_loss=0.0
    )
    moments = 5e-4 * np.arange(1, len(place) + 1)
    moments = moments[moments < ours.time[-1]]
    for k in range(3):
        path = np.interp(moments, ours.time, ours.place[:, k])
        assert np.abs(path - place[: len(moments), k]).max() < 0.01
