"""Break tests of a batch: what holds for any loads."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.rope.batch import batch_test, tolerance_confidence, tolerance_factor

loads = st.lists(st.floats(1e3, 1e5), min_size=2, max_size=30)
shares = st.floats(0.5, 0.999)


@settings(max_examples=50, deadline=None)
@given(loads, st.floats(1e-3, 1e3))
def test_answers_scale_with_the_loads(breaks: list[float], factor: float) -> None:
    one, scaled = batch_test(breaks), batch_test([factor * load for load in breaks])
    assert scaled.three_sigma == pytest.approx(factor * one.three_sigma, rel=1e-6, abs=1e-6 * factor * one.mean)
    assert scaled.tolerance == pytest.approx(factor * one.tolerance, rel=1e-6, abs=1e-6 * factor * one.mean)


@settings(max_examples=50, deadline=None)
@given(loads, shares, shares)
def test_no_limit_is_negative_or_above_the_mean(breaks: list[float], coverage: float, confidence: float) -> None:
    test = batch_test(breaks, coverage=coverage, confidence=confidence)
    assert 0.0 <= test.three_sigma <= test.mean
    assert 0.0 <= test.tolerance <= test.mean * (1 + 1e-12) or confidence < 0.5
    assert test.minimum == min(breaks)


@settings(max_examples=50, deadline=None)
@given(st.integers(2, 200), shares, st.floats(0.5, 0.999))
def test_factor_and_confidence_undo_each_other(n: int, coverage: float, confidence: float) -> None:
    k = tolerance_factor(n, coverage, confidence)
    assert tolerance_confidence(n, coverage, k) == pytest.approx(confidence, abs=1e-8)


@settings(max_examples=50, deadline=None)
@given(st.integers(2, 100), shares, st.floats(0.51, 0.99))
def test_more_tests_more_share_and_more_confidence(n: int, coverage: float, confidence: float) -> None:
    k = tolerance_factor(n, coverage, confidence)
    assert tolerance_factor(n + 1, coverage, confidence) < k
    assert tolerance_factor(n, (1 + coverage) / 2, confidence) > k
    assert tolerance_factor(n, coverage, (1 + confidence) / 2) > k


def test_limit_covers_its_share_as_often_as_it_says() -> None:
    """Drawn from a normal batch, the limit lies under the true quantile in the stated share of the draws."""
    draws = np.random.default_rng(7).normal(30e3, 1e3, (4000, 8))
    k = tolerance_factor(8, 0.95, 0.90)
    limits = draws.mean(axis=1) - k * draws.std(axis=1, ddof=1)
    true = 30e3 - 1.6448536 * 1e3  # the normal quantile, from any table
    assert (limits <= true).mean() == pytest.approx(0.90, abs=4 * np.sqrt(0.09 / 4000))


def test_single_test_has_no_spread() -> None:
    test = batch_test([31.2e3])
    assert (test.sd, test.three_sigma, test.tolerance, test.outlier) == (None, None, None, None)
    assert test.minimum == test.mean == 31.2e3
    assert test.minimum_confidence == pytest.approx(0.01)
    assert test.is_few


def test_equal_loads_have_no_outlier() -> None:
    test = batch_test([30e3] * 6)
    assert test.outlier is None
    assert test.tolerance == test.three_sigma == 30e3


@pytest.mark.parametrize("breaks", [[], [0.0], [-1.0, 2.0], [float("nan")], [float("inf")]])
def test_loads_that_are_none_are_refused(breaks: list[float]) -> None:
    with pytest.raises(ValueError, match="break loads"):
        batch_test(breaks)


@pytest.mark.parametrize(("coverage", "confidence"), [(0.0, 0.9), (1.0, 0.9), (0.9, 0.0), (0.9, 1.0)])
def test_shares_out_of_range_are_refused(coverage: float, confidence: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        batch_test([1.0, 2.0], coverage=coverage, confidence=confidence)
