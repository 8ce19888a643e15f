"""How a value is shown: one system of units, few digits, rounded to the side that the reader needs.

Expected values: worked by hand from the exact foot (0.3048 m) and pound-force (4.4482216152605 N).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.quantity import Dimension, UnitSystem, parse_quantity, show, unit_symbol
from ropewright.quantity.units import KINDS

D = Dimension
US, METRIC = UnitSystem.US, UnitSystem.METRIC


@pytest.mark.parametrize(
    ("value", "dimension", "us", "metric"),
    [
        (1.8288, D.LENGTH, "6.0 ft", "1.83 m"),
        (0.6, D.LENGTH, "2.0 ft", "0.60 m"),
        (0.2, D.LENGTH, "7.9 in", "0.20 m"),
        (0.011, D.LENGTH, "0.43 in", "11.0 mm"),
        (0.05, D.LENGTH, "2.0 in", "50 mm"),
        (0.0, D.LENGTH, "0 ft", "0.00 m"),
        (-2.0, D.LENGTH, "-6.6 ft", "-2.00 m"),
        (1000.0, D.LENGTH, "3,281 ft", "1,000.00 m"),
        (22241.1080763025, D.FORCE, "5,000 lbf", "22.2 kN"),
        (6000.0, D.FORCE, "1,350 lbf", "6.00 kN"),
        (890.0, D.FORCE, "200 lbf", "0.89 kN"),
        (50.0, D.FORCE, "11 lbf", "50 N"),
        (100.0, D.MASS, "220 lb", "100 kg"),
        (0.5, D.MASS, "1.1 lb", "0.50 kg"),
        (33.690067, D.ANGLE, "33.7 deg", "33.7 deg"),
        (0.25, D.TIME, "0.25 s", "0.25 s"),
        (720.0, D.TIME, "12.0 min", "12.0 min"),
        (7200.0, D.VOLTAGE, "7.2 kV", "7.2 kV"),
        (240.0, D.VOLTAGE, "240 V", "240 V"),
        (0.065, D.LINEAR_DENSITY, "4.37 lb/100 ft", "65.0 g/m"),
        (0.02, D.VOLUME, "0.71 ft3", "20.0 L"),
        (20.0, D.TEMPERATURE, "68 degF", "20 degC"),
        (0.6, D.RATIO, "0.60", "0.60"),
        (3.0, D.COUNT, "3", "3"),
    ],
)
def test_values_are_shown_in_one_system(value: float, dimension: Dimension, us: str, metric: str) -> None:
    assert (show(value, dimension, US), show(value, dimension, METRIC)) == (us, metric)


@pytest.mark.parametrize(
    ("value", "toward", "shown"),
    [
        (0.1 + 0.2, "high", "0.30 m"),
        (0.1 + 0.2, "low", "0.30 m"),
        (0.3 - 1e-17, "low", "0.30 m"),
        (0.301, "high", "0.31 m"),
        (0.309, "low", "0.30 m"),
        (-0.301, "high", "-0.30 m"),
        (-0.301, "low", "-0.31 m"),
    ],
)
def test_rounding_goes_to_the_side_asked_and_ignores_float_noise(value: float, toward: str, shown: str) -> None:
    assert show(value, D.LENGTH, METRIC, toward=toward) == shown  # type: ignore[arg-type]


def test_limits_of_the_law_come_back_whole_from_either_side() -> None:
    """A figure that was read in feet or pounds is shown as it was written, however it is rounded."""
    for text, dimension in (("6 ft", D.LENGTH), ("3.5 ft", D.LENGTH), ("1,800 lbf", D.FORCE), ("310 lb", D.MASS)):
        value = parse_quantity(text, dimension, "f")
        shown = {show(value, dimension, US, toward=toward) for toward in ("nearest", "high", "low")}
        assert shown == {text if "." in text or dimension is not D.LENGTH else "6.0 ft"}


@pytest.mark.parametrize(
    ("inches", "toward", "shown"),
    [
        (66.0, "nearest", "5 ft 6 in"),
        (67.3, "high", "5 ft 7-1/2 in"),
        (67.3, "low", "5 ft 7-1/4 in"),
        (71.9, "high", "6 ft 0 in"),
        (5.5, "nearest", "5-1/2 in"),
        (0.25, "nearest", "1/4 in"),
        (60.5, "nearest", "5 ft 1/2 in"),
        (0.0, "nearest", "0 in"),
        (-66.0, "nearest", "-5 ft 6 in"),
    ],
)
def test_feet_and_inches_read_like_a_tape(inches: float, toward: str, shown: str) -> None:
    assert show(inches * 0.0254, D.LENGTH, US, toward=toward, style="feet-inches") == shown  # type: ignore[arg-type]


@pytest.mark.parametrize("pitch", ["0:12", "4:12", "6.5:12", "8:12", "12:12", "19.75:12"])
def test_a_roof_pitch_comes_back_as_it_was_written(pitch: str) -> None:
    angle = parse_quantity(pitch, D.ANGLE, "pitch")
    for toward in ("nearest", "high", "low"):
        assert show(angle, D.ANGLE, US, style="pitch", toward=toward) == pitch


def test_a_style_that_does_not_fit_falls_back_to_the_short_one() -> None:
    assert show(33.69, D.ANGLE, METRIC, style="pitch") == "33.7 deg"
    assert show(1.0, D.LENGTH, METRIC, style="feet-inches") == "1.00 m"
    assert show(89.0, D.ANGLE, US, style="pitch") == "89.0 deg"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_only_finite_values_can_be_shown(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        show(value, D.LENGTH, US)


def test_every_dimension_has_a_symbol_in_both_systems() -> None:
    for dimension in Dimension:
        for units in UnitSystem:
            symbol = unit_symbol(dimension, units)
            assert (symbol == "") == (dimension.si_unit == "-")
            assert not symbol or symbol in KINDS[dimension].units


#: Sizes that the job meets; nothing near the ends of what a float can hold.
_SIZES = st.floats(1e-3, 1e5) | st.floats(-1e5, -1e-3) | st.just(0.0)
_SHOWN = st.sampled_from([dimension for dimension in Dimension if dimension is not D.COUNT])


@given(_SIZES, _SHOWN, st.sampled_from(UnitSystem), st.sampled_from(["short", "feet-inches", "pitch"]))
@settings(max_examples=300, deadline=None)
def test_what_is_shown_reads_back_on_the_side_asked(
    value: float, dimension: Dimension, units: UnitSystem, style: str
) -> None:
    high = parse_quantity(show(value, dimension, units, toward="high", style=style), dimension, "f")  # type: ignore[arg-type]
    low = parse_quantity(show(value, dimension, units, toward="low", style=style), dimension, "f")  # type: ignore[arg-type]
    # pitch is known to nine digits, and turning degrees Fahrenheit passes through 32
    noise = 1e-7 if style == "pitch" else 1e-10 * max(abs(value), 100 if dimension is D.TEMPERATURE else 0)
    assert low - noise <= value <= high + noise
