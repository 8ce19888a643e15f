"""Laws of a rope round something: turns add, friction only ever helps to hold, and the edge feels both sides."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.arrest.capstan import bend_ratio, edge_force, friction_from_hold, held_force, raising_force

tensions = st.floats(1.0, 2e4)
turns = st.floats(0.0, 8 * math.pi)
frictions = st.floats(0.0, 1.0)


@given(tensions, turns, turns, frictions)
def test_turns_add(tension: float, one: float, other: float, mu: float) -> None:
    assert held_force(held_force(tension, one, mu), other, mu) == pytest.approx(held_force(tension, one + other, mu))


@given(tensions, turns, frictions)
def test_holding_and_raising_are_each_other_s_inverse(tension: float, turn: float, mu: float) -> None:
    assert raising_force(held_force(tension, turn, mu), turn, mu) == pytest.approx(tension)
    assert held_force(tension, turn, mu) <= tension <= raising_force(tension, turn, mu)


def test_no_friction_and_no_turn_change_nothing() -> None:
    assert held_force(500.0, [0.0, 3.0], [0.4, 0.0]).tolist() == [500.0, 500.0]


@given(tensions, st.floats(0.1, 20.0), st.floats(0.0, 0.9))
def test_friction_is_found_again(tension: float, turn: float, mu: float) -> None:
    assert friction_from_hold(tension, held_force(tension, turn, mu), turn) == pytest.approx(mu, abs=1e-9)


@given(tensions, tensions, st.floats(0.0, math.pi))
def test_edge_feels_the_sum_of_both_pulls(near: float, far: float, turn: float) -> None:
    """Cosine rule: a straight rope pulls with the difference alone, a half turn with both."""
    out = np.array([1.0, 0.0]) * near + np.array([-math.cos(turn), math.sin(turn)]) * far
    assert edge_force(near, far, turn) == pytest.approx(np.linalg.norm(out), rel=1e-7, abs=1e-6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: held_force(-1.0, 1.0, 0.2),
        lambda: raising_force(1.0, -1.0, 0.2),
        lambda: held_force(1.0, 1.0, math.nan),
        lambda: edge_force(1.0, 1.0, 3.5),
        lambda: friction_from_hold(1.0, 2.0, 1.0),
        lambda: friction_from_hold(1.0, 0.0, 1.0),
        lambda: friction_from_hold(2.0, 1.0, 0.0),
        lambda: bend_ratio(0.01, 0.0),
        lambda: bend_ratio(-0.01, 0.011),
    ],
)
def test_impossible_ropes(call) -> None:
    with pytest.raises(ValueError, match=r"0 or more|half a turn|above 0"):
        call()
