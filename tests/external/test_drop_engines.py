"""Elastic drop through two independent physics engines, run here.

100 kg falls 2 m and is caught by 4 m of rope of 40 kN per unit strain: MuJoCo (a tendon that is slack below its
length) and pymunk (a spring with a slack force function). Their own step errors set the tolerances.
"""

import mujoco
import pymunk
import pytest

from ropewright.arrest import GRAVITY, Chain, catch

MASS, FALL, LENGTH, MODULUS = 100.0, 2.0, 4.0, 40_000.0

MODEL = f"""
<mujoco>
  <option timestep="2e-4" integrator="RK4" gravity="0 0 -{GRAVITY}"/>
  <worldbody>
    <site name="anchor" pos="0 0 0"/>
    <body pos="0 0 -{LENGTH - FALL}">
      <joint type="slide" axis="0 0 1"/>
      <geom type="sphere" size="0.1" mass="{MASS}"/>
      <site name="ring" pos="0 0 0"/>
    </body>
  </worldbody>
  <tendon>
    <spatial name="rope" stiffness="{MODULUS / LENGTH}" springlength="0 {LENGTH}">
      <site site="anchor"/><site site="ring"/>
    </spatial>
  </tendon>
</mujoco>
"""


def mujoco_stretch() -> float:
    """Greatest stretch of the rope as MuJoCo has it. [m]"""
    model = mujoco.MjModel.from_xml_string(MODEL)
    data = mujoco.MjData(model)
    longest = 0.0
    while data.time < 1.0:
        mujoco.mj_step(model, data)
        longest = max(longest, float(data.ten_length[0]))
    return longest - LENGTH


def pymunk_stretch() -> float:
    """Greatest stretch of the rope as pymunk has it. [m]"""
    space = pymunk.Space()
    space.gravity = (0, -GRAVITY)
    body = pymunk.Body(MASS, float("inf"))
    body.position = (0, -(LENGTH - FALL))
    spring = pymunk.DampedSpring(space.static_body, body, (0, 0), (0, 0), LENGTH, MODULUS / LENGTH, 0.0)
    spring.force_func = lambda s, length: min(0.0, -s.stiffness * (length - s.rest_length))
    space.add(body, spring)
    lowest = 0.0
    while lowest == 0.0 or body.velocity.y < 0:
        space.step(1e-4)
        lowest = min(lowest, body.position.y)
    return -lowest - LENGTH


@pytest.fixture(scope="module")
def stretch() -> float:
    return float(catch(Chain(MASS, FALL, MODULUS / LENGTH)).stop_distance[0])


def test_mujoco_stretches_the_rope_as_far(stretch: float) -> None:
    assert mujoco_stretch() == pytest.approx(stretch, rel=5e-5)


def test_pymunk_stretches_the_rope_as_far(stretch: float) -> None:
    assert pymunk_stretch() == pytest.approx(stretch, rel=5e-4)
