"""Spread, shares and what to pin down: against plain draws, closed forms and the corners."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.arrest import GRAVITY, Chain, catch, elastic_peak_force
from ropewright.arrest import steps as steps_module
from ropewright.arrest.curve import LoadCurve
from ropewright.arrest.distribution import Normal, Uniform
from ropewright.arrest.doubt import at_most, doubt, pin_down
from ropewright.arrest.doubtful import INPUTS, OUTPUTS, FallPoints, complete, in_doubt
from ropewright.arrest.part_sets import Condition, PartKind, absorber_force, part_sets
from ropewright.arrest.worst_corner import worst_corners
from ropewright.quantity import Range

PLAIN = {"mass": Range(80.0, 100.0, 120.0), "modulus": Range(26e3, 35e3, 41e3)}
NO_ERROR = {"rope_error": 1.0, "absorber_error": 1.0, "opening_error": 1.0}
FULL = PLAIN | {
    "fast_modulus": Range(10e3, 20e3, 30e3),
    "relaxation_time": Range(0.1, 0.2, 0.5),
    "grab_lock": Range(0.05, 0.15, 0.5),
    "absorber_force": Range(3.2e3, 4.4e3, 5.3e3),
    "absorber_length": Range(0.3, 0.6, 1.0),
    "body_shift": Range(0.25, 0.30, 0.45),
}
POINT = FallPoints(free_fall=1.8, near=6.0)


def test_quantiles_of_one_input_are_those_of_the_closed_form() -> None:
    """Force rises with mass alone, so its quantile is the force at the mass's quantile."""
    found = doubt({"mass": Uniform(80.0, 120.0), "modulus": 35e3} | NO_ERROR, POINT, draws=4096, levels=(0.1, 0.5, 0.9))
    expected = elastic_peak_force(np.array([84.0, 100.0, 116.0]), 1.8, 35e3 / 6.0)
    assert found.spread["peak_force"][:, 0] == pytest.approx(expected, rel=5e-4)
    assert (found.spread["peak_force"][:, 0] >= expected * (1 - 3e-4)).all(), "errs high, but for the steps"


def test_spread_and_share_agree_with_plain_random_draws() -> None:
    random, n = np.random.default_rng(5), 40_000
    mass = random.triangular(80.0, 100.0, 120.0, n)
    modulus = random.triangular(26e3, 35e3, 41e3, n)
    force = elastic_peak_force(mass, 1.8, modulus / 6.0)
    found = doubt(PLAIN | NO_ERROR, POINT, draws=1024, tests={"force": at_most("peak_force", 5800.0)})
    expected = np.quantile(force, found.levels)
    assert found.spread["peak_force"][:, 0] == pytest.approx(expected, rel=5e-3)
    share = found.shares["force"]
    assert float(share.low[0]) < (force <= 5800.0).mean() < float(share.high[0])


def test_array_of_points_equals_loop_over_them() -> None:
    points = FallPoints(free_fall=[0.5, 1.0, 2.0], near=[3.0, 4.0, 5.0], far=[0.0, 4.0, 8.0], turn=[0.0, 0.3, 0.6])
    inputs = FULL | {"friction": Range(0.2, 0.4, 0.6)}
    tests = {"room": at_most("needed", [3.0, 4.0, 5.0])}
    whole = doubt(inputs, points, draws=128, tests=tests)
    for i in range(3):
        alone = doubt(inputs, points.chosen(slice(i, i + 1)), draws=128, tests={"room": at_most("needed", 3.0 + i)})
        for name in OUTPUTS:
            np.testing.assert_array_equal(whole.spread[name][:, i], alone.spread[name][:, 0])
        assert whole.shares["room"].share[i] == alone.shares["room"].share[0]


def test_batches_and_threads_change_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    from ropewright.arrest import doubt as module

    points = FallPoints(free_fall=np.linspace(0.3, 2.0, 40), near=5.0)
    found = []
    for cores, batch in ((1, 131_072), (2, 131_072), (5, 700)):
        monkeypatch.setattr(steps_module, "_cores", lambda cores=cores: cores)
        monkeypatch.setattr(module, "BATCH", batch)
        found.append(doubt(FULL, points, draws=200))
    for other in found[1:]:
        for name in OUTPUTS:
            np.testing.assert_array_equal(found[0].spread[name], other.spread[name])


def test_corners_enclose_every_draw() -> None:
    drawn, ends = doubt(FULL, POINT, draws=1024), worst_corners(FULL, POINT)
    for name in ("peak_force", "stop_distance", "needed", "hang"):
        assert ends.low[name][0] <= drawn.least[name][0] * (1 + 1e-3), name
        assert drawn.greatest[name][0] <= ends.high[name][0] * (1 + 1e-3), name
        assert drawn.least[name][0] <= drawn.spread[name][1, 0] <= drawn.greatest[name][0]


def test_worst_corner_names_its_inputs() -> None:
    ends = worst_corners(PLAIN, POINT)
    hardest = ends.cases[ends.worst["peak_force"][0]]
    assert (hardest["mass"], hardest["modulus"], hardest["rope_error"]) == (120.0, 41e3, 1.3)
    deepest = ends.cases[ends.worst["needed"][0]]
    assert (deepest["mass"], deepest["modulus"]) == (120.0, 26e3)
    assert len(ends.cases) == 5


def test_longer_rope_goes_with_the_soft_end() -> None:
    ends = worst_corners({"mass": 100.0, "modulus": 35e3, "length": Range(3.0, 4.0, 5.0)} | NO_ERROR, FallPoints(1.8))
    assert ends.high["peak_force"][0] == pytest.approx(float(elastic_peak_force(100.0, 1.8, 35e3 / 3.0)), rel=3e-4)


def test_model_error_of_an_undamped_rope_reaches_30_percent() -> None:
    plain = worst_corners(PLAIN | {"rope_error": 1.0}, POINT)
    ends = worst_corners(PLAIN, POINT)
    assert ends.high["peak_force"][0] == pytest.approx(1.3 * plain.high["peak_force"][0])
    assert ends.high["needed"][0] == plain.high["needed"][0]
    damped = worst_corners(PLAIN | {"fast_modulus": 20e3, "relaxation_time": 0.2}, POINT)
    assert damped.high["peak_force"][0] < 1.3 * plain.high["peak_force"][0] * 1.2
    assert "rope_error" not in in_doubt(complete(PLAIN | {"fast_modulus": 20e3, "relaxation_time": 0.2}))


def test_model_errors_of_an_absorber_raise_its_peak_and_its_opening() -> None:
    """Peak 1/0.875 of the average force, opening up to 70 % longer (Carrion 2020, 2021)."""
    absorber = {"mass": 100.0, "modulus": 35e3, "absorber_force": 4e3, "absorber_length": 1.5}
    bare = catch(Chain(100.0, 1.8, 35e3 / 6.0, absorber_force=4e3, absorber_length=1.5))
    ends = worst_corners(absorber, POINT)
    assert ends.high["peak_force"][0] == pytest.approx(1.25 * 4e3, rel=1e-4)
    more = 0.7 * bare.absorber_opening[0]
    assert ends.high["needed"][0] == pytest.approx(1.8 + bare.lowest[0] + more, rel=1e-3)


def test_slide_of_a_grab_adds_to_the_distance_and_takes_off_no_force() -> None:
    still, sliding = (worst_corners(PLAIN | {"grab_slide": slide}, POINT) for slide in (0.0, Range(0.0, 0.3, 1.0)))
    assert sliding.high["needed"][0] == pytest.approx(still.high["needed"][0] + 1.0)
    assert sliding.high["peak_force"][0] == still.high["peak_force"][0]


def test_fall_that_nothing_stops_is_endless_and_holds_nothing() -> None:
    weak = PLAIN | {"absorber_force": Range(900.0, 1000.0, 1300.0), "absorber_length": 1.0}
    found = doubt(weak, POINT, draws=256, tests={"force": at_most("peak_force", 1e9)})
    assert 0 < float(found.shares["arrested"].share[0]) < 1
    assert found.shares["force"].share[0] == found.shares["arrested"].share[0] == found.shares["all"].share[0]
    assert np.isinf(found.greatest["needed"][0])
    assert np.isfinite(found.least["needed"][0])


def test_all_holds_no_more_often_than_any() -> None:
    tests = {"force": at_most("peak_force", 6500.0), "room": at_most("needed", 2.6)}
    shares = doubt(PLAIN, POINT, draws=512, tests=tests).shares
    assert float(shares["all"].share[0]) <= min(float(shares[name].share[0]) for name in tests)


def test_average_force_below_the_window_is_no_number() -> None:
    soft = doubt({"mass": 60.0, "modulus": Range(20e3, 25e3, 30e3)}, FallPoints(0.0, 20.0), draws=64)
    assert np.isnan(soft.spread["average_force"]).all()


def test_average_force_is_over_the_time_above_500_lbf() -> None:
    """ANSI/ASSP Z359.13 counts only samples above 500 lbf: for a spring W + (momentum at that force)/(time since)."""
    mass, fall, k, window = 100.0, 1.8, 35e3 / 6.0, 500 * 4.4482216152605
    w, weight = np.sqrt(k / mass), mass * GRAVITY
    start = (window - weight) / k  # from the place of rest under the weight
    speed = np.sqrt(2 * GRAVITY * (fall + window / k) - k / mass * (window / k) ** 2)
    time = (np.pi / 2 - np.arctan2(w * start, speed)) / w
    caught = catch(Chain(mass, fall, k), error_bound=1e-8)
    assert caught.average_force[0] == pytest.approx(weight + mass * speed / time, rel=1e-3)


def test_no_input_in_doubt_gives_the_catch_itself() -> None:
    known = {"mass": 100.0, "modulus": 35e3} | NO_ERROR
    found = doubt(known, POINT, draws=16)
    caught = catch(Chain(100.0, 1.8, 35e3 / 6.0), error_bound=3e-4)
    assert (found.spread["peak_force"] == caught.peak_force[0]).all()
    assert found.in_doubt == ()
    assert pin_down(known, POINT).inputs == ()
    assert len(worst_corners(known, POINT).cases) == 1


def test_first_input_to_pin_down_is_the_one_that_moves_the_answer() -> None:
    """An absorber sets the force by its own; 0.45 m of doubt in the grab's lock goes into the distance whole."""
    found = pin_down(FULL, POINT, draws=512)
    assert found.order("peak_force")[:2] == ("absorber_force", "absorber_error")
    assert found.order("needed")[0] == "grab_lock"
    narrowed = pin_down(FULL | {"absorber_force": 4.4e3}, POINT, draws=512)
    assert narrowed.order("peak_force")[0] == "absorber_error"
    total = found.indices["needed"]
    assert (total.total >= total.first - 3 * total.first_error).all()


def test_pinning_the_first_input_down_takes_its_share_of_the_variance_away() -> None:
    """What is left is 1 - its total index: the definition, by draws of their own."""
    index = pin_down(PLAIN | NO_ERROR, POINT).indices["peak_force"]
    levels = tuple(np.linspace(0.002, 0.998, 250))
    masses = 80.0 + 40.0 * np.linspace(0.02, 0.98, 25)
    at = [doubt(PLAIN | NO_ERROR | {"mass": m}, POINT, draws=256, levels=levels) for m in masses]
    within = np.mean([d.spread["peak_force"].var() for d in at])
    # the masses of the loop are even, those of the index triangular: same size is all that is asked
    whole = doubt(PLAIN | NO_ERROR, POINT, draws=1024, levels=levels)
    assert within / whole.spread["peak_force"].var() == pytest.approx(index.total[1], rel=0.15)


def test_load_curve_carries_its_scatter_by_the_modulus() -> None:
    curve = LoadCurve((0.0, 0.05, 0.10), (0.0, 1e3, 4e3), unloading=100e3)
    inputs = {"mass": 100.0, "modulus": Range(16e3, 20e3, 24e3)} | NO_ERROR
    found = doubt(inputs, POINT, draws=256, curve=curve)
    assert found.least["peak_force"][0] < found.greatest["peak_force"][0]
    assert pin_down(inputs, POINT, draws=64, curve=curve).order("needed") == ("modulus",)


@pytest.mark.parametrize(
    ("inputs", "message"),
    [
        ({"mass": 100.0}, "modulus must be given"),
        ({"mass": 100.0, "modulus": 35e3, "colour": 1.0}, "unknown input 'colour', known are mass"),
        ({"mass": Normal(10.0, 10.0), "modulus": 35e3}, "mass must be above 0"),
        ({"mass": 100.0, "modulus": 35e3, "free_fall": Uniform(-3.0, 1.0)}, "free fall must stay 0 or more"),
    ],
)
def test_impossible_inputs_are_refused(inputs: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        doubt(inputs, POINT, draws=64)  # type: ignore[arg-type]


def test_indices_are_of_one_point_and_limits_of_a_known_output() -> None:
    with pytest.raises(ValueError, match="one point, got 2"):
        pin_down(PLAIN, FallPoints([1.0, 2.0], 5.0))
    with pytest.raises(ValueError, match="unknown output 'height'"):
        at_most("height", 1.0)


def test_every_input_has_words_and_a_unit() -> None:
    assert all(item.words and item.unit for item in INPUTS.values())


SETS = [(absorber, grab) for absorber in part_sets(PartKind.ABSORBER) for grab in part_sets(PartKind.GRAB)]


@pytest.mark.parametrize(("absorber", "grab"), SETS)
@settings(deadline=None, max_examples=6)
@given(mass=st.floats(50, 140), fall=st.floats(0, 4), more=st.floats(1.01, 1.5))
def test_more_mass_or_slack_is_never_milder_under_any_default_set(
    absorber: str, grab: str, mass: float, fall: float, more: float
) -> None:
    parts, brake = part_sets(PartKind.ABSORBER)[absorber], part_sets(PartKind.GRAB)[grab]
    inputs = {
        "modulus": Range(26e3, 35e3, 61e3),
        "absorber_force": absorber_force(parts, Condition.UNKNOWN),
        "absorber_length": parts.range("length"),
        "grab_lock": brake.range("lock"),
        "grab_slide": brake.range("slide"),
    }
    base = worst_corners(inputs | {"mass": mass}, FallPoints(fall, 6.0))
    for harder in (
        worst_corners(inputs | {"mass": mass * more}, FallPoints(fall, 6.0)),
        worst_corners(inputs | {"mass": mass}, FallPoints(fall * more, 6.0)),
    ):
        for name in ("peak_force", "stop_distance", "needed"):
            assert harder.high[name][0] >= base.high[name][0] * (1 - 2e-3), name
            assert harder.middle[name][0] >= base.middle[name][0] * (1 - 2e-3), name


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0, 3.0])
def test_friction_of_the_roof_takes_speed_off_a_fall_and_no_depth(share: float) -> None:
    """A slide stands for so much more fall; friction takes it off the force, but the body starts as high as before."""
    inputs = {"mass": 100.0, "modulus": 35e3, "absorber_force": 4e3, "absorber_length": 2.0, "slide_friction": share}
    slid = worst_corners(inputs | NO_ERROR, FallPoints(2.0, 5.0, eased=0.8)).high
    plain = worst_corners({**inputs, "slide_friction": 0.0} | NO_ERROR, FallPoints(2.0 - 0.8 * min(share, 1.0), 5.0))
    assert slid["peak_force"] == pytest.approx(plain.high["peak_force"])
    assert slid["needed"] == pytest.approx(plain.high["needed"] + 0.8 * min(share, 1.0))
