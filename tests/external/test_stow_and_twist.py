"""Packing, linking and twist against results known elsewhere.

- Packing: 0.907 of parallel lines lying closest, pi / (2 sqrt 3) (Thue's theorem, from memory); 0.64 of well-shaken
  spheres (Zou and others, Science 326:408, 2009, whose open text names it, read); the standard reel formula
  L = 0.2618 W h (B + h) / d^2, feet of rope from inches of reel (oceanographic cable handbook, chapter 12, p. 12-4,
  read). No figure was found for rope in a bag.
- Linking: the Hopf link has 1, two strands of the torus link T(2, 2q) q, two runs of T(p, q) beside each other p q
  (textbooks, from memory). The mean over all directions of signed crossings is the other way to the writhe (Fuller).
- Loops: M = 2 pi n GJ / L, T = M^2 / (4 EI) of the long straight rod (Kirchhoff's equations made linear, by hand).
- One full turn for each loop of a coil pulled out over its end (common practice: 60 m in 1.2 m loops, 50 turns).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ropewright.quantity import Range
from ropewright.rope.linking import linking_number, writhe
from ropewright.rope.stow import Way, packing, rope_mass, stow, twisted
from ropewright.rope.stow_twist import loop_tension, loop_turns
from ropewright.rope.tables import figures

FOOT, INCH = 0.3048, 0.0254


def ring(centre: tuple[float, float, float], one: tuple[float, ...], other: tuple[float, ...]) -> np.ndarray:
    t = np.linspace(0, 2 * np.pi, 200, endpoint=False)[:, None]
    return np.array(centre) + np.cos(t) * np.array(one) + np.sin(t) * np.array(other)


@pytest.mark.parametrize("way", list(Way))
def test_no_way_packs_better_than_shaken_spheres_reels_or_lines_lying_closest(way: Way) -> None:
    share = packing(way).value
    reel = figures("handling_figures")["packing/level-wound"].value.likely
    assert share.low < share.high < 0.64 < reel < math.pi / (2 * math.sqrt(3))


def test_the_reel_formula_gives_the_share_that_is_never_exceeded() -> None:
    """Rope of 1/2 in on a drum of 10 in with 4 in of depth and 12 in of width: volume of rope over volume of reel."""
    width, depth, barrel, d = 12.0, 4.0, 10.0, 0.5
    feet = 0.2618 * width * depth * (barrel + depth) / d**2
    rope = math.pi / 4 * (d * INCH) ** 2 * feet * FOOT
    reel = math.pi * depth * (barrel + depth) * width * INCH**3
    known = figures("handling_figures")["packing/level-wound"].value
    assert rope / reel == pytest.approx(known.likely, rel=5e-4)  # four digits in the formula


def test_room_of_sixty_metres_by_hand() -> None:
    """60 m of 10.5 mm is 5.20 L of solid rope, 14.8 L at a share of 0.35."""
    mass = rope_mass("nylon", "sheathed core", "low-stretch", 0.0105)
    told = stow(60.0, 0.0105, mass, Way.STRAIGHT_IN)
    assert told.volume == pytest.approx(5.20e-3, abs=5e-6)
    assert told.room.likely == pytest.approx(14.8e-3, abs=6e-5)


def test_hopf_link_winds_once() -> None:
    one, other = ring((0, 0, 0), (1, 0, 0), (0, 1, 0)), ring((1, 0, 0), (1, 0, 0), (0, 0, 1))
    assert abs(linking_number(one, other)) == pytest.approx(1.0, abs=1e-6)


def torus(p: int, q: int, phase: float) -> np.ndarray:
    """P times round the long way and q times the short way of a torus."""
    t = np.linspace(0, 2 * np.pi, 120 * max(p, q), endpoint=False)
    out = 2 + 0.7 * np.cos(q * t + phase)
    return np.column_stack([out * np.cos(p * t), out * np.sin(p * t), 0.7 * np.sin(q * t + phase)])


@pytest.mark.parametrize(
    ("p", "q", "phase"), [(1, 1, np.pi), (1, 2, np.pi), (1, 4, np.pi), (2, 3, np.pi / 2), (3, 2, 1.0)]
)
def test_two_runs_of_a_torus_knot_wind_p_times_q(p: int, q: int, phase: float) -> None:
    assert abs(linking_number(torus(p, q, 0.0), torus(p, q, phase))) == pytest.approx(p * q, abs=1e-6)


def test_writhe_is_the_mean_of_signed_crossings_over_all_directions() -> None:
    """A trefoil looked at from many sides, crossings counted one by one: the other way to the double integral."""
    t = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    knot = np.column_stack([np.sin(t) + 2 * np.sin(2 * t), np.cos(t) - 2 * np.cos(2 * t), -np.sin(3 * t)])
    rng = np.random.default_rng(5)
    sides = rng.normal(size=(1500, 3))
    counted = np.mean([_signed_crossings(knot, side / np.linalg.norm(side)) for side in sides])
    assert counted == pytest.approx(writhe(knot), abs=0.05)  # 1,500 sides


def _signed_crossings(curve: np.ndarray, side: np.ndarray) -> float:
    """Sum of the signs of all crossings of a closed polygon seen along a direction."""
    across = np.linalg.svd(side[None, :])[2][1:]
    flat, high = curve @ across.T, curve @ side
    steps = np.roll(flat, -1, axis=0) - flat
    rise = np.roll(high, -1) - high
    i, j = np.triu_indices(len(curve), 2)
    gap = flat[j] - flat[i]
    cross = steps[i, 0] * steps[j, 1] - steps[i, 1] * steps[j, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        u = (gap[:, 0] * steps[j, 1] - gap[:, 1] * steps[j, 0]) / cross
        v = (gap[:, 0] * steps[i, 1] - gap[:, 1] * steps[i, 0]) / cross
    met = (u >= 0) & (u < 1) & (v >= 0) & (v < 1)
    over = np.sign((high[i] + u * rise[i]) - (high[j] + v * rise[j]))
    handed = np.sign(np.linalg.det(np.vstack([across, side])))
    return float(np.sum((np.sign(cross) * over * handed)[met]))


def test_a_one_way_coil_leaves_a_turn_a_loop_and_the_other_ways_none() -> None:
    turns = {way: abs(round(loop_turns(way).linking, 6)) for way in Way}
    assert turns == {Way.COIL: 1.0, Way.COIL_TURNED_BACK: 0.0, Way.BACK_AND_FORTH: 0.0, Way.STRAIGHT_IN: 0.0}
    told = twisted(Way.COIL, 60.0, 0.011, rope_mass("nylon", "sheathed core", "static", 0.011), 1.2)
    assert told.turns_in_all == pytest.approx(50.0)


def test_pull_below_which_a_loop_is_thrown_by_hand() -> None:
    """EI = 0.0065 and GJ = 0.004 N m2, 10 turns in 10 m: M = 0.0251 N m, T = 0.0243 N."""
    moment = 2 * math.pi * 10 * 0.004 / 10
    assert moment == pytest.approx(0.0251, abs=5e-5)
    pull = loop_tension(1.0, Range.exact(0.0065), Range.exact(0.004 / 0.0065))
    assert pull.likely == pytest.approx(moment**2 / (4 * 0.0065), rel=1e-9)
