"""The kernel against scipy's `solve_ivp` (LSODA) on random chains of rope, grab, absorber and springs.

The oracle integrates another formulation, phase by phase, at a relative tolerance of 1e-9. Its steps are kept to a
fiftieth of sqrt(m/k), so that its own peak is sampled to (1/50)^2/8 = 5e-5.
"""

import numpy as np
import pytest
from catch_oracle import Catch, solve

from ropewright.arrest import Chain, catch

COUNT = 40


def test_peak_distance_and_time_agree_on_random_chains() -> None:
    r = np.random.default_rng(20)
    n = COUNT
    mass, drop = r.uniform(50, 150, n), np.where(r.random(n) < 0.15, 0.0, r.uniform(0.05, 4, n))
    length = r.uniform(0.6, 15, n)
    k1, k2 = r.uniform(20e3, 49e3, n) / length, r.uniform(5e3, 60e3, n) / length
    tau = 10 ** r.uniform(-2.5, 1, n)
    grab, slide = r.uniform(2500, 7000, n), r.uniform(0, 0.5, n) * (r.random(n) < 0.7)
    force, opening = r.uniform(2500, 6000, n), r.uniform(0, 1.2, n) * (r.random(n) < 0.8)
    anchor, lock = 10 ** r.uniform(4, 6, n), 10 ** r.uniform(4, 6, n)
    found = catch(Chain(mass, drop, k1, k2, tau, 0.0, grab, slide, force, opening, lock, anchor)).require_solved()
    assert found.bottomed_out.any(), "some absorbers run out"
    assert ((found.grab_slip > 0) & (found.absorber_opening > 0)).any(), "grab and absorber both give in some"
    for i in range(n):
        parts = {"grab": (grab[i], slide[i]), "absorber": (force[i], opening[i])}
        step = np.sqrt(mass[i] / (k1[i] + k2[i])) / 50
        fall = Catch(mass[i], drop[i], k1[i], k2[i], tau[i], parts, 1 / anchor[i], 1 / lock[i])
        oracle = solve(fall, max_step=step)
        assert found.peak_force[i] == pytest.approx(oracle.peak, rel=1e-4), i
        assert found.stop_distance[i] == pytest.approx(oracle.distance, rel=1e-4), i
        assert found.stop_time[i] == pytest.approx(oracle.time, rel=1e-4), i


def test_plain_damped_rope_agrees_at_several_relaxation_times() -> None:
    for tau in (0.003, 0.03, 0.3, 3.0):
        found = catch(Chain(100.0, 1.8, 5e3, 4e3, tau))
        oracle = solve(Catch(100.0, 1.8, 5e3, 4e3, tau, {}), max_step=0.001)
        assert found.peak_force[0] == pytest.approx(oracle.peak, rel=5e-5)
        assert found.stop_distance[0] == pytest.approx(oracle.distance, rel=5e-5)
