"""The kernel gives each fall the same number, however it is run."""

import numpy as np
import pytest
from numpy.typing import NDArray

from ropewright.arrest import Chain, catch, kernel
from ropewright.arrest import steps as steps_module
from ropewright.arrest.steps import Falls


def random_fields(n: int, seed: int) -> dict[str, NDArray[np.float64]]:
    """Falls of all kinds, with and without each part."""
    random = np.random.default_rng(seed)

    def some(low: float, high: float, share: float, otherwise: float) -> NDArray[np.float64]:
        return np.where(random.random(n) < share, random.uniform(low, high, n), otherwise)

    return {
        "mass": random.uniform(40, 160, n),
        "free_fall": some(0.0, 4.0, 0.85, 0.0),
        "stiffness": random.uniform(1e3, 3e4, n),
        "fast_stiffness": some(1e3, 3e4, 0.8, 0.0),
        "relaxation_time": some(0.005, 2.0, 0.9, np.inf),
        "grab_lock": some(0.0, 0.5, 0.5, 0.0),
        "grab_slip_force": random.uniform(2e3, 8e3, n),
        "grab_slip_length": some(0.01, 0.6, 0.6, 0.0),
        "absorber_force": random.uniform(2e3, 6e3, n),
        "absorber_length": some(0.1, 1.2, 0.7, 0.0),
        "lockout_stiffness": some(1e4, 1e6, 0.5, np.inf),
        "lanyard_stiffness": some(2e4, 1e6, 0.5, np.inf),
        "anchor_stiffness": some(2e4, 1e6, 0.5, np.inf),
    }


NUMBERS = (
    *("peak_force", "stop_distance", "stop_time", "rope_stretch", "average_force", "energy_error", "lowest"),
    *("absorber_opening", "grab_slip", "spring_stretch", "hang_extension"),
)


def test_array_equals_loop_over_its_falls_to_the_last_bit() -> None:
    fields = random_fields(37, seed=1)
    together = catch(Chain(**fields))
    for i in range(37):
        alone = catch(Chain(**{name: values[i] for name, values in fields.items()}))
        for name in NUMBERS:
            np.testing.assert_array_equal(getattr(alone, name)[0], getattr(together, name)[i], err_msg=f"{name} of {i}")


def test_compiled_march_equals_plain_python_to_the_last_bit() -> None:
    parts = Chain(**random_fields(16, seed=2)).parts
    plain, compiled = Falls(parts, 1e-4), Falls(parts, 1e-4)
    kernel.march(plain.blocks, 0, 1, kernel.LANES, 5_000)
    kernel.compiled()(compiled.blocks, 0, 1, kernel.LANES, 5_000)
    assert not plain.moving.any()
    np.testing.assert_array_equal(plain.blocks, compiled.blocks)


def test_numbers_do_not_depend_on_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    chain = Chain(**random_fields(3_000, seed=3))
    found = []
    for cores in (1, 2, 5):
        monkeypatch.setattr(steps_module, "_cores", lambda cores=cores: cores)
        found.append(catch(chain))
    for other in found[1:]:
        for name in NUMBERS:
            np.testing.assert_array_equal(getattr(found[0], name), getattr(other, name))


def test_few_falls_do_not_load_the_compiler(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kernel, "is_compiled", lambda: False)
    monkeypatch.setattr(kernel, "compiled", lambda: pytest.fail("compiled for one fall"))
    assert catch(Chain(100.0, 1.8, 5e3, 3e3, 0.2)).lowest[0] > 0


def test_one_fall_of_very_many_steps_goes_to_the_compiled_march(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stiff wire with a long opening takes more steps than plain Python is given."""
    chain = Chain(100.0, 1.8, 5e7, absorber_force=3e3, absorber_length=2.0)
    expected = catch(chain).peak_force
    monkeypatch.setattr(kernel, "is_compiled", lambda: False)
    monkeypatch.setattr(steps_module, "_FEW_STEPS", 500)
    np.testing.assert_array_equal(catch(chain).peak_force, expected)


def test_turned_falls_stay_as_they_are_while_others_go_on() -> None:
    parts = Chain(**random_fields(16, seed=4)).parts
    falls = Falls(parts, 1e-4)
    falls.run(5_000)
    before = falls.blocks.copy()
    falls.run(5_000)
    np.testing.assert_array_equal(falls.blocks, before)


def test_march_gives_up_after_the_steps_it_is_given() -> None:
    falls = Falls(Chain(100.0, 1.8, 5e3).parts, 1e-5)
    kernel.march(falls.blocks, 0, 1, 1, 13)
    assert falls.get(kernel.STEPS)[0] == 13
    assert falls.moving.all()


def test_no_force_jump_at_first_contact() -> None:
    """The first step's force is what the springs give for its stretch, however fast the dashpot is pulled."""
    falls = Falls(Chain(100.0, 5.0, 5e3, 5e4, [1e-4, 1e-2, 1.0]).parts, 1e-5)
    falls.one_step()
    assert 0 < falls.force[0] < 0.02 * 100.0 * 9.80665 * 10
    assert (falls.force[0] <= 5.5e4 * falls.get(kernel.TRAVEL)[0] * (1 + 1e-12)).all()


def test_falls_of_a_length_share_a_block() -> None:
    """Lanes at work while their blocks run, with damped ropes and absorbers in any order: four in five at least."""
    r, n = np.random.default_rng(4), 4_000
    length = r.uniform(1, 15, n)
    chain = Chain(
        r.uniform(60, 140, n), r.uniform(0.3, 3, n), r.uniform(20e3, 49e3, n) / length,
        r.uniform(10e3, 30e3, n) / length,
        0.2, absorber_force=r.uniform(3.5e3, 6e3, n), absorber_length=r.uniform(0.3, 1.2, n), lanyard_stiffness=1e5,
    )  # fmt: skip
    falls = Falls(chain.parts, 3e-5)
    falls.run(1_000_000)
    steps = falls.get(kernel.STEPS)[falls.order].reshape(-1, kernel.LANES)
    shuffled = falls.get(kernel.STEPS).reshape(-1, kernel.LANES)
    at_work = steps.sum() / (steps.max(axis=1) * kernel.LANES).sum()
    assert at_work > 0.8 > shuffled.sum() / (shuffled.max(axis=1) * kernel.LANES).sum()


def test_rows_are_copies() -> None:
    falls = Falls(Chain(100.0, 1.8, 5e3).parts, 1e-5)
    before = falls.get(kernel.TRAVEL)
    falls.one_step()
    assert before[0] == 0.0


def test_folder_that_cannot_be_written_only_costs_the_stored_code(monkeypatch: pytest.MonkeyPatch) -> None:
    import numba

    made = []

    def njit(**options: bool) -> object:
        if options.get("cache"):
            raise RuntimeError("cannot cache function 'march': no locator available")
        return lambda function: made.append(function) or function

    monkeypatch.setattr(numba, "njit", njit)
    monkeypatch.setattr(kernel, "_ready", [])
    assert kernel.compiled.__wrapped__() is kernel.march
    assert made == [kernel.march]
    assert kernel.is_compiled()


def test_cores_are_counted_where_the_system_does_not_say_which_are_free(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr("os.sched_getaffinity", raising=False)
    monkeypatch.setattr("os.cpu_count", lambda: 3)
    assert steps_module._cores() == 3
