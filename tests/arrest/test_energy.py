"""Energies that the account and the search for later dips rest on, against areas under force and stretch."""

import numpy as np
import pytest

from ropewright.arrest import Chain
from ropewright.arrest import kernel as k
from ropewright.arrest.energy import energy_error, static_energy
from ropewright.arrest.steps import Falls


def falls(**parts: float) -> Falls:
    return Falls(Chain(100.0, 1.0, 8e3, **parts).parts, 1e-4)


def test_plain_spring_stores_half_force_times_stretch() -> None:
    assert static_energy(falls(), np.array([0.5]))[0] == pytest.approx(8e3 * 0.5**2 / 2)


def test_relaxed_rope_stores_nothing_in_its_second_spring() -> None:
    damped = falls(fast_stiffness=5e3, relaxation_time=0.2)
    assert static_energy(damped, np.array([0.5]))[0] == pytest.approx(8e3 * 0.5**2 / 2)


def test_springs_in_series_share_the_stretch() -> None:
    stiffness = 1 / (1 / 8e3 + 1 / 4e3)
    assert static_energy(falls(anchor_stiffness=4e3), np.array([0.5]))[0] == pytest.approx(stiffness * 0.5**2 / 2)


@pytest.mark.parametrize("part", ["absorber", "grab_slip"])
def test_beyond_a_sliding_parts_force_the_energy_grows_by_that_force(part: str) -> None:
    sliding = falls(**{f"{part}_force": 2e3, f"{part}_length": 1.0})
    energy = static_energy(sliding, np.array([0.5]))[0]
    assert energy == pytest.approx(2e3**2 / 2 / 8e3 + 2e3 * (0.5 - 2e3 / 8e3))


def test_spent_absorber_gives_beyond_its_force() -> None:
    """Force as a function of stretch, added up numerically."""
    spent = falls(absorber_force=2e3, absorber_length=0.3, lockout_stiffness=1e4)
    spent.put(k.SLIP_1, 0.3)
    stretch = np.linspace(0.0, 0.5, 100_001)
    soft = 1 / (1 / 8e3 + 1 / 1e4)
    force = np.where(stretch * 8e3 < 2e3, stretch * 8e3, 2e3 + (stretch - 2e3 / 8e3) * soft)
    area = np.sum((force[1:] + force[:-1]) / 2) * stretch[1]
    assert static_energy(spent, np.array([0.8]))[0] == pytest.approx(area, rel=1e-6)


def test_slack_chain_stores_nothing() -> None:
    assert static_energy(falls(), np.array([-0.5]))[0] == 0.0


def test_fall_that_released_nothing_has_no_balance() -> None:
    assert energy_error(Falls(Chain(100.0, 0.0, 8e3).parts, 1e-4))[0] == np.inf
