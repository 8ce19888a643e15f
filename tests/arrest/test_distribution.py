"""Distributions of inputs against scipy's, and what none may be."""

import numpy as np
import pytest
from scipy import stats

from ropewright.arrest.distribution import (
    CutNormal,
    Distribution,
    Exact,
    Lognormal,
    Normal,
    Percentiles,
    Triangular,
    Uniform,
    distribution_of,
)
from ropewright.quantity import Range

EDGE = stats.norm.ppf(0.999)
SHARES = np.linspace(0.001, 0.999, 41)
CASES = [
    (Uniform(2.0, 5.0), stats.uniform(2.0, 3.0)),
    (Triangular(Range(2.0, 3.0, 7.0)), stats.triang(0.2, 2.0, 5.0)),
    (Triangular(Range(2.0, 2.0, 7.0)), stats.triang(0.0, 2.0, 5.0)),
    (Triangular(Range(2.0, 7.0, 7.0)), stats.triang(1.0, 2.0, 5.0)),
    (Normal(80.0, 12.0), stats.norm(80.0, 12.0)),
    (CutNormal(Range(60.0, 80.0, 100.0)), stats.truncnorm(-EDGE, EDGE, loc=80.0, scale=20.0 / EDGE)),
    (Lognormal(80.0, 1.25), stats.lognorm(np.log(1.25), scale=80.0)),
]


@pytest.mark.parametrize(("ours", "theirs"), CASES, ids=lambda case: type(case).__name__)
def test_quantiles_are_those_of_scipy(ours: Distribution, theirs: object) -> None:
    np.testing.assert_allclose(ours.at(SHARES), theirs.ppf(SHARES), rtol=1e-12)  # type: ignore[attr-defined]


@pytest.mark.parametrize("ours", [case[0] for case in CASES], ids=lambda case: type(case).__name__)
def test_ends_enclose_999_in_1000_draws(ours: Distribution) -> None:
    values = ours.at(SHARES)
    assert ours.ends.low <= values.min()
    assert values.max() <= ours.ends.high
    assert ours.ends.low < ours.ends.likely or ours.ends.likely == 2.0


def test_table_of_percentiles_is_met_and_goes_on_beyond() -> None:
    """Body mass of men of 20 to 64 years, NHANES 2009-2012, survey-weighted: 5 %, 50 %, 95 %."""
    mass = Percentiles({0.95: 124.2, 0.05: 62.3, 0.50: 86.4})
    assert mass.at([0.05, 0.50, 0.95]) == pytest.approx([62.3, 86.4, 124.2])
    assert mass.at(0.99) == pytest.approx(124.2 + 0.04 * (124.2 - 86.4) / 0.45)
    assert mass.at(0.01) < 62.3


def test_range_is_triangular_and_a_number_exact() -> None:
    assert distribution_of(Range(1.0, 2.0, 3.0)) == Triangular(Range(1.0, 2.0, 3.0))
    assert distribution_of(4) == Exact(4.0)
    assert distribution_of(Range.exact(np.inf)).ends.high == np.inf
    assert distribution_of(Normal(1.0, 0.1)) == Normal(1.0, 0.1)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Exact(np.nan),
        lambda: Uniform(3.0, 3.0),
        lambda: Uniform(0.0, np.inf),
        lambda: Triangular(Range.exact(3.0)),
        lambda: Triangular(Range(1.0, 2.0, np.inf)),
        lambda: Normal(1.0, 0.0),
        lambda: Normal(np.nan, 1.0),
        lambda: Lognormal(0.0, 1.5),
        lambda: Lognormal(5.0, 1.0),
        lambda: Percentiles({0.5: 1.0}),
        lambda: Percentiles({0.0: 1.0, 0.5: 2.0}),
        lambda: Percentiles({0.1: 3.0, 0.5: 2.0}),
        lambda: Percentiles({0.1: 1.0, 0.5: np.inf}),
    ],
)
def test_what_is_no_distribution_is_refused(make) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=r"not a distribution|must be a number"):
        make()


@pytest.mark.parametrize(("shape", "kind"), [("triangular", Triangular), ("uniform", Uniform), ("normal", CutNormal)])
def test_a_range_is_drawn_by_its_shape_and_never_beyond_its_ends(shape: str, kind: type) -> None:
    value = Range(60.0, 80.0, 100.0, shape=shape)
    found = distribution_of(value)
    assert isinstance(found, kind)
    drawn = found.at(np.linspace(1e-12, 1.0 - 1e-12, 201))
    assert (drawn >= 60.0).all()
    assert (drawn <= 100.0).all()
    assert drawn[100] == pytest.approx(80.0)
    assert (found.ends.low, found.ends.likely, found.ends.high) == (60.0, 80.0, 100.0)
