"""The lowest point that a fall ever reaches, held against the fall followed in time."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.arrest import GRAVITY, Chain, catch, catch_history


@given(
    mass=st.floats(50.0, 150.0),
    drop=st.one_of(st.just(0.0), st.floats(0.01, 3.0)),
    slow=st.floats(600.0, 30_000.0),
    ratio=st.floats(0.05, 15.0),
    swings=st.floats(0.02, 40.0),
    absorber=st.one_of(st.none(), st.floats(1_200.0, 6_000.0)),
)
@settings(deadline=None, max_examples=25)
def test_no_later_dip_is_lower(
    mass: float, drop: float, slow: float, ratio: float, swings: float, absorber: float | None
) -> None:
    pace = np.sqrt(slow * (1 + ratio) / mass)
    chain = Chain(
        mass,
        drop,
        slow,
        slow * ratio,
        swings / pace,
        absorber_force=absorber or 0.0,
        absorber_length=0.5 if absorber else 0.0,
    )
    followed = catch_history(chain, duration=(3 * swings + 40) / pace, error_bound=2.5e-4)
    lowest = catch(chain).lowest[0]
    assert lowest >= (-followed.height.min() - drop) * (1 - 2e-3)


def test_hard_fall_is_lowest_at_its_first_rest() -> None:
    caught = catch(Chain(100.0, 3.0, 6e3, 3e3, 0.2))
    assert caught.lowest[0] == caught.stop_distance[0]


def test_soft_catch_sinks_below_its_first_rest() -> None:
    """Laid on without slack the mass first stops at about 2 W/(k1 + k2), and hangs at W/k1."""
    chain = Chain(100.0, 0.0, 2e3, 18e3, 1.0)
    caught = catch(chain)
    assert caught.stop_distance[0] < 0.15
    assert caught.lowest[0] == pytest.approx(caught.hang_extension[0], rel=2e-3)
    assert caught.hang_extension[0] == pytest.approx(100 * 9.80665 / 2e3)


def test_plain_spring_never_sinks_further() -> None:
    caught = catch(Chain(100.0, [0.0, 2.0], 5e3))
    np.testing.assert_array_equal(caught.lowest, caught.stop_distance)


@pytest.mark.parametrize("ratio", [0.3, 0.6, 0.9])
def test_rope_that_relaxes_over_hundreds_of_swings_follows_the_mean_and_the_swing_apart(ratio: float) -> None:
    """Laid on without slack: the mean sinks from W/(k1 + k2) to W/k1 while the swing of W/(k1 + k2) dies."""
    slow, time, weight = 2e3, 2_000.0, 100 * GRAVITY
    both = slow * (1 + ratio)
    s = np.linspace(0.0, 20 * time, 200_001)
    mean = weight / slow - (weight / slow - weight / both) * np.exp(-s * slow / both / time)
    swing = weight / both * np.exp(-s * ratio * slow / both / (2 * time))
    lowest = catch(Chain(100.0, 0.0, slow, slow * ratio, time)).lowest[0]
    assert lowest == pytest.approx((mean + swing).max(), rel=2e-3)
    assert lowest > 1.02 * 2 * weight / both


def test_creeping_fall_without_a_turn_ends_at_its_hang() -> None:
    """Heavily damped: the mass only ever slows down."""
    caught = catch(Chain(100.0, 0.0, 1e3, 30e3, 0.6))
    assert caught.solved[0]
    assert caught.lowest[0] == pytest.approx(caught.hang_extension[0], rel=1e-3)
