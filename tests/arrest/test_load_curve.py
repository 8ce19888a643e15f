"""A rope that loads along one path and unloads along another."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.arrest import GRAVITY, Chain, catch, catch_history, one_fall
from ropewright.arrest.curve import CurvedChain, LoadCurve

#: Stiffens as it is pulled; invented.
CURVE = LoadCurve((0.0, 0.04, 0.12, 0.25), (0.0, 600.0, 3000.0, 11000.0), unloading=80e3)
NUMBERS = ("peak_force", "stop_distance", "stop_time", "rope_stretch", "absorber_opening", "grab_slip",
           "spring_stretch", "average_force")  # fmt: skip

PARTS = [
    {},
    {"lanyard_stiffness": 5e4, "anchor_stiffness": 2e5},
    {"absorber_force": 3500.0, "absorber_length": 1.0},
    {"absorber_force": 3500.0, "absorber_length": 0.2},
    {"absorber_force": 3500.0, "absorber_length": 0.2, "lockout_stiffness": 5e4},
    {"absorber_force": 3500.0, "absorber_length": 0.2, "grab_slip_force": 3000.0, "grab_slip_length": 0.15},
    {"absorber_force": 3500.0, "absorber_length": 0.2, "grab_slip_force": 3500.0, "grab_slip_length": 0.15},
    {"absorber_force": 3500.0, "absorber_length": 0.2, "grab_slip_force": 5000.0, "grab_slip_length": 2.0},
    {"absorber_force": 900.0, "absorber_length": 0.3},
    {"grab_lock": 0.2, "free_fall": 0.0},
]


@pytest.mark.parametrize("parts", PARTS)
def test_straight_curve_catches_as_the_spring_does(parts: dict[str, float]) -> None:
    """Closed form against the kernel's steps: the same law, worked out two ways."""
    given_ = {"mass": [70.0, 100.0, 140.0], "free_fall": 1.8, **parts}
    straight = LoadCurve((0.0, 0.1, 0.2), (0.0, 3000.0, 6000.0), unloading=30e3)
    curved = catch(CurvedChain.of(straight, 6.0, **given_))
    spring = catch(Chain(stiffness=5000.0, **given_), error_bound=1e-7)
    for name in NUMBERS:
        # stop_time and average carry the rounding of the kernel's whole steps
        rel = 3e-3 if name == "average_force" else 1e-4
        np.testing.assert_allclose(getattr(curved, name), getattr(spring, name), rtol=rel, atol=2e-6, err_msg=name)
    assert curved.bottomed_out.tolist() == spring.bottomed_out.tolist()
    assert curved.solved.all()


def test_peak_and_stretch_balance_the_energy_of_the_curve() -> None:
    """W (h + x) = L E(x/L) at the rest, by bisection on the curve alone."""
    mass, fall, length = 95.0, 2.0, 5.0
    low, high = 0.0, 0.6
    for _ in range(60):
        x = (low + high) / 2
        is_short = mass * GRAVITY * (fall + x * length) > length * float(CURVE.energy_at(x))
        low, high = (x, high) if is_short else (low, x)
    caught = catch(CurvedChain.of(CURVE, length, mass=mass, free_fall=fall))
    assert caught.stop_distance[0] == pytest.approx(low * length, rel=1e-12)
    assert caught.peak_force[0] == pytest.approx(float(CURVE.force_at(low)), rel=1e-12)


def test_factor_scales_the_force_of_the_whole_curve() -> None:
    harder = LoadCurve(CURVE.strain, tuple(1.3 * f for f in CURVE.force), 1.3 * CURVE.unloading)
    scaled = catch(CurvedChain.of(CURVE, 5.0, factor=1.3, mass=95.0, free_fall=2.0))
    other = catch(CurvedChain.of(harder, 5.0, mass=95.0, free_fall=2.0))
    for name in (*NUMBERS[:4], "hang_extension"):
        assert getattr(scaled, name)[0] == pytest.approx(getattr(other, name)[0], rel=1e-12)


def test_energy_accounts_to_rounding() -> None:
    for parts in PARTS:
        caught = catch(CurvedChain.of(CURVE, 5.0, **{"mass": 100.0, "free_fall": 2.0, **parts}))
        assert caught.energy_error[0] < 1e-12


def test_hang_lies_on_the_unloading_path_below_the_loading_one() -> None:
    caught = catch(CurvedChain.of(CURVE, 5.0, mass=100.0, free_fall=2.0))
    weight = 100.0 * GRAVITY
    loaded = 5.0 * float(CURVE.strain_at(weight))
    back = 5.0 * (caught.peak_force[0] - weight) / CURVE.unloading
    assert caught.hang_extension[0] == pytest.approx(caught.stop_distance[0] - back)
    assert loaded < caught.hang_extension[0] < caught.stop_distance[0]
    assert caught.lowest[0] == caught.stop_distance[0]


def test_endless_absorber_weaker_than_the_weight_stops_nothing() -> None:
    caught = catch(CurvedChain.of(CURVE, 5.0, mass=100.0, free_fall=1.0, absorber_force=900.0, absorber_length=np.inf))
    assert not caught.solved[0]
    assert np.isnan(caught.peak_force[0])
    endless = catch(CurvedChain.of(CURVE, 5.0, mass=100.0, free_fall=1.0, absorber_force=3e3, absorber_length=np.inf))
    assert endless.peak_force[0] == 3e3


def test_array_equals_loop() -> None:
    fields = {"mass": np.array([60.0, 100.0, 150.0]), "free_fall": np.array([0.0, 1.0, 3.0]),
              "absorber_force": np.array([0.0, 3e3, 4e3]), "absorber_length": np.array([0.0, 1.0, 0.1])}  # fmt: skip
    together = catch(CurvedChain.of(CURVE, [3.0, 5.0, 9.0], **fields))
    for i, length in enumerate((3.0, 5.0, 9.0)):
        alone = catch(CurvedChain.of(CURVE, length, **{name: values[i] for name, values in fields.items()}))
        assert alone.peak_force[0] == together.peak_force[i]
        assert alone.stop_time[0] == together.stop_time[i]


@settings(deadline=None, max_examples=60)
@given(
    mass=st.floats(40, 160), fall=st.floats(0, 4), length=st.floats(0.5, 20), force=st.floats(2e3, 6e3),
    opening=st.floats(0.0, 1.5), more=st.floats(1.01, 1.5),
)  # fmt: skip
def test_more_mass_or_slack_never_less_force_or_fall(
    mass: float, fall: float, length: float, force: float, opening: float, more: float
) -> None:
    absorber = {"absorber_force": force, "absorber_length": opening}
    base = {"mass": np.array([mass, mass * more, mass]), "free_fall": np.array([fall, fall, fall * more])}
    caught = catch(CurvedChain.of(CURVE, length, **base, **absorber))
    assert (caught.peak_force[1:] >= caught.peak_force[0] * (1 - 1e-12)).all()
    assert (caught.stop_distance[1:] >= caught.stop_distance[0] * (1 - 1e-12)).all()


def test_recovery_is_the_share_of_energy_given_back() -> None:
    curve = LoadCurve.with_recovery((0.0, 0.05, 0.10), (0.0, 1e3, 4e3), 0.5)
    assert curve.recovery == pytest.approx(0.5)
    assert 4e3**2 / (2 * curve.unloading) == pytest.approx(0.5 * float(curve.energy_at(0.10)))


def test_recovery_that_no_straight_line_gives_is_refused() -> None:
    with pytest.raises(ValueError, match=r"at most 0\.889 along a straight line, got 0\.95"):
        LoadCurve.with_recovery((0.0, 0.05, 0.10), (0.0, 1e3, 4e3), 0.95)
    with pytest.raises(ValueError, match="above 0 and below 1, got 0"):
        LoadCurve.with_recovery((0.0, 0.05), (0.0, 1e3), 0.0)


@pytest.mark.parametrize(
    ("strain", "force", "unloading", "message"),
    [
        ((0.0,), (0.0,), 1e5, "2 or more"),
        ((0.0, 0.1), (0.0, 1e3, 2e3), 1e5, "as many forces as strains"),
        ((0.01, 0.1), (0.0, 1e3), 1e5, "rise from 0"),
        ((0.0, 0.1), (100.0, 1e3), 1e5, "rise from 0"),
        ((0.0, 0.1, 0.1), (0.0, 1e3, 2e3), 1e5, "rise from 0"),
        ((0.0, 0.1, 0.2), (0.0, 1e3, 900.0), 1e5, "rise from 0"),
        ((0.0, np.nan), (0.0, 1e3), 1e5, "rise from 0"),
        ((0.0, 0.1), (0.0, np.inf), 1e5, "finite"),
        ((0.0, 0.1), (0.0, 1e3), 5e3, "steepest piece, 10000 N, got 5000 N"),
    ],
)
def test_impossible_curve_is_refused(
    strain: tuple[float, ...], force: tuple[float, ...], unloading: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        LoadCurve(strain, force, unloading)


def test_second_spring_beside_a_curve_is_refused() -> None:
    with pytest.raises(ValueError, match="no second spring"):
        CurvedChain.of(CURVE, 5.0, mass=100.0, free_fall=1.0, fast_stiffness=1e3, relaxation_time=0.1)
    with pytest.raises(ValueError, match="length must be above 0"):
        CurvedChain.of(CURVE, -5.0, mass=100.0, free_fall=1.0)


@pytest.mark.parametrize("parts", PARTS)
def test_history_passes_through_what_the_closed_form_gives(parts: dict[str, float]) -> None:
    chain = CurvedChain.of(CURVE, 5.0, **{"mass": 100.0, "free_fall": 1.5, **parts})
    caught, followed = catch(chain), catch_history(chain, duration=1.2)
    drop = chain.parts.drop[0]
    assert followed.force.max() == pytest.approx(caught.peak_force[0], rel=2e-4)
    assert -followed.height.min() - drop == pytest.approx(caught.stop_distance[0], rel=2e-4)
    assert followed.absorber.max() == pytest.approx(caught.absorber_opening[0], rel=1e-3, abs=1e-4)
    assert followed.grab.max() == pytest.approx(caught.grab_slip[0], rel=1e-3, abs=1e-4)
    # later dips go as deep: the first is where the speed first turns
    rest = followed.time[np.argmax(followed.speed < 0)] - np.sqrt(2 * drop / GRAVITY)
    assert rest == pytest.approx(caught.stop_time[0], abs=3e-3)


def test_rope_keeps_a_set_and_bounces_lower_than_a_spring() -> None:
    chain = CurvedChain.of(CURVE, 5.0, mass=100.0, free_fall=1.5)
    followed = catch_history(chain, duration=3.0)
    first_rest = int(np.argmin(followed.height))
    assert followed.rope_stretch[-1] > 0
    assert followed.height[first_rest:].max() < -0.3, "a spring without loss comes back to 0"
    assert followed.force[first_rest + 50] < float(CURVE.force_at(followed.rope_stretch[first_rest + 50] / 5.0)), (
        "unloads below the loading path"
    )


def test_book_takes_the_stretch_from_the_curve() -> None:
    chain = CurvedChain.of(CURVE, 5.0, mass=100.0, free_fall=1.5, absorber_force=3e3, absorber_length=1.0)
    answer = one_fall(chain)
    terms = {term.name: float(term.value) for term in answer.book.terms}
    assert answer.book_force == 3e3
    assert terms["stretch of the rope at the arrest force"] == pytest.approx(5.0 * 0.12)
    bare = one_fall(CurvedChain.of(CURVE, 5.0, mass=100.0, free_fall=1.5))
    assert float(bare.book.total) == pytest.approx(bare.total_fall), "no absorber: the same peak, the same stretch"
