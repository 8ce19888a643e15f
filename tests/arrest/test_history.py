"""One fall followed in time agrees with the batch, and names what goes on."""

import numpy as np
import pytest

from ropewright.arrest import GRAVITY, CatchError, Chain, Phase, catch, catch_history

FULL = Chain(100.0, 1.8, 4e3, 2e3, 0.3, 0.1, 3e3, 0.1, 3.5e3, 0.1, lanyard_stiffness=1e5)


def test_history_passes_through_what_the_batch_gives() -> None:
    caught, followed = catch(FULL), catch_history(FULL, duration=1.0)
    assert followed.force.max() == pytest.approx(caught.peak_force[0], rel=1e-4)
    assert -followed.height.min() - 1.9 == pytest.approx(caught.stop_distance[0], rel=1e-4)
    rest = followed.time[np.argmin(followed.height)] - np.sqrt(2 * 1.9 / GRAVITY)
    assert rest == pytest.approx(caught.stop_time[0], abs=2e-3)
    assert followed.absorber.max() == pytest.approx(caught.absorber_opening[0], rel=1e-3)
    assert followed.grab.max() == pytest.approx(caught.grab_slip[0], rel=1e-3)


def test_phases_come_in_the_order_of_a_fall() -> None:
    followed = catch_history(FULL, duration=1.5)
    order = list(dict.fromkeys(followed.phase))
    expected = [
        Phase.FREE_FALL,
        Phase.STRETCH,
        Phase.GRAB,
        Phase.ABSORBER,
        Phase.LOCKED_OUT,
        Phase.REBOUND,
        Phase.SLACK,
    ]
    assert order == expected


def test_time_runs_on_without_a_jump() -> None:
    followed = catch_history(FULL, duration=0.5)
    assert (np.diff(followed.time) > 0).all()
    assert np.abs(np.diff(followed.height)).max() < 0.5
    assert followed.height[0] == 0.0
    assert followed.speed[0] == 0.0


def test_free_fall_obeys_gravity() -> None:
    followed = catch_history(Chain(80.0, 2.0, 1e4), duration=0.1)
    falling = np.array([phase is Phase.FREE_FALL for phase in followed.phase])
    np.testing.assert_allclose(followed.speed[falling] ** 2, -2 * GRAVITY * followed.height[falling], atol=1e-9)


def test_plain_spring_keeps_its_energy_through_every_bounce() -> None:
    mass, stiffness = 100.0, 1e4
    followed = catch_history(Chain(mass, 1.0, stiffness), duration=3.0)
    motion = mass * followed.speed**2 / 2
    energy = motion + followed.force**2 / 2 / stiffness + mass * GRAVITY * followed.height
    np.testing.assert_allclose(energy, 0.0, atol=5e-5 * motion.max())


def test_absorber_and_grab_never_close() -> None:
    followed = catch_history(FULL, duration=3.0)
    assert (np.diff(followed.absorber) >= 0).all()
    assert (np.diff(followed.grab) >= 0).all()


def test_rope_never_pushes() -> None:
    assert catch_history(FULL, duration=3.0).force.min() >= 0.0


def test_held_mass_comes_to_hang_where_it_should() -> None:
    """No law that creeps for ever: damping ends the bounce at the static extension."""
    chain = Chain(100.0, 0.1, 8e3, 12e3, 0.1)
    followed = catch_history(chain, duration=8.0, error_bound=1e-4)
    assert followed.speed[-1] == pytest.approx(0.0, abs=1e-3)
    assert followed.force[-1] == pytest.approx(100.0 * GRAVITY, rel=1e-3)
    assert -followed.height[-1] - 0.1 == pytest.approx(catch(chain).hang_extension[0], rel=1e-3)


def test_fall_without_slack_has_no_free_fall() -> None:
    assert Phase.FREE_FALL not in catch_history(Chain(80.0, 0.0, 1e4), duration=0.2).phase


def test_only_one_fall_is_followed() -> None:
    with pytest.raises(ValueError, match="one fall, got 2"):
        catch_history(Chain(100.0, [1.0, 2.0], 1e4))


@pytest.mark.parametrize("duration", [0.0, -1.0, np.nan])
def test_duration_must_be_above_zero(duration: float) -> None:
    with pytest.raises(ValueError, match="duration"):
        catch_history(Chain(100.0, 1.0, 1e4), duration=duration)


def test_history_whose_energy_does_not_balance_is_an_error_and_no_curve() -> None:
    chain = Chain(100.0, 2.0, 1e4, 1e6, 0.01, absorber_force=4e3, absorber_length=1.0)
    with pytest.raises(CatchError, match="the energy account of the history is off by"):
        catch_history(chain, duration=1.0, error_bound=0.5)
