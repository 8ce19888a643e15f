"""Laws that every catch obeys, whatever the parts; properties from mechanics, no numbers of our own."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.arrest import GRAVITY, CatchError, Chain, catch, elastic_peak_force

#: The default bound on step error is 3e-5; that covers the difference of two runs held against each other.
SLACK = 5e-5

masses = st.floats(40.0, 180.0)
drops = st.one_of(st.just(0.0), st.floats(0.001, 5.0))
springs = st.floats(800.0, 200_000.0)
chains = st.fixed_dictionaries(
    {
        "mass": masses,
        "free_fall": drops,
        "stiffness": springs,
        "fast_stiffness": st.one_of(st.just(0.0), springs),
        "relaxation_time": st.one_of(st.just(0.0), st.just(np.inf), st.floats(0.001, 10.0)),
        "grab_lock": st.floats(0.0, 0.5),
        "grab_slip_force": st.floats(2_000.0, 12_000.0),
        "grab_slip_length": st.one_of(st.just(0.0), st.floats(0.01, 1.0)),
        "absorber_force": st.floats(2_000.0, 8_000.0),
        "absorber_length": st.one_of(st.just(0.0), st.floats(0.01, 1.75)),
        "lockout_stiffness": st.one_of(st.just(np.inf), springs),
        "lanyard_stiffness": st.one_of(st.just(np.inf), springs),
        "anchor_stiffness": st.one_of(st.just(np.inf), springs),
    }
)
quick = settings(deadline=None, max_examples=60)


@given(mass=masses, drop=drops, stiffness=springs)
@quick
def test_plain_rope_gives_the_closed_form(mass: float, drop: float, stiffness: float) -> None:
    caught = catch(Chain(mass, drop, stiffness))
    weight = mass * GRAVITY
    force = weight * (1 + np.sqrt(1 + 2 * drop * stiffness / weight))
    assert caught.peak_force[0] == pytest.approx(force, rel=2e-5)
    assert caught.stop_distance[0] == pytest.approx(force / stiffness, rel=2e-5)


@given(mass=masses, stiffness=springs)
@quick
def test_load_laid_on_without_slack_doubles_the_weight(mass: float, stiffness: float) -> None:
    assert catch(Chain(mass, 0.0, stiffness)).peak_force[0] == pytest.approx(2 * mass * GRAVITY, rel=1e-6)


@given(mass=masses, stiffness=springs)
@quick
def test_suddenly_loaded_spring_stops_after_half_its_period(mass: float, stiffness: float) -> None:
    assert catch(Chain(mass, 0.0, stiffness)).stop_time[0] == pytest.approx(np.pi * np.sqrt(mass / stiffness), rel=2e-5)


@given(fields=chains)
@quick
def test_energy_is_accounted_for_to_half_a_percent(fields: dict[str, float]) -> None:
    caught = catch(Chain(**fields))
    assert caught.solved.all()
    assert 0 <= caught.energy_error[0] < 5e-4  # ten times better than is asked of it


@given(fields=chains)
@quick
def test_parts_add_up_to_the_stopping_distance(fields: dict[str, float]) -> None:
    caught = catch(Chain(**fields))
    parts = caught.rope_stretch + caught.absorber_opening + caught.grab_slip + caught.spring_stretch
    assert parts[0] == pytest.approx(caught.stop_distance[0], rel=1e-9)
    assert caught.absorber_opening[0] <= fields["absorber_length"] * (1 + 1e-9)
    assert caught.grab_slip[0] <= fields["grab_slip_length"] * (1 + 1e-9)


@given(fields=chains, more=st.floats(1.01, 1.5))
@quick
def test_more_mass_is_never_less_force_or_fall(fields: dict[str, float], more: float) -> None:
    light, heavy = (catch(Chain(**{**fields, "mass": fields["mass"] * times})) for times in (1.0, more))
    assert heavy.peak_force[0] >= light.peak_force[0] * (1 - SLACK)
    assert heavy.stop_distance[0] >= light.stop_distance[0] * (1 - SLACK)


@given(fields=chains, more=st.floats(0.01, 1.0))
@quick
def test_more_slack_is_never_less_force_or_fall(fields: dict[str, float], more: float) -> None:
    short, long = (catch(Chain(**{**fields, "free_fall": fields["free_fall"] + extra})) for extra in (0.0, more))
    assert long.peak_force[0] >= short.peak_force[0] * (1 - SLACK)
    assert long.stop_distance[0] >= short.stop_distance[0] * (1 - SLACK)


@given(fields=chains, times=st.floats(1.01, 3.0))
@quick
def test_stiffer_rope_is_never_less_force_without_absorber(fields: dict[str, float], times: float) -> None:
    """A damped rope loaded softly is the exception: below twice the weight, stiffer can mean better damped."""
    plain = {**fields, "absorber_length": 0.0, "grab_slip_length": 0.0}
    stiffer = {**plain, "stiffness": plain["stiffness"] * times, "fast_stiffness": plain["fast_stiffness"] * times}
    soft, stiff = catch(Chain(**plain)), catch(Chain(**stiffer))
    damped = plain["fast_stiffness"] > 0 and 0 < plain["relaxation_time"] < np.inf
    floor = min(soft.peak_force[0], 2 * fields["mass"] * GRAVITY) if damped else soft.peak_force[0]
    assert stiff.peak_force[0] >= floor * (1 - SLACK)
    assert stiff.stop_distance[0] <= soft.stop_distance[0] * (1 + SLACK)


@given(mass=masses, drop=drops, slow=springs, fast=springs, time=st.floats(0.001, 10.0))
@quick
def test_damped_rope_never_hits_harder_than_both_its_springs(
    mass: float, drop: float, slow: float, fast: float, time: float
) -> None:
    caught = catch(Chain(mass, drop, slow, fast, time))
    assert mass * GRAVITY <= caught.peak_force[0] <= float(elastic_peak_force(mass, drop, slow + fast)) * (1 + SLACK)


def test_damping_softens_a_load_laid_on_without_slack_below_twice_the_weight() -> None:
    """Both plain limits give 2 W; what the dashpot takes is missing from the peak."""
    assert catch(Chain(100.0, 0.0, 5e3, 5e3, 0.3)).peak_force[0] < 2 * 100.0 * GRAVITY * 0.99


@pytest.mark.parametrize(("time", "stiffness"), [(0.0, 6e3), (1e-7, 6e3), (1e5, 10e3), (np.inf, 10e3)])
def test_rope_that_relaxes_at_once_or_never_is_a_plain_spring(time: float, stiffness: float) -> None:
    caught = catch(Chain(100.0, 1.8, 6e3, 4e3, time))
    assert caught.peak_force[0] == pytest.approx(float(elastic_peak_force(100.0, 1.8, stiffness)), rel=5e-5)


def test_springs_in_series_add_their_give() -> None:
    caught = catch(Chain(100.0, 1.0, 9e3, lanyard_stiffness=18e3, anchor_stiffness=6e3))
    stiffness = 1 / (1 / 9e3 + 1 / 18e3 + 1 / 6e3)
    assert caught.peak_force[0] == pytest.approx(float(elastic_peak_force(100.0, 1.0, stiffness)), rel=2e-5)
    assert caught.rope_stretch[0] == pytest.approx(caught.peak_force[0] / 9e3, rel=2e-5)
    assert caught.spring_stretch[0] == pytest.approx(caught.peak_force[0] * (1 / 18e3 + 1 / 6e3), rel=1e-4)


def test_absorber_on_a_rigid_line_opens_by_energy() -> None:
    """X = W h/(F - W): the absorber's work is all that the fall released."""
    caught = catch(Chain(100.0, 1.8, 1e8, absorber_force=4e3, absorber_length=2.0))
    weight = 100.0 * GRAVITY
    assert caught.absorber_opening[0] == pytest.approx(weight * 1.8 / (4e3 - weight), rel=1e-3)
    assert caught.peak_force[0] == pytest.approx(4e3, rel=1e-9)
    assert not caught.bottomed_out[0]


def test_spent_absorber_hands_what_is_left_to_the_rope() -> None:
    """Energy beyond the absorber stretches the rope: F^2/2k = W (h + X + F/k) - Fa X."""
    weight, h, k, f_a, x = 100.0 * GRAVITY, 3.0, 2e4, 3e3, 0.4
    caught = catch(Chain(100.0, h, k, absorber_force=f_a, absorber_length=x))
    left = weight * (h + x) - f_a * x
    assert caught.bottomed_out[0]
    assert caught.peak_force[0] == pytest.approx(weight + np.sqrt(weight**2 + 2 * k * left), rel=5e-5)


def test_lock_out_gives_beyond_the_absorbers_force() -> None:
    """The lock-out takes F - Fa: all energies at rest add up to what was released."""
    weight, f_a, x, k, lock = 100.0 * GRAVITY, 3e3, 0.4, 2e4, 3e4
    caught = catch(Chain(100.0, 3.0, k, absorber_force=f_a, absorber_length=x, lockout_stiffness=lock))
    force, give = caught.peak_force[0], (caught.peak_force[0] - f_a) / lock
    stored = force**2 / 2 / k + f_a * (x + give) + lock * give**2 / 2
    assert stored == pytest.approx(weight * (3.0 + x + force / k + give), rel=1e-4)
    assert caught.spring_stretch[0] == pytest.approx(give, rel=1e-3)


def test_weaker_of_grab_and_absorber_gives_first() -> None:
    weak_grab = catch(
        Chain(100.0, 1.0, 1e4, grab_slip_force=3e3, grab_slip_length=0.1, absorber_force=4e3, absorber_length=1)
    )
    weak_absorber = catch(
        Chain(100.0, 1.0, 1e4, grab_slip_force=4e3, grab_slip_length=1.0, absorber_force=3e3, absorber_length=0.1)
    )
    assert weak_grab.grab_slip[0] == pytest.approx(0.1)
    assert weak_grab.absorber_opening[0] > 0
    assert weak_absorber.absorber_opening[0] == pytest.approx(0.1)
    assert weak_absorber.stop_distance[0] == pytest.approx(weak_grab.stop_distance[0], rel=1e-9)


@pytest.mark.parametrize("part", ["grab_slip", "absorber"])
def test_rigid_springs_take_no_stretch_while_a_part_slides(part: str) -> None:
    caught = catch(Chain(100.0, 1.0, 1e4, **{f"{part}_force": 3e3, f"{part}_length": 2.0}))
    assert caught.peak_force[0] == pytest.approx(3e3)
    assert caught.spring_stretch[0] == pytest.approx(0.0, abs=1e-12)


def test_absorber_that_cannot_carry_the_weight_runs_out_and_is_said_not_to_hold() -> None:
    caught = catch(Chain(100.0, 1.0, 1e4, absorber_force=600.0, absorber_length=0.8))
    assert caught.solved[0]
    assert not caught.holds[0]
    assert caught.bottomed_out[0]


def test_fall_that_nothing_stops_is_an_error_and_no_number() -> None:
    caught = catch(Chain([100.0, 10.0], 1.0, 1e4, absorber_force=600.0, absorber_length=np.inf))
    assert caught.solved.tolist() == [False, True]
    assert np.isnan(caught.peak_force).tolist() == [True, False]
    assert np.isnan(caught.lowest).tolist() == [True, False]
    with pytest.raises(CatchError, match="fall 0: absorber or grab gives way under the weight alone"):
        caught.require_solved()


def test_step_too_long_to_balance_energy_is_an_error_and_no_number() -> None:
    caught = catch(Chain(100.0, 1.0, 1e4, absorber_force=3e3, absorber_length=1.0), error_bound=1.2)
    assert caught.energy_error.tolist() != caught.energy_error.tolist(), "nan"
    with pytest.raises(CatchError, match="energy account is off by"):
        caught.require_solved()


@pytest.mark.parametrize("bound", [0.0, -1e-3, np.nan])
def test_error_bound_must_be_above_zero(bound: float) -> None:
    with pytest.raises(ValueError, match="error_bound"):
        catch(Chain(100.0, 1.0, 1e4), error_bound=bound)


def test_error_falls_with_its_bound() -> None:
    closed = float(elastic_peak_force(100.0, 1.8, 1e4))
    errors = [abs(catch(Chain(100.0, 1.8, 1e4), error_bound=b).peak_force[0] / closed - 1) for b in (1e-3, 1e-4, 1e-5)]
    assert errors[0] <= 1e-3
    assert errors[1] <= 1e-4
    assert errors[2] <= 1e-5


def test_average_force_counts_only_what_is_above_500_lbf() -> None:
    stiff = catch(Chain(100.0, 1.8, 1e7, absorber_force=4e3, absorber_length=2.0))
    soft = catch(Chain(100.0, 0.0, 1e4))
    assert stiff.average_force[0] == pytest.approx(4e3, rel=1e-2)
    assert np.isnan(soft.average_force[0])


def test_hang_carries_the_weight_on_the_slow_spring_beyond_what_has_opened() -> None:
    caught = catch(Chain(100.0, 1.8, 5e3, 5e3, 0.2, absorber_force=4e3, absorber_length=1.0, anchor_stiffness=2e4))
    weight = 100.0 * GRAVITY
    assert caught.hang_extension[0] == pytest.approx(caught.absorber_opening[0] + weight / 5e3 + weight / 2e4, rel=1e-6)


def test_fall_that_takes_too_many_steps_is_an_error_and_no_number() -> None:
    caught = catch(Chain(100.0, 2.0, 1e12, absorber_force=4e3, absorber_length=1.0))
    assert len(caught) == 1
    assert np.isnan(caught.stop_distance[0])
    with pytest.raises(CatchError, match="no rest within 2,000,000 steps"):
        caught.require_solved()
