"""Laws of hauls: friction never helps to raise and never harms to hold, work is lost and not made."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.arrest.haul import HaulSystem, efficiency_of, haulers, pull_with_efficiency, pulley_efficiency_for

systems = st.builds(
    HaulSystem,
    st.lists(st.integers(1, 6), min_size=1, max_size=3).map(tuple),
    st.floats(0.3, 1.0),
    st.integers(0, 2),
)


@given(systems)
def test_without_friction_the_advantage_is_the_ratio(system: HaulSystem) -> None:
    free = HaulSystem(system.parts, 1.0, system.redirects)
    assert free.advantage == free.lowering_advantage == free.ratio == math.prod(system.parts)
    assert free.pull(1000.0) == free.hold(1000.0) == free.runs_back(1000.0)


@given(systems)
def test_friction_takes_from_raising_and_gives_to_holding(system: HaulSystem) -> None:
    assert system.pull(1000.0) >= system.hold(1000.0) * (1 - 1e-12)
    assert system.hold(1000.0) >= system.runs_back(1000.0) * (1 - 1e-12)
    assert 0 < system.overall_efficiency <= 1 + 1e-12


@given(systems, st.floats(0.1, 50.0))
def test_haulers_work_at_least_as_much_as_the_load_gains(system: HaulSystem, height: float) -> None:
    assert system.pull(1000.0) * system.rope(height) >= 1000.0 * height * (1 - 1e-12)


def test_stages_multiply() -> None:
    single = HaulSystem((3,), 0.8).advantage
    assert HaulSystem((3, 3), 0.8).advantage == pytest.approx(single**2)


def test_redirect_costs_one_pulley() -> None:
    assert HaulSystem((3,), 0.8, 1).advantage == pytest.approx(0.8 * HaulSystem((3,), 0.8).advantage)


@pytest.mark.parametrize(("height", "throw", "resets"), [(4.0, 4.0, 0), (4.1, 4.0, 1), (8.0, 4.0, 1), (0.5, 4.0, 0)])
def test_simple_system_is_set_back_after_each_throw(height: float, throw: float, resets: int) -> None:
    assert HaulSystem((5,), 0.9).resets(height, throw) == resets


def test_second_stage_runs_out_first() -> None:
    assert HaulSystem((3, 3)).rise_per_throw(6.0) == pytest.approx(2.0)
    assert HaulSystem((3,)).rise_per_throw(6.0) == pytest.approx(6.0)


@given(st.integers(2, 6), st.floats(0.05, 1.0))
def test_efficiency_follows_from_the_advantage(parts: int, efficiency: float) -> None:
    advantage = HaulSystem((parts,), efficiency).advantage
    assert pulley_efficiency_for((parts,), advantage) == pytest.approx(efficiency, rel=1e-9)


@pytest.mark.parametrize(("pull", "people"), [(0.0, 1), (200.0, 1), (200.1, 2), (400.0, 2), (1000.1, 6)])
def test_part_of_a_person_is_one_more(pull: float, people: int) -> None:
    assert haulers(pull) == people


@pytest.mark.parametrize("parts", [(), (0,), (3, 0)])
def test_system_without_strands(parts: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="one strand or more"):
        HaulSystem(parts)


@pytest.mark.parametrize("efficiency", [0.0, -0.5, 1.01, math.nan])
def test_impossible_efficiency(efficiency: float) -> None:
    with pytest.raises(ValueError, match="efficiency"):
        HaulSystem((3,), efficiency)


def test_impossible_pulls() -> None:
    for call in (lambda: haulers(-1.0), lambda: haulers(1.0, 0.0), lambda: efficiency_of(1.0, 0.0, 3.0)):
        with pytest.raises(ValueError, match="above 0"):
            call()
    for call in (lambda: pull_with_efficiency(1.0, 3.0, 1.2), lambda: pulley_efficiency_for((3,), 3.5)):
        with pytest.raises(ValueError, match=r"at most 1|no pulley"):
            call()
