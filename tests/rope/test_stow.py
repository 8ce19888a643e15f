"""Stowing: twist by way, pull that keeps loops away, room, and the stopper under the lid.

Closed forms: cantilever w a^4 / (8 EI), critical torque of a rod M^2 = 4 EI T (linear theory, derived in
docs/derivations-stow.md); pi/4 of level-wound reels (oceanographic cable handbook, p. 12-4, read second hand here).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.findings import Verdict
from ropewright.quantity import Range
from ropewright.rope.linking import linking_number, writhe
from ropewright.rope.sizes import table_mass
from ropewright.rope.stow import STEPS, Way, lid, rope_mass, stow, twisted
from ropewright.rope.stow_twist import bending_stiffness, loop_tension, loop_turns, stowed_curve

MASS = rope_mass("nylon", "sheathed core", "low-stretch", 0.0105)
UP = np.array([0.0008, 0.0006, 0.004])


@pytest.mark.parametrize(
    ("way", "turns"),
    [(Way.COIL, 1), (Way.COIL_TURNED_BACK, 0), (Way.BACK_AND_FORTH, 0), (Way.STRAIGHT_IN, 0)],
)
def test_only_a_one_way_coil_leaves_a_turn_in_each_loop(way: Way, turns: int) -> None:
    told = loop_turns(way)
    assert told.linking == pytest.approx(turns, abs=1e-6)
    assert told.twist + told.writhe == pytest.approx(told.linking)


def test_a_coil_that_lies_flat_is_all_writhe() -> None:
    """Writhe of a helix is 1 - sin of its pitch angle a turn."""
    angle = math.atan(0.02 / (2 * math.pi))
    assert loop_turns(Way.COIL).writhe == pytest.approx(1 - math.sin(angle), abs=1e-3)


def test_loops_the_other_way_round_twist_the_other_way() -> None:
    coil = stowed_curve(Way.COIL, 4)
    other = coil * np.array([1.0, -1.0, 1.0])
    beside = UP * np.array([1.0, -1.0, 1.0])
    assert linking_number(other, other + beside) == pytest.approx(-linking_number(coil, coil + UP), abs=1e-6)
    assert writhe(other) == pytest.approx(-writhe(coil))


def test_turns_per_metre_are_loops_per_metre() -> None:
    told = twisted(Way.COIL, 60.0, 0.0105, MASS, 1.2)
    assert told.turns_per_metre == pytest.approx(1 / 1.2)
    assert told.turns_in_all == pytest.approx(50.0)


@pytest.mark.parametrize("way", [way for way in Way if way is not Way.COIL])
def test_other_ways_throw_no_loop(way: Way) -> None:
    told = twisted(way, 60.0, 0.0105, MASS)
    assert told.turns_per_metre == told.tension.high == told.hanging == 0.0


def test_coil_without_its_loop_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="loop"):
        twisted(Way.COIL, 60.0, 0.0105, MASS)


def test_pull_against_loops_is_that_of_the_rod() -> None:
    """EI 0.0065 N m2, GJ 0.004 N m2, ten turns in 10 m: M = 2 pi GJ n / L, T = M^2 / (4 EI)."""
    torque = 2 * math.pi * 0.004 * 10 / 10
    pull = loop_tension(1.0, Range.exact(0.0065), Range.exact(0.004 / 0.0065))
    assert pull.likely == pytest.approx(torque**2 / (4 * 0.0065))


@given(st.floats(0.1, 5.0), st.floats(1e-4, 1.0))
@settings(deadline=None, max_examples=30)
def test_twice_the_twist_needs_four_times_the_pull(turns: float, stiffness: float) -> None:
    once, twice = (loop_tension(k * turns, Range.exact(stiffness)).high for k in (1, 2))
    assert twice == pytest.approx(4 * once)


def test_own_droop_takes_the_place_of_what_is_judged() -> None:
    told = bending_stiffness(0.0105, 0.065, (0.30, 0.10))
    assert told.low == told.high == pytest.approx(0.065 * 9.80665 * 0.30**4 / 0.8)
    judged = bending_stiffness(0.0105, 0.065)
    assert judged.low < told.likely < judged.high
    with pytest.raises(ValueError, match="third"):
        bending_stiffness(0.0105, 0.065, (0.30, 0.20))


def test_room_is_the_cylinder_over_the_share() -> None:
    told = stow(60.0, 0.0105, MASS, Way.STRAIGHT_IN)
    assert told.volume == pytest.approx(math.pi / 4 * 0.0105**2 * 60)
    assert told.room.high == pytest.approx(told.volume / 0.25)
    assert told.fits is told.verdict is told.fill is None


def test_fits_only_at_the_loosest_packing() -> None:
    room = stow(60.0, 0.0105, MASS, Way.STRAIGHT_IN).room
    verdicts = [
        stow(60.0, 0.0105, MASS, Way.STRAIGHT_IN, box).verdict
        for box in (room.high, room.likely, 60 * 0.0105**2 * math.pi / 4 / 0.80)
    ]
    assert verdicts == [Verdict.HOLDS, Verdict.ASK, Verdict.FAILS]


def test_unknown_rope_is_the_heaviest() -> None:
    unknown = rope_mass("unknown", "unknown", "unknown", 0.011).value.high
    assert all(
        unknown >= rope_mass(fibre, "sheathed core", "low-stretch", 0.011).value.high
        for fibre in ("nylon", "polyester", "polypropylene", "aramid")
    )


def test_table_comes_before_density() -> None:
    assert rope_mass("nylon", "laid", "unknown", 0.0127) == table_mass("nylon", "laid", "unknown", 0.0127)


@pytest.mark.parametrize(("hole", "lifts"), [(0.010, False), (0.015, True), (0.030, None), (0.060, False)])
def test_stopper_lifts_what_has_a_hole_narrower_than_two_ropes(hole: float, lifts: bool | None) -> None:
    assert lid(hole, 0.011).lifts is lifts


@pytest.mark.parametrize("numbers", [(0.0, 0.01), (1.0, 0.0)])
def test_nothing_is_stowed_of_no_rope(numbers: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        stow(*numbers, MASS, Way.COIL)
    with pytest.raises(ValueError, match="above 0"):
        lid(*numbers)
    with pytest.raises(ValueError, match="above 0"):
        bending_stiffness(*numbers)


def test_every_way_has_its_steps() -> None:
    assert set(STEPS) == set(Way)
