"""What a person may write for a quantity, and what is refused and how.

Expected values: exact definitions of foot, inch, pound and pound-force (NIST SP 811, from memory), and
plane trigonometry.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.errors import InputError, QuantityError
from ropewright.quantity import Dimension, Range, parse_quantity, parse_range

D = Dimension


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("6 ft", D.LENGTH, 6 * 0.3048),
        ("6'", D.LENGTH, 6 * 0.3048),
        ("6ft", D.LENGTH, 6 * 0.3048),
        ("5 ft 6 in", D.LENGTH, 1.6764),
        ("5' 6\"", D.LENGTH, 1.6764),
        ("5'6\"", D.LENGTH, 1.6764),
        ("5\u2032 6\u2033", D.LENGTH, 1.6764),
        ("5\u2019 6\u201d", D.LENGTH, 1.6764),
        ("5 ft 6-1/2 in", D.LENGTH, 1.6891),
        ("5-1/2 in", D.LENGTH, 0.1397),
        ("5 1/2 in", D.LENGTH, 0.1397),
        ("5\u00bd in", D.LENGTH, 0.1397),
        ("\u00bd in", D.LENGTH, 0.0127),
        ("\u22123 ft 6 in", D.LENGTH, -1.0668),
        ("+2 m", D.LENGTH, 2.0),
        ("1.8 m", D.LENGTH, 1.8),
        ("1.8\u00a0m", D.LENGTH, 1.8),
        (".5 m", D.LENGTH, 0.5),
        ("11 mm", D.LENGTH, 0.011),
        ("22 kN", D.FORCE, 22000.0),
        ("22 KN", D.FORCE, 22000.0),
        ("5,000 lbf", D.FORCE, 22241.1080763025),
        ("1,000,000 N", D.FORCE, 1e6),
        ("2e3 N", D.FORCE, 2000.0),
        ("100 kg", D.MASS, 100.0),
        ("310 lb", D.MASS, 140.6136347),
        ("35 deg", D.ANGLE, 35.0),
        ("35\u00b0", D.ANGLE, 35.0),
        ("12:12", D.ANGLE, 45.0),
        ("12 in 12", D.ANGLE, 45.0),
        ("100 %", D.ANGLE, 45.0),
        ("0:12", D.ANGLE, 0.0),
        ("10 kN/m", D.STIFFNESS, 1e4),
        ("500 lbf/ft", D.STIFFNESS, 500 * 4.4482216152605 / 0.3048),
        ("10 lbf/in", D.STIFFNESS, 10 * 4.4482216152605 / 0.0254),
        ("12 min", D.TIME, 720.0),
        ("7.2 kV", D.VOLTAGE, 7200.0),
        ("65 g/m", D.LINEAR_DENSITY, 0.065),
        ("1 lb/100 ft", D.LINEAR_DENSITY, 0.45359237 / 30.48),
        ("20 L", D.VOLUME, 0.02),
        ("12 m\u00b2", D.AREA, 12.0),
        ("-40 degF", D.TEMPERATURE, -40.0),
        ("212 \u00b0F", D.TEMPERATURE, 100.0),
        ("60 %", D.RATIO, 0.6),
        ("0.6", D.RATIO, 0.6),
        (0.6, D.RATIO, 0.6),
        (3, D.COUNT, 3.0),
    ],
    ids=str,
)
def test_what_a_person_writes_is_read_in_si(text: object, dimension: Dimension, expected: float) -> None:
    assert parse_quantity(text, dimension, "field") == pytest.approx(expected, rel=1e-15)


def test_pitch_is_rise_over_run() -> None:
    assert parse_quantity("8:12", D.ANGLE, "pitch") == pytest.approx(math.degrees(math.atan(8 / 12)), rel=1e-15)
    assert parse_quantity("8 in 12", D.ANGLE, "pitch") == parse_quantity("2:3", D.ANGLE, "pitch")


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("6", D.LENGTH, "'6'; give a length with its unit, such as '6 ft' or '1.8 m'"),
        (6, D.LENGTH, "got 6; give a length with its unit"),
        (6.5, D.FORCE, "give a force with its unit, such as '22 kN' or '5,000 lbf'"),
        (True, D.RATIO, "give a ratio"),
        (None, D.LENGTH, "missing; give a length"),
        ([], D.LENGTH, "give a length"),
        ("", D.LENGTH, "give a length"),
        ("6 feeet", D.LENGTH, "'feeet' is no known unit, the nearest is 'feet'"),
        ("6 furlongs", D.FORCE, "'furlongs' is no known unit, known are N, daN, kN, lbf, kgf"),
        ("6 ft", D.FORCE, "'ft' is the unit of a length, a force is due"),
        ("5000 lb", D.FORCE, "'lb' is a mass, say 'lbf' for a force"),
        ("500 kg", D.FORCE, "'kg' is a mass, say 'kN' or 'kgf' for a force"),
        ("230 lbf", D.MASS, "'lbf' is a force, say 'lb' or 'kg' for a mass"),
        ("500 lb/ft", D.STIFFNESS, "say 'lbf/ft' for a stiffness"),
        ("29,80 lbf", D.FORCE, "a comma may only part thousands"),
        ("1,5 m", D.LENGTH, "decimals take a point"),
        ("0,500 kN", D.FORCE, "decimals take a point"),
        ("5,0000 lbf", D.FORCE, "a comma may only part thousands"),
        ("1.2.3 m", D.LENGTH, "give a length"),
        ("6 ft 13 in", D.LENGTH, "give a length"),
        ("5.5 ft 6 in", D.LENGTH, "give a length"),
        ("nan m", D.LENGTH, "give a length"),
        ("inf m", D.LENGTH, "give a length"),
        (math.nan, D.RATIO, "give a ratio"),
        (math.inf, D.RATIO, "give a ratio"),
        (10**6000, D.COUNT, "more than 80 digits"),
        (2.5, D.COUNT, "give a whole number"),
        ("0.6 -", D.RATIO, "give a ratio"),
        ("1/0 in", D.LENGTH, "the lower part of a fraction can't be 0"),
        ("8:0", D.ANGLE, "the lower part of a fraction can't be 0"),
        ("8/12", D.ANGLE, "'8:12'"),
        ("\u0663 m", D.LENGTH, "give a length"),
        ("1e999 N", D.FORCE, "give a force"),
        ("9" * 81 + " m", D.LENGTH, "80 characters at most"),
    ],
    ids=lambda value: str(value)[:20] if not isinstance(value, int) or value < 99 else "huge",
)
def test_what_can_not_be_read_says_what_would_be_right(text: object, dimension: Dimension, says: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, dimension, "line[0].length")
    assert str(caught.value).startswith("line[0].length: ")
    assert says in str(caught.value)


def test_a_long_value_is_cut_in_the_message() -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity("9" * 100_000, D.LENGTH, "f")
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("4 kN", Range(4000, 4000, 4000)),
        ("4 kN to 6 kN", Range(4000, 5000, 6000)),
        ("4 kN to 4.5 kN to 6 kN", Range(4000, 4500, 6000)),
        ("  4 kN   to  6 kN ", Range(4000, 5000, 6000)),
    ],
)
def test_a_range_takes_one_two_or_three_values(text: str, expected: Range) -> None:
    assert parse_range(text, D.FORCE, "f") == expected


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("6 kN to 4 kN", "put the lowest value of a range first"),
        ("4 kN to 7 kN to 6 kN", "put the lowest value of a range first"),
        ("1 kN to 2 kN to 3 kN to 4 kN", "'low to likely to high', each with its unit"),
        ("4 to 6 kN", "got '4'"),
        ("4 kN to", "give a force"),
        ("x" * 500, "80 characters at most"),
    ],
)
def test_a_range_out_of_order_or_without_units_is_refused(text: str, says: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_range(text, D.FORCE, "f")
    assert says in str(caught.value)


def test_a_bare_range_is_right_for_a_ratio() -> None:
    assert parse_range("50 % to 0.7", D.RATIO, "f") == Range(0.5, 0.6, 0.7)
    assert parse_range(0.5, D.RATIO, "f").is_exact


@pytest.mark.parametrize("ends", [(2.0, 1.0, 3.0), (1.0, 4.0, 3.0), (math.nan, 1.0, 2.0), (1.0, 2.0, math.nan)])
def test_range_refuses_ends_out_of_order(ends: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="ordered low, likely, high"):
        Range(*ends)


@given(st.integers(0, 10**6), st.integers(0, 999))
@settings(max_examples=100, deadline=None)
def test_feet_equal_metres(whole: int, thousandths: int) -> None:
    """The same length written both ways is the same float, to the last bit."""
    feet = f"{whole}.{thousandths:03d}"
    metres = (whole * 1000 + thousandths) * 3048
    as_metres = f"{metres // 10**7}.{metres % 10**7:07d}"
    assert parse_quantity(f"{feet} ft", D.LENGTH, "f") == parse_quantity(f"{as_metres} m", D.LENGTH, "f")


@given(st.one_of(st.text(max_size=100), st.floats(), st.integers(), st.none(), st.lists(st.integers(), max_size=3)))
@settings(max_examples=300, deadline=None)
def test_nothing_but_a_finite_number_or_an_input_error_comes_out(text: object) -> None:
    for dimension in Dimension:
        for read in (parse_quantity, parse_range):
            try:
                value = read(text, dimension, "f")
            except InputError:
                continue
            assert math.isfinite(value if isinstance(value, float) else value.high)


@given(st.from_regex(r"-?[0-9]{1,3}[,./ 0-9-]{0,6}( ?(ft|in|m|kN|lb|lbf|:|'|\"|to) ?[0-9]{0,3}){0,3}", fullmatch=True))
@settings(max_examples=300, deadline=None)
def test_near_misses_raise_nothing_else(text: str) -> None:
    for dimension in (D.LENGTH, D.FORCE, D.MASS, D.ANGLE):
        try:
            parse_range(text, dimension, "f")
        except InputError as error:
            assert str(error).startswith("f: ")  # noqa: PT017 - the property is that nothing else is raised


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("80 kg to 120 kg", Range(80.0, 100.0, 120.0)),
        ("80 kg to 120 kg, uniform", Range(80.0, 100.0, 120.0, shape="uniform")),
        ("80 kg to 120 kg,normal ", Range(80.0, 100.0, 120.0, shape="normal")),
        ("80 kg to 90 kg to 120 kg, triangular", Range(80.0, 90.0, 120.0)),
        ("1,000 kg to 2,000 kg, Normal", Range(1000.0, 1500.0, 2000.0, shape="normal")),
    ],
)
def test_a_shape_may_follow_a_range(text, expected):
    assert parse_range(text, D.MASS, "f") == expected


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("80 kg to 120 kg, norml", "nearest is 'normal'"),
        ("80 kg to 120 kg, often", "known are 'triangular', 'uniform', 'normal'"),
        ("80 kg to 90 kg to 120 kg, normal", "likely value is midway"),
        ("80 kg, uniform", "give 'low to high, uniform'"),
    ],
)
def test_a_shape_that_does_not_fit_says_what_would(text, told):
    with pytest.raises(QuantityError, match=told):
        parse_range(text, D.MASS, "f")


def test_a_single_value_takes_no_shape():
    with pytest.raises(QuantityError):
        parse_quantity("80 kg, normal", D.MASS, "f")
