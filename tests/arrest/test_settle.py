"""The lowest point that a fall ever reaches, held against the fall followed in time."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.arrest import Chain, catch, catch_history


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


def test_rope_that_relaxes_over_many_swings_follows_the_closed_form() -> None:
    """Between the hang and the hang plus the swing that is left; never below what a long history shows."""
    chain = Chain(121.0, 0.017, 336.0, 294.0, 40.0)
    caught = catch(chain)
    followed = catch_history(chain, duration=200.0, error_bound=1e-4)
    assert caught.lowest[0] == pytest.approx(-followed.height.min() - 0.017, rel=0.02)
    assert caught.lowest[0] > 1.05 * caught.stop_distance[0]


def test_creeping_fall_without_a_turn_ends_at_its_hang() -> None:
    """Heavily damped: the mass only ever slows down."""
    caught = catch(Chain(100.0, 0.0, 1e3, 30e3, 0.6))
    assert caught.solved[0]
    assert caught.lowest[0] == pytest.approx(caught.hang_extension[0], rel=1e-3)
