"""Sobol indices against published closed forms and scipy's own estimator.

Ishigami function sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1 on (-pi, pi)^3: first order .314, .442, 0, total .558, .442,
.244 (Ishigami and Homma 1990; closed form in every text on sensitivity, from memory; recomputed below).
"""

import numpy as np
import pytest
from scipy import stats

from ropewright.arrest.chance import SEED, saltelli_draws, sobol_indices

A, B, PI = 7.0, 0.1, np.pi


def ishigami(x: np.ndarray) -> np.ndarray:
    return np.sin(x[..., 0]) + A * np.sin(x[..., 1]) ** 2 + B * x[..., 2] ** 4 * np.sin(x[..., 0])


def closed_form() -> tuple[np.ndarray, np.ndarray]:
    v1 = (1 + B * PI**4 / 5) ** 2 / 2
    v2 = A**2 / 8
    v13 = B**2 * PI**8 * (1 / 18 - 1 / 50)
    v = v1 + v2 + v13
    return np.array([v1, v2, 0.0]) / v, np.array([v1 + v13, v2, v13]) / v


def test_closed_form_is_the_published_one() -> None:
    first, total = closed_form()
    assert first == pytest.approx([0.314, 0.442, 0.0], abs=5e-4)
    assert total == pytest.approx([0.558, 0.442, 0.244], abs=5e-4)


def test_ishigami_indices_are_met_within_their_own_error() -> None:
    points = -PI + 2 * PI * saltelli_draws(4096, 3)
    found = sobol_indices(ishigami(points))
    first, total = closed_form()
    assert found.first == pytest.approx(first, abs=0.01)
    assert found.total == pytest.approx(total, abs=0.01)
    # independent resamples overstate the error of evenly spread draws, never understate it
    assert (np.abs(found.first - first) <= 2 * found.first_error).all()
    assert (np.abs(found.total - total) <= 2 * found.total_error).all()


def test_linear_model_gives_the_shares_of_its_variances() -> None:
    """Sum of a_i x_i with uniform x_i: both indices are a_i^2 over the sum of squares."""
    weights = np.array([5.0, 3.0, 1.0, 0.0])
    found = sobol_indices(saltelli_draws(1024, 4) @ weights)
    expected = weights**2 / (weights**2).sum()
    assert found.first == pytest.approx(expected, abs=0.01)
    assert found.total == pytest.approx(expected, abs=0.01)


def test_indices_agree_with_scipy() -> None:
    """The same estimators over draws of scipy's own."""
    ours = sobol_indices(ishigami(-PI + 2 * PI * saltelli_draws(2048, 3)))
    uniform = stats.uniform(-PI, 2 * PI)
    theirs = stats.sobol_indices(
        func=lambda x: ishigami(x.T), n=2048, dists=[uniform] * 3, rng=np.random.default_rng(SEED)
    )
    assert ours.first == pytest.approx(theirs.first_order, abs=0.02)
    assert ours.total == pytest.approx(theirs.total_order, abs=0.02)
