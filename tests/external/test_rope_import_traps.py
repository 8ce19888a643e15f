"""Misprints that stand in published rope tables: each must be found, and nothing beside it.

Sources: a rope distributor's table (dropped digits); a reference site, polyester page (a column slipped by one
row); data set 'ropes' of the R package plsdepot 0.3.0 (an impossible mass); UFC 4-159-03 Table 6-8 (a misprinted
kip figure); a physics textbook's worked example 14.2, p. 293, as its companion notebook prints it (nylon stiffer than
steel). All read.
"""

import math

import pytest

from ropewright.errors import InputError
from ropewright.quantity import Range
from ropewright.rope import RopeRow, check_rope_row, check_rope_table, double_braid_nylon, stiffness_of
from ropewright.rope.rowcheck import columns_agree, fill_factor, printed_number

LBF, LB, FOOT, INCH = 4.4482216152605, 0.45359237, 0.3048, 0.0254
KIP = 1000 * LBF


def printed_row(label, inches, text):
    return RopeRow(label, inches * INCH, printed_number(text)[0] * LBF, strength_printed=text)


MANILA = [
    printed_row(f"manila {s}", d, t)
    for s, d, t in [("3/16", 0.1875, "4.06"), ("1/4", 0.25, "540"), ("5/16", 0.3125, "900")]
]
NYLON = [
    printed_row(f"nylon {s}", d, t)
    for s, d, t in [("1-1/16", 1.0625, "26000"), ("1-1/8", 1.125, "29,80"), ("1-1/4", 1.25, "33800")]
]


@pytest.mark.parametrize(("table", "bad", "likely"), [(MANILA, "manila 3/16", 406), (NYLON, "nylon 1-1/8", 29800)])
def test_dropped_digits_are_found_and_the_likely_figure_offered(table, bad, likely):
    (fault,) = check_rope_table(table)
    assert (fault.label, fault.field) == (bad, "strength")
    assert fault.likely / LBF == pytest.approx(likely)


#: Size, lb/ft, kg/m of the polyester page from 1-1/4 in on.
SLIPPED = [
    ("1-1/4", 1.25, 0.465, 0.692),
    ("1-3/8", 1.375, 0.465, 0.759),
    ("1-1/2", 1.5, 0.51, 0.997),
    ("1-5/8", 1.625, 0.67, 1.16),
    ("1-3/4", 1.75, 0.78, 1.35),
    ("2", 2.0, 0.91, 1.74),
]


def test_a_column_that_slipped_one_row_is_found_from_where_it_slipped():
    rows = [RopeRow(s, d * INCH, mass=lb * LB / FOOT, mass_again=kg) for s, d, lb, kg in SLIPPED]
    faulty = [fault.label for row in rows for fault in check_rope_row(row)]
    assert faulty == ["1-3/8", "1-1/2", "1-5/8", "1-3/4", "2"]


def test_the_slipped_column_is_the_one_in_pounds():
    """Turned to kg/m it repeats the row before: 0.692, 0.692, 0.759, 0.9971, 1.161, 1.354."""
    turned = [lb * LB / FOOT for _, _, lb, _ in SLIPPED]
    assert turned == pytest.approx([0.692, 0.692, 0.759, 0.9971, 1.161, 1.354], rel=1e-3)


@pytest.mark.parametrize(
    ("millimetres", "grams", "fill", "faulty"),
    [(10.5, 71, 0.7193, False), (11.0, 58, 0.5354, True), (8.9, 52, 0.7332, False)],
)
def test_fill_of_sheathed_core_finds_the_bad_row_of_the_open_data(millimetres, grams, fill, faulty):
    mass, diameter = grams / 1000, millimetres / 1000
    assert fill_factor(mass, diameter, 1140.0) == pytest.approx(fill, rel=1e-3)
    row = RopeRow("row", diameter, mass=mass, fibre="nylon", construction="sheathed core")
    assert bool(check_rope_row(row)) is faulty


def test_the_misprinted_stiffness_of_the_mooring_table_is_not_in_ours():
    """1.8 in: 417.0 kip is printed beside 17.32e5 N, which is 389.4 kip, as 3.54 times its 110 kip is."""
    in_kip = 17.32e5 / KIP
    assert in_kip == pytest.approx(389.37, rel=1e-4)
    assert not columns_agree(417.0, in_kip)
    size = next(s for s in double_braid_nylon() if s.diameter == pytest.approx(1.8 * INCH))
    assert size.stiffness.value.likely / KIP == pytest.approx(in_kip, rel=2e-3)
    assert size.stiffness.value.likely / size.strength.value.likely == pytest.approx(3.54, rel=2e-3)


def test_a_textbook_nylon_stiffer_than_steel_is_refused():
    """E = 4.8e11 Pa, d = 6 mm: 100 N over 4.5 m would stretch 33 um; at 4.8e9 Pa, 3.3 mm."""
    section = math.pi * 0.006**2 / 4
    assert 100 * 4.5 / (4.8e11 * section) == pytest.approx(3.315728e-5, rel=1e-6)
    with pytest.raises(InputError, match="no fibre is stiffer than 150 GPa"):
        stiffness_of("nylon", "laid", "static", 0.006, given=Range.exact(4.8e11 * section))
    assert check_rope_row(RopeRow("textbook", 0.006, stiffness=4.8e11 * section))
    right = stiffness_of("nylon", "laid", "static", 0.006, given=Range.exact(4.8e9 * section))
    assert 100 * 4.5 / right.arrest.likely == pytest.approx(3.315728e-3, rel=1e-6)
