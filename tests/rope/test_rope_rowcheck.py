import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.errors import InputError
from ropewright.rope import (
    RopeRow,
    check_rope_row,
    check_rope_table,
    check_stiffness,
    stiffness_from_elongation,
    stiffness_from_impact_force,
    three_strand,
)
from ropewright.rope.rowcheck import columns_agree, printed_number


def clean_rows(table, fibre):
    return [
        RopeRow(
            f"{fibre} {size.diameter:.4f}", size.diameter, size.strength.value.likely, fibre=fibre, construction="laid"
        )
        for size in three_strand(table)[fibre]
    ]


@pytest.mark.parametrize("table", ["reference_pages", "distributor"])
def test_our_own_tables_pass_their_own_checks(table):
    for fibre in three_strand(table):
        assert check_rope_table(clean_rows(table, fibre)) == ()


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 9), st.sampled_from([0.01, 0.1, 10.0, 100.0]))
def test_a_dropped_or_added_digit_is_found_in_any_row(at, factor):
    rows = clean_rows("reference_pages", "nylon")
    bad = rows[at]
    rows[at] = RopeRow(bad.label, bad.diameter, bad.strength * factor)
    faults = check_rope_table(rows)
    assert [fault.label for fault in faults] == [bad.label]
    assert faults[0].likely == pytest.approx(bad.strength)


def test_a_row_without_neighbours_is_not_judged_by_them():
    assert check_rope_row(RopeRow("alone", 0.012, 4.0)) == ()


def test_a_strength_of_zero_is_far_from_its_neighbours():
    rows = clean_rows("reference_pages", "nylon")
    (fault,) = check_rope_row(RopeRow("zero", 0.012, 0.0), neighbours=rows[:2])
    assert fault.likely is None


@pytest.mark.parametrize(
    ("text", "formed"), [("29,800", True), ("5670", True), ("1,234,567.5", True), ("29,80", False), ("2,9800", False)]
)
def test_a_thousands_comma_stands_before_three_digits(text, formed):
    assert printed_number(text)[1] is formed


def test_text_without_a_number_is_a_programming_mistake():
    with pytest.raises(ValueError, match="could not convert"):
        printed_number("n/a")


def test_columns_may_differ_by_three_percent():
    assert columns_agree(1.00, 1.03)
    assert not columns_agree(1.00, 1.04)


@pytest.mark.parametrize(("grams", "faulty"), [(65, False), (85, False), (110, True), (40, True)])
def test_fill_of_two_fibres_is_judged_between_their_densities(grams, faulty):
    """At 10.5 mm, 65 g/m fills 0.66 of solid nylon and 0.54 of solid polyester; 85 g/m 0.86 and 0.71: both may be."""
    fibre = "nylon core with polyester sheath"
    row = RopeRow("10.5 mm", 0.0105, mass=grams / 1000, fibre=fibre, construction="sheathed core")
    assert bool(check_rope_row(row)) is faulty


@pytest.mark.parametrize("construction", ["laid", "unknown"])
def test_fill_is_only_judged_for_sheathed_core(construction):
    assert check_rope_row(RopeRow("11 mm", 0.011, mass=0.01, fibre="nylon", construction=construction)) == ()


def test_a_modulus_above_any_fibre_is_found():
    good, bad = (RopeRow("6 mm", 0.006, stiffness=modulus * 2.827e-5) for modulus in (4.8e9, 4.8e11))
    assert check_rope_row(good) == ()
    assert [fault.field for fault in check_rope_row(bad)] == ["stiffness"]


def test_stiffness_refuses_zero_and_more_than_any_fibre():
    with pytest.raises(InputError, match="above 0"):
        check_stiffness(0.0, 0.011, "rope.stiffness")
    with pytest.raises(InputError, match="no fibre is stiffer than 150 GPa"):
        check_stiffness(1e9, 0.011, "rope.stiffness")


@settings(deadline=None, max_examples=60)
@given(st.floats(40, 150), st.floats(0.1, 2.0), st.floats(1e3, 1e6))
def test_stiffness_comes_back_from_the_force_it_gives(mass, fall_factor, stiffness):
    weight = mass * 9.80665
    force = weight * (1 + (1 + 2 * fall_factor * stiffness / weight) ** 0.5)
    assert stiffness_from_impact_force(force, mass, fall_factor) == pytest.approx(stiffness, rel=1e-6)


@pytest.mark.parametrize(("force", "mass", "factor"), [(1000.0, 80.0, 1.0), (8e3, 0.0, 1.0), (8e3, 80.0, 0.0)])
def test_impossible_drops_are_programming_mistakes(force, mass, factor):
    with pytest.raises(ValueError, match=r"above (0|twice)"):
        stiffness_from_impact_force(force, mass, factor)


def test_impossible_elongation_is_a_programming_mistake():
    with pytest.raises(ValueError, match="above 0"):
        stiffness_from_elongation(1000.0, 0.0)
