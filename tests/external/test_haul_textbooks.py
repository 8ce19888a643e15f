"""Rope round drums and posts, pulleys and haulers, as worked elsewhere.

Sources, all read: the open companion notebooks (2017) of A. K. Tayal, *Engineering Mechanics*, Examples 7.4, 7.6, 8.1
and 8.4; of Beer and Johnston, *Vector Mechanics*, Sample Problem 8.8, p. 432; the University of Oregon's rescue course
page; a knot-tyers' forum's test on a tilting board; grip figures of 46 and 209 N quoted at the International Technical
Rescue Symposium 2006 (second hand).
"""

import math

import pytest

from ropewright.arrest.capstan import friction_from_hold, held_force, raising_force
from ropewright.arrest.haul import (
    GRIP_SUSTAINED,
    GRIP_WEAKEST,
    HaulSystem,
    efficiency_of,
    haulers,
    pull_with_efficiency,
    pulley_efficiency_for,
)

LB, INCH = 4.4482216152605, 0.0254


def test_half_turn_on_a_drum():
    """Tayal 7.4: 1000 N, 0.25; printed 455.975 with e = 2.718."""
    assert held_force(1000.0, math.pi, 0.25) == pytest.approx(455.97526, rel=1e-4)
    assert held_force(1000.0, math.pi, 0.25) == pytest.approx(455.93813, rel=1e-7)


def test_three_turns_on_a_post():
    """Tayal 7.6: 1000 N, 0.3; printed 3.5025 with e = 2.718."""
    assert held_force(1000.0, 6 * math.pi, 0.3) == pytest.approx(3.502492, rel=1e-3)
    assert held_force(1000.0, 6 * math.pi, 0.3) == pytest.approx(3.5004394, rel=1e-7)


def test_belt_on_a_pulley():
    """Beer and Johnston 8.8: 600 lb, 0.25, 120 deg, 8 in radius; torque 1957 lb in."""
    held = float(held_force(600.0, math.radians(120), 0.25))
    assert held == pytest.approx(355.4, abs=0.05)
    assert (600.0 - held) * 8 == pytest.approx(1957, abs=0.5)


def test_machine_of_known_effort():
    """Tayal 8.1: ratio 6, 20 N raise 100 N."""
    assert efficiency_of(100.0, 20.0, 6.0) == pytest.approx(0.83333333, rel=1e-7)
    assert 20.0 - pull_with_efficiency(100.0, 6.0, 1.0) == pytest.approx(3.333333, rel=1e-6)


def test_five_pulleys_of_three_quarters():
    """Tayal 8.4: 1000 N, ratio 5, 75 % in all."""
    assert pull_with_efficiency(1000.0, 5.0, 0.75) == pytest.approx(266.66667, rel=1e-7)


def test_three_to_one_without_pulleys_falls_to_two_to_one():
    """University of Oregon: about 2:1; karabiners that pass on half or 0.6 of the tension give 1.75 and 1.96."""
    assert pulley_efficiency_for((3,), 2.0) == pytest.approx(0.61803399, rel=1e-8)
    assert [HaulSystem((3,), eta).advantage for eta in (0.50, 0.60)] == pytest.approx([1.75, 1.96])
    assert HaulSystem((3,), 0.6).advantage == pytest.approx(2.0, rel=0.05)


@pytest.mark.parametrize(
    ("parts", "eta", "printed"),
    [(3, 0.5, 1.75), (3, 0.55, 1.85), (3, 0.618, 2.00), (3, 0.9, 2.71), (5, 0.5, 1.94), (5, 0.9, 4.10)],
)
def test_advantage_of_simple_systems(parts, eta, printed):
    """Sums of the powers of eta, to two decimals."""
    assert HaulSystem((parts,), eta).advantage == pytest.approx(printed, abs=0.005)


def test_friction_on_a_tilting_board():
    """Cord on a pine roller, 1.5 turns: held at 14 to 1, slipped at 19 to 1."""
    assert friction_from_hold([14.0, 19.0], 1.0, 3 * math.pi) == pytest.approx([0.280012679, 0.312414679], rel=1e-8)


def test_haulers_for_a_three_to_one():
    """100 kg at 0.9: 361.869 N; two people at their mean grip, eight if each counts as the weakest hand."""
    pull = HaulSystem((3,), 0.9).pull(100 * 9.80665)
    assert pull == pytest.approx(361.869, rel=1e-6)
    assert (haulers(pull, 209.0), haulers(pull, GRIP_SUSTAINED), haulers(pull, GRIP_WEAKEST)) == (2, 2, 8)


@pytest.mark.parametrize(
    ("mu", "factors"), [(0.2, (1.17, 1.37, 1.87)), (0.3, (1.27, 1.60, 2.57)), (0.4, (1.37, 1.87, 3.51))]
)
def test_capstan_factors(mu, factors):
    """exp(mu turn) at 45, 90 and 180 deg, to two decimals."""
    turns = [math.radians(angle) for angle in (45, 90, 180)]
    assert raising_force(1.0, turns, mu) == pytest.approx(factors, abs=0.006)
