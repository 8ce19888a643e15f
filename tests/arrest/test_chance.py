"""Draws, shares with their interval, and what indices do at the edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from ropewright.arrest.chance import saltelli_draws, share_interval, sobol_draws, sobol_indices


def test_draws_fill_every_binary_interval_of_every_input_alike() -> None:
    draws = sobol_draws(64, 5)
    for column in draws.T:
        assert sorted((column * 64).astype(int)) == list(range(64))


def test_draws_are_the_same_each_run_and_others_with_another_seed() -> None:
    np.testing.assert_array_equal(sobol_draws(100, 3), sobol_draws(100, 3))
    assert not np.array_equal(sobol_draws(100, 3), sobol_draws(100, 3, seed=1))


@pytest.mark.parametrize("count", [1, 2, 3, 1000])
def test_any_number_of_draws_lies_strictly_between_the_ends(count: int) -> None:
    draws = sobol_draws(count, 2)
    assert draws.shape == (count, 2)
    assert ((draws > 0) & (draws < 1)).all()


def test_nothing_to_draw_gives_rows_without_columns() -> None:
    assert sobol_draws(7, 0).shape == (7, 0)
    with pytest.raises(ValueError, match="1 or more, got 0"):
        sobol_draws(0, 2)


@settings(deadline=None, max_examples=40)
@given(count=st.integers(1, 3000), share=st.floats(0, 1), confidence=st.sampled_from([0.9, 0.95, 0.99]))
def test_interval_is_the_exact_binomial_one(count: int, share: float, confidence: float) -> None:
    held = round(share * count)
    found = share_interval(held, count, confidence=confidence)
    expected = stats.binomtest(held, count).proportion_ci(confidence, method="exact")
    assert float(found.low) == pytest.approx(expected.low, abs=1e-9)
    assert float(found.high) == pytest.approx(expected.high, abs=1e-9)
    assert found.low <= found.share <= found.high


def test_all_of_many_is_still_no_certainty() -> None:
    """1,024 of 1,024: at least 0.025^(1/1024)."""
    found = share_interval(1024, 1024)
    assert float(found.low) == pytest.approx(0.025 ** (1 / 1024))
    assert float(found.high) == 1.0


@pytest.mark.parametrize(("held", "count", "confidence"), [(5, 4, 0.95), (-1, 4, 0.95), (0, 0, 0.95), (1, 2, 1.0)])
def test_impossible_share_is_refused(held: int, count: int, confidence: float) -> None:
    with pytest.raises(ValueError, match="a share is of 1 or more draws"):
        share_interval(held, count, confidence=confidence)


def test_each_mixed_set_differs_from_the_first_in_one_input() -> None:
    points = saltelli_draws(16, 3)
    a, b = points[0], points[1]
    for i in range(3):
        changed = (points[2 + i] != a).any(axis=0)
        assert changed.tolist() == [j == i for j in range(3)]
        np.testing.assert_array_equal(points[2 + i][:, i], b[:, i])


def test_output_that_does_not_vary_has_no_index() -> None:
    found = sobol_indices(np.full((4, 64), 7.3))
    assert found.first.tolist() == found.total.tolist() == [0.0, 0.0]


def test_draws_without_an_answer_are_left_out_with_their_partners() -> None:
    points = saltelli_draws(256, 2)
    output = points[..., 0] + 2 * points[..., 1]
    broken = output.copy()
    broken[2, :10] = np.inf
    broken[0, 20] = np.nan
    found = sobol_indices(broken)
    assert found.used == 245
    assert found.total == pytest.approx(sobol_indices(output).total, abs=0.05)


def test_too_few_answers_give_no_index() -> None:
    assert np.isnan(sobol_indices(np.full((4, 8), np.inf)).total).all()
