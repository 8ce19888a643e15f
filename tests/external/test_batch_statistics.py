"""Batch statistics against printed values.

- NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3, as a spreadsheet page reproduces it (read): n = 43.
- A rope-testing explainer (read): mean and mean less three standard deviations of five breaks.
- Exact factors from quadrature of the noncentral t distribution, four digits (derived apart from this program).
- Confidence of the mean less three standard deviations of five breaks (derived apart from this program).
- scipy.stats.nct, a general-purpose library.
- Grubbs' test: eight mass-spectrometer readings of Tietjen and Moore (1972) as the e-Handbook, 1.3.5.17.1, works them,
  from memory: G = 2.4687; critical 2.032 one-sided at 5 %, which is the two-sided value at 10 %.
"""

from __future__ import annotations

import math

import pytest
from scipy.stats import nct, norm

from ropewright.rope import batch
from ropewright.rope.batch import batch_test, tolerance_confidence, tolerance_factor

FIVE_BREAKS = [6500.0, 6750.0, 6675.0, 7005.0, 6925.0]

FACTORS = [
    (3, 6.155, 7.656, 10.553, 23.896),
    (5, 3.407, 4.203, 5.741, 8.939),
    (6, 3.006, 3.708, 5.062, 7.335),
    (10, 2.355, 2.911, 3.981, 5.074),
    (20, 1.926, 2.396, 3.295, 3.832),
    (30, 1.777, 2.220, 3.064, 3.447),
    (50, 1.646, 2.065, 2.862, 3.125),
]


def test_five_breaks_as_printed() -> None:
    test = batch_test(FIVE_BREAKS)
    assert test.mean == 6771
    assert test.sd == pytest.approx(200.98, abs=0.005)
    assert test.three_sigma == pytest.approx(6168, abs=0.5)
    assert test.tolerance == pytest.approx(5617, abs=0.5)
    assert batch_test(FIVE_BREAKS, coverage=0.90).tolerance == pytest.approx(6086.3, abs=0.05)


@pytest.mark.parametrize(("coverage", "confidence"), [(0.90, 0.924), (0.95, 0.854), (0.99, 0.653), (0.9987, 0.413)])
def test_confidence_of_three_sigma_from_five(coverage: float, confidence: float) -> None:
    assert batch_test(FIVE_BREAKS, coverage=coverage).three_sigma_confidence == pytest.approx(confidence, abs=6e-4)


@pytest.mark.parametrize("row", FACTORS, ids=lambda row: f"n = {row[0]}")
def test_factors_to_the_digits_given(row: tuple[float, ...]) -> None:
    n, *factors = row
    asked = [(0.90, 0.95), (0.95, 0.95), (0.99, 0.95), (0.99, 0.99)]
    for (coverage, confidence), factor in zip(asked, factors, strict=True):
        assert tolerance_factor(int(n), coverage, confidence) == pytest.approx(factor, abs=6e-4)


def test_handbook_approximation_is_near_the_exact_factor() -> None:
    n, z_p, z_c = 43, norm.ppf(0.90), norm.ppf(0.99)
    a, b = 1 - z_c**2 / (2 * (n - 1)), z_p**2 - z_c**2 / n
    assert (z_p + math.sqrt(z_p**2 - a * b)) / a == pytest.approx(1.8751896, rel=1e-7)  # as printed
    assert tolerance_factor(n, 0.90, 0.99) == pytest.approx(1.8751896, rel=1e-3)


@pytest.mark.parametrize("n", [2, 7, 150])
def test_factor_is_that_of_the_library(n: int) -> None:
    shift = norm.ppf(0.99) * math.sqrt(n)
    assert tolerance_factor(n, 0.99, 0.95) == pytest.approx(nct.ppf(0.95, n - 1, shift) / math.sqrt(n), rel=1e-9)
    assert tolerance_confidence(n, 0.99, 3.0) == pytest.approx(nct.cdf(3.0 * math.sqrt(n), n - 1, shift), rel=1e-9)


def test_outlier_of_the_handbook(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batch, "OUTLIER_RISK", 0.10)
    found = batch_test([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]).outlier
    assert found is not None
    assert found.value == 245.57
    assert found.distance == pytest.approx(2.4687, abs=1e-4)  # printed cut off, not rounded
    assert found.critical == pytest.approx(2.032, abs=5e-4)
    assert found.stands_out
