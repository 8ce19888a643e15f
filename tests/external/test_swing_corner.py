"""A swing whose rope slides along one eave, round the corner and on along the other, against a plain integrator.

Nothing here is the program's: the rope lies at the least length near where it lay before, over two straight edges that
meet at right angles, found by scipy's search; the body is carried on by fourth-order Runge-Kutta steps of a
millisecond. No friction; the body stays clear of the walls, so that the rope bends on the roof's edge alone.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from ropewright.arrest import GRAVITY, Chain
from ropewright.arrest.motion_history import motion_history
from ropewright.arrest.motion_launch import Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.rim import Rim, RimEdge

MASS, STIFFNESS, STEP = 100.0, 5_000.0, 1e-3
ANCHOR = np.array([-1.5, 2.5, 0.0])
UP = np.array([0.0, 0.0, 1.0])


def on_rim(s: float) -> np.ndarray:
    """Place on the edges, from the corner: west of it along y = 0, north of it along x = 0."""
    return np.array([s, 0.0, 0.0]) if s < 0 else np.array([0.0, s, 0.0])


def rope(place: np.ndarray, lies_at: float) -> tuple[float, float]:
    """Length of the rope near where it lay, and where it lies now."""

    def length(s: float) -> float:
        bend = on_rim(s)
        return float(np.linalg.norm(ANCHOR - bend) + np.linalg.norm(place - bend))

    found = minimize_scalar(length, bounds=(lies_at - 0.05, lies_at + 0.05), method="bounded", options={"xatol": 1e-9})
    return float(found.fun), float(found.x)


def integrated(start: np.ndarray, velocity: np.ndarray, length: float, duration: float):
    """Times, places and where the rope lay."""
    place, speed = start.copy(), velocity.copy()
    lies_at = float(minimize_scalar(lambda s: rope_length(place, s), bounds=(-9, -0.01), method="bounded").x)
    rows = [(0.0, *place, lies_at)]

    def pull(x: np.ndarray) -> np.ndarray:
        taut, at = rope(x, lies_at)
        toward = on_rim(at) - x
        force = STIFFNESS * max(taut - length, 0.0)
        return force / MASS * toward / np.linalg.norm(toward) - np.array([0.0, 0.0, GRAVITY])

    for k in range(round(duration / STEP)):
        a1 = pull(place)
        a2 = pull(place + 0.5 * STEP * speed)
        a3 = pull(place + 0.5 * STEP * speed + 0.25 * STEP**2 * a1)
        a4 = pull(place + STEP * speed + 0.5 * STEP**2 * a2)
        place = place + STEP * speed + STEP**2 * (a1 + a2 + a3) / 6.0
        speed = speed + STEP * (a1 + 2 * a2 + 2 * a3 + a4) / 6.0
        lies_at = rope(place, lies_at)[1]
        rows.append(((k + 1) * STEP, *place, lies_at))
    return np.array(rows)


def rope_length(place: np.ndarray, s: float) -> float:
    bend = on_rim(s)
    return float(np.linalg.norm(ANCHOR - bend) + np.linalg.norm(place - bend))


@pytest.mark.parametrize(
    ("start", "velocity"),
    [
        ([-0.6, -0.8, -0.6], [4.5, 1.5, 1.0]),
        ([-0.6, -1.2, -0.3], [5.0, 2.5, 1.0]),
        ([-0.8, -0.6, -1.0], [4.5, -0.3, 0.5]),
    ],
    ids=["round", "far round", "slow at the corner"],
)
@pytest.mark.parametrize(("error_bound", "within"), [(1e-6, 0.02), (1e-4, 0.10)], ids=["fine", "usual"])
def test_rope_that_slides_round_a_corner_is_where_the_integrator_has_it(start, velocity, error_bound, within):
    """Within 2 cm all the way, 10 cm at steps of usual length, although the bend goes on along the next edge."""
    start, velocity, duration = np.array(start), np.array(velocity), 0.7
    least = minimize_scalar(lambda s: rope_length(start, s), bounds=(-9, -0.01), method="bounded")
    length = float(least.fun) - 0.05
    rows = integrated(start, velocity, length, duration)
    assert rows[0, 4] < -0.5
    assert rows[-1, 4] > 1.0  # it does go round

    west = RimEdge(np.array([-20.0, 0, 0]), np.zeros(3), UP)
    north = RimEdge(np.zeros(3), np.array([0.0, 20.0, 0]), UP)

    def reach(points):
        return np.linalg.norm(points - ANCHOR, axis=1), np.tile(ANCHOR, (len(points), 1))

    scene = Scene(Rim([west, north], reach, spacing=20.0))
    fall = motion_history(
        scene, Launch(0, start, length, velocity=velocity), Chain(MASS, 0.0, STIFFNESS),
        duration=duration, rest_speed=1e-9, error_bound=error_bound,
    )  # fmt: skip
    clear = fall.time <= rows[-1, 0]
    for k in range(3):
        theirs = np.interp(fall.time[clear], rows[:, 0], rows[:, 1 + k])
        assert fall.place[clear, k] == pytest.approx(theirs, abs=within)
