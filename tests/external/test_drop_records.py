"""Published drops and certificates: what the laws and default figures give of them, within what each allows.

- 101 dynamic ropes: open data set ``ropes`` of the R package plsdepot 0.3.0, read; EN 892 drop of 80 kg, 4.8 m, 2.8 m.
- EN 1891, low-stretch: below 6 kN at 100 kg and fall factor 0.3; drops of six ropes on a test blog (2018), read: about
  10 kN (used) and 12 kN (new) at fall factor 1, mass not told.
- Old dynamic rope, 12 February 1989, on a university page, read: 1,450 lbf at fall factor 1 on 10 ft, mass not told.
- ANSI/ASSP Z359.13 and EN 355 limits, from memory; Carrion et al. 2020 and 2021, abstracts read.
- Weber, ITRS 2002, abstract read: the spring equation is up to 30 % low as mass and fall factor rise.
The whole comparison, misses included, stands in docs/validation.md.
"""

import numpy as np
import pytest

from ropewright.arrest import Chain, catch, modulus_from_peak_force
from ropewright.arrest.doubt import doubt
from ropewright.arrest.doubtful import FallPoints
from ropewright.arrest.part_sets import PartKind, absorber_force, model_errors, part_sets
from ropewright.quantity import Range
from ropewright.rope.tables import figures

LBF, LB, FOOT, INCH = 4.4482216152605, 0.45359237, 0.3048, 0.0254


def figure(key: str) -> Range:
    return figures("stiffness")[key].value


def solid(kind: str, mass: float, length: float, fall: float) -> tuple[float, float]:
    e1, e2, tau = (figure(f"{kind}/sls {part}").likely for part in ("e1", "e2", "tau"))
    caught = catch(Chain(mass, fall, e1 / length, e2 / length, tau))
    return float(caught.peak_force[0]), float(caught.stop_distance[0]) / length


def elastic(modulus: float, mass: float, length: float, fall: float) -> float:
    return float(catch(Chain(mass, fall, modulus / length)).peak_force[0])


def test_damped_dynamic_rope_lies_among_90_percent_of_certificates() -> None:
    """5 % and 95 % of 101: 7.2 to 9.5 kN, 29 to 37 %, 5.0 to 9.8 % hanging at 80 kg."""
    peak, strain = solid("dynamic", 80.0, 2.8, 4.8)
    assert 7200 <= peak <= 9500
    assert 0.29 <= strain <= 0.37
    assert 0.050 <= 80.0 * 9.80665 / figure("dynamic/sls e1").likely <= 0.098


def test_elastic_dynamic_rope_meets_the_peaks_its_range_was_made_from() -> None:
    arrest = figure("dynamic/arrest")
    found = [elastic(m, 80.0, 2.8, 4.8) for m in (arrest.low, arrest.likely, arrest.high)]
    assert found == pytest.approx([7200, 8500, 9500], rel=2e-3)


def test_elastic_rope_that_meets_the_median_peak_stretches_a_sixth_too_far() -> None:
    """Certified 33 %; on 100 of 101 ropes the elastic formula gives more, by 1.175 in the median."""
    modulus = modulus_from_peak_force(8500.0, 80.0, 4.8 / 2.8)
    strain = catch(Chain(80.0, 4.8, modulus / 2.8)).stop_distance[0] / 2.8
    assert strain / 0.33 == pytest.approx(1.175, abs=0.01)


@pytest.mark.parametrize(("calibrated", "expected"), [(6000.0, 10_000), (5000.0, 8_200)])
def test_low_stretch_rope_fitted_at_0_3_is_too_low_at_1(calibrated: float, expected: float) -> None:
    """17 % and 32 % below the 12 kN of a new rope."""
    modulus = float(modulus_from_peak_force(calibrated, 100.0, 0.3))
    assert elastic(modulus, 100.0, 2.0, 2.0) == pytest.approx(expected, rel=5e-3)
    assert expected < 12_000


def test_model_error_of_30_percent_covers_what_the_fit_at_0_3_misses_of_a_new_rope() -> None:
    modulus = float(modulus_from_peak_force(6000.0, 100.0, 0.3))
    high = model_errors()["rope/undamped peak"].value.high
    assert elastic(modulus, 100.0, 2.0, 2.0) * high >= 12_000


def test_range_of_low_stretch_rope_reaches_the_drops_at_fall_factor_1() -> None:
    arrest = figure("low-stretch/arrest")
    assert elastic(arrest.low, 100.0, 2.0, 2.0) <= 10_000
    assert elastic(arrest.high, 100.0, 2.0, 2.0) == pytest.approx(12_000, rel=0.5 / 12)


@pytest.mark.parametrize("kind", ["elastic", "damped"])
def test_likely_low_stretch_rope_passes_the_drop_of_its_standard(kind: str) -> None:
    """EN 1891 type A: below 6 kN."""
    peak = solid("low-stretch", 100.0, 2.0, 0.6)[0]
    if kind == "elastic":
        peak = elastic(figure("low-stretch/arrest").likely, 100.0, 2.0, 0.6)
    assert peak < 6000


def test_old_rope_of_unknown_mass_lies_within_the_band_of_the_table() -> None:
    force = 1450 * LBF
    arrest = figure("dynamic/arrest")
    rope = 10 * FOOT
    assert elastic(arrest.low, 60.0, rope, rope) < force < elastic(arrest.high, 100.0, rope, rope)
    inputs = {"mass": Range(60.0, 80.0, 100.0), "modulus": arrest, "rope_error": 1.0}
    drawn = doubt(inputs, FallPoints(rope, rope), draws=256)
    low, _, high = drawn.spread["peak_force"][:, 0]
    assert low < force < high


@pytest.mark.parametrize(("fall", "force", "opening"), [(6, 900, 32.9), (6, 1125, 24.1), (12, 1350, 38.0)])
def test_absorber_opens_as_the_energy_of_its_standard_says(fall: float, force: float, opening: float) -> None:
    """282 lb; inside the 48 in and 60 in of the standard."""
    caught = catch(Chain(282 * LB, fall * FOOT, 1e7, absorber_force=force * LBF, absorber_length=3.0))
    assert caught.absorber_opening[0] / INCH == pytest.approx(opening, rel=5e-3)


def test_drawn_absorber_has_the_measured_ratio_of_average_to_peak() -> None:
    """0.875 (Carrion 2020); the plain law, which knows one force, gives 0.99 (a miss in docs/validation.md)."""
    absorber = part_sets(PartKind.ABSORBER)["EN 355"]
    inputs = {"mass": 100.0, "modulus": 35e3, "absorber_force": 4.4e3, "absorber_length": 1.75}
    drawn = doubt(inputs, FallPoints(4.0, 2.0), draws=256, levels=(0.5,))
    ratio = drawn.spread["average_force"][0, 0] / drawn.spread["peak_force"][0, 0]
    assert ratio == pytest.approx(0.875, abs=0.02)
    assert absorber_force(absorber).low < 4.4e3 < absorber_force(absorber).high


def test_some_absorbers_of_the_set_pass_the_limit_of_6_kn_as_measured() -> None:
    """2 of 10 models went above it (Carrion 2020, 2021: 20 %)."""
    absorber = part_sets(PartKind.ABSORBER)["EN 355"].figures
    inputs = {"mass": 100.0, "modulus": 35e3, "absorber_force": absorber["force"].value, "absorber_length": 1.75}
    drawn = doubt(inputs, FallPoints(4.0, 2.0), draws=512, tests={"limit": lambda out, _: out["peak_force"] <= 6000.0})
    assert 0.01 < 1 - float(drawn.shares["limit"].share[0]) < 0.40


@pytest.mark.parametrize("fast", [10e3, 30e3])
def test_solid_goes_to_its_slow_spring_and_to_both_as_it_relaxes_at_once_or_never(fast: float) -> None:
    """Limits of the standard linear solid as the relaxation time goes to 0 and to infinity.

    In between the peak may lie below both: what the dashpot takes up does not come back.
    """
    tau = np.array([1e-7, 1e-5, 0.05, 0.2, 1.0, 1e5, 1e7])
    caught = catch(Chain(100.0, 2.0, 28e3 / 4, fast / 4, tau))
    assert caught.peak_force[0] == pytest.approx(elastic(28e3, 100.0, 4.0, 2.0), rel=1e-4)
    assert caught.peak_force[-1] == pytest.approx(elastic(28e3 + fast, 100.0, 4.0, 2.0), rel=1e-4)
    assert (caught.peak_force <= caught.peak_force[-1] * (1 + 1e-4)).all()
    assert (caught.stop_distance <= caught.stop_distance[0] * (1 + 1e-4)).all()
