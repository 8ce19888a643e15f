"""Figures stay in the unit of the law."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.errors import QuantityError, RulesError
from ropewright.quantity import Dimension
from ropewright.rules.figure import NEGATED, OPERATORS, both_units, meets, read_figure


@pytest.mark.parametrize(
    ("text", "dimension", "number", "unit", "si"),
    [
        ("6 ft", Dimension.LENGTH, 6.0, "ft", 1.8288),
        ("1,800 lbf", Dimension.FORCE, 1800.0, "lbf", 8006.7989),
        ("22.2 kN", Dimension.FORCE, 22.2, "kN", 22200.0),
        ("4:12", Dimension.ANGLE, 4.0, ":12", 18.43494882),
        ("5 %", Dimension.RATIO, 5.0, "%", 0.05),
        (2, Dimension.RATIO, 2.0, "", 2.0),
        ("10 years", Dimension.TIME, 10.0, "years", 3650 * 86400.0),
        ("36 in2", Dimension.AREA, 36.0, "in2", 0.02322576),
    ],
)
def test_figure_keeps_number_and_unit_of_the_law(
    text: object, dimension: Dimension, number: float, unit: str, si: float
) -> None:
    figure = read_figure(text, dimension, "value")
    assert (figure.number, figure.unit) == (number, unit)
    assert figure.value == pytest.approx(si, rel=1e-8)
    assert figure.in_law_unit(figure.value) == pytest.approx(number, rel=1e-12)


def test_figure_of_two_units_is_refused() -> None:
    with pytest.raises(RulesError, match="one number with one unit"):
        read_figure("5 ft 6 in", Dimension.LENGTH, "value")


def test_figure_without_its_unit_is_refused() -> None:
    with pytest.raises(QuantityError, match="with its unit"):
        read_figure("6", Dimension.LENGTH, "value")


def test_six_feet_in_metres_is_six_feet() -> None:
    six = read_figure("6 ft", Dimension.LENGTH, "value")
    assert six.is_met("<=", 1.8288)
    assert six.is_met(">=", 6 * 0.3048)
    assert not six.is_met("<", 1.8288)


def test_guard_is_a_billionth() -> None:
    assert meets(6 * (1 + 9e-10), "<=", 6.0)
    assert not meets(6 * (1 + 2e-9), "<=", 6.0)


@given(st.floats(0, 1e6), st.floats(0, 1e6), st.sampled_from(OPERATORS))
@settings(deadline=None, max_examples=100)
def test_operator_or_its_opposite_is_met_never_both(number: float, limit: float, operator: str) -> None:
    assert meets(number, operator, limit) != meets(number, NEGATED[operator], limit)


@given(st.floats(1e-3, 1e5), st.sampled_from(OPERATORS))
@settings(deadline=None, max_examples=200)
def test_shown_number_never_contradicts_the_answer(feet: float, operator: str) -> None:
    """Rounding goes to the unsafe side but not past the limit."""
    limit = read_figure("6 ft", Dimension.LENGTH, "value")
    shown = float(limit.show(feet * 0.3048, operator).removesuffix(" ft").replace(",", ""))
    assert meets(shown, operator, 6.0) == limit.is_met(operator, feet * 0.3048)
    toward = shown - feet if operator in ("<=", "<") else feet - shown
    assert -1e-9 * feet <= toward <= 1e-3 * feet


def test_both_systems_are_shown() -> None:
    assert both_units(read_figure("1,800 lbf", Dimension.FORCE, "value"), 8000.0, "<=") == "1,799 lbf (8.00 kN)"
    assert both_units(read_figure("6 kN", Dimension.FORCE, "value"), 6100.0, "<=") == "6.1 kN (1,380 lbf)"
    assert both_units(read_figure("50 kV", Dimension.VOLTAGE, "value"), 7200.0, "<=") == "7.2 kV"


def test_infinite_value_is_said_in_words() -> None:
    assert read_figure("6 ft", Dimension.LENGTH, "value").show(math.inf, "<=") == "without end"
