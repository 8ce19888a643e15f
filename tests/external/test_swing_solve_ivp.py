"""Swings over an edge against scipy's LSODA on the same equation, with the taut rope found by scipy's own search."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from ropewright.arrest import GRAVITY, Chain
from ropewright.arrest.motion_history import motion_history
from ropewright.arrest.motion_launch import Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.rim import Rim, RimEdge

ANCHOR = np.array([0.5, 3.46, 2.0])
UP = np.array([0.0, -0.5, np.sqrt(0.75)])


def _rope(x: np.ndarray) -> tuple[float, np.ndarray]:
    """Shortest way from the anchor over the x-axis to a point, and the unit vector toward its last bend."""

    def length(s: float) -> float:
        bend = np.array([s, 0.0, 0.0])
        return float(np.linalg.norm(ANCHOR - bend) + np.linalg.norm(x - bend))

    found = minimize_scalar(length, bounds=(-20.0, 20.0), method="bounded", options={"xatol": 1e-9})
    toward = np.array([found.x, 0.0, 0.0]) - x
    return float(found.fun), toward / np.linalg.norm(toward)


def _solid(state: np.ndarray, length: float, k1: float, k2: float, tau: float, mass: float) -> np.ndarray:
    """Rate of place, speed and the stretch of the dashpot of a standard linear solid."""
    x, v, creep = state[:3], state[3:6], state[6]
    taut, toward = _rope(x)
    stretch = taut - length
    arm = k2 * (stretch - creep)
    force = k1 * stretch + arm
    rate = arm / (k2 * tau) if k2 else 0.0
    if force <= 0.0:
        # slack: the rope is as long as it is with no force, and its arm relaxes on
        free = k2 * creep / (k1 + k2)
        force, rate = 0.0, (free - creep) / tau if k2 else 0.0
    return np.concatenate([v, force / mass * toward - [0, 0, GRAVITY], [rate]])


@pytest.mark.parametrize(("k2", "tau"), [(0.0, 1.0), (4_000.0, 0.2)], ids=["spring", "standard linear solid"])
def test_swing_is_lsodas(k2, tau):
    start, velocity, length, k1, mass, duration = [2.0, -0.5, -0.5], [-0.5, -0.6, 0.0], 6.0, 5_000.0, 100.0, 0.9
    moments = np.linspace(0.0, duration, 91)  # then it meets the wall
    solved = solve_ivp(
        lambda _, y: _solid(y, length, k1, k2, tau, mass), (0.0, duration), [*start, *velocity, 0.0],
        method="LSODA", t_eval=moments, rtol=1e-7, atol=1e-9, max_step=0.01,
    )  # fmt: skip
    eave = RimEdge(np.array([-20.0, 0, 0]), np.array([20.0, 0, 0]), UP)
    scene = Scene(Rim([eave], lambda p: (np.linalg.norm(p - ANCHOR, axis=1), np.tile(ANCHOR, (len(p), 1)))))
    chain = Chain(mass=mass, free_fall=0.0, stiffness=k1, fast_stiffness=k2, relaxation_time=tau)
    ours = motion_history(scene, Launch(0, start, length, velocity=velocity), chain, duration=duration)
    inside = moments < ours.time[-1]
    for k in range(3):
        path = np.interp(moments[inside], ours.time, ours.place[:, k])
        assert path == pytest.approx(solved.y[k][inside], abs=2e-3)
