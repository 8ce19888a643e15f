"""The page of comparisons is what its command makes now, for the part that needs no other program."""

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tools"))

import validation  # noqa: E402
from validation_cases.rows import Row, number, percent  # noqa: E402


def test_page_is_in_step() -> None:
    assert validation.is_in_step(), "docs/validation.md is stale: python tools/validation.py"


#: Worked examples that were collected for this program.
COLLECTED = (
    "A01 A03 A05 A07 A09 A10 A12 A15 A16 A18 B01 B03 B07 B08 B09 B11 B14 B15 B18 B19 B20 B21 C01 C03 C05 C07 C08 C12 "
    "D01 D03 D05 E01 E02 E03 E04 F01 F04 G01 G03 H01 I01 I02 J01"
)


def test_page_compares_every_worked_example_or_says_why_not() -> None:
    page = validation.PAGE.read_text(encoding="utf-8")
    assert [name for name in COLLECTED.split() if f"| {name}" not in page and f"- {name} " not in page] == []


def test_page_lists_misses_as_misses() -> None:
    rows = [row for section in validation.quick_sections() for row in section.rows]
    assert any(not row.agrees for row in rows)
    text = validation.quick_part()
    assert text.count("| miss |") == sum(not row.agrees for row in rows)


@pytest.mark.parametrize(
    ("theirs", "ours", "within", "error", "agrees"),
    [
        (100.0, 101.0, 0.0, 0.01, False),
        (100.0, 101.0, 0.02, 0.01, True),
        ((90.0, 110.0), 95.0, 0.0, 0.0, True),
        ((90.0, 110.0), 121.0, 0.0, 0.1, False),
        ((90.0, 110.0), 81.0, 0.0, -0.1, False),
        (0.0, 0.01, 0.02, 0.01, True),
    ],
)
def test_error_of_a_row(theirs, ours, within, error, agrees) -> None:  # type: ignore[no-untyped-def]
    row = Row("", "", theirs, ours, within)
    assert row.error == pytest.approx(error)
    assert row.agrees is agrees


@pytest.mark.parametrize(
    ("value", "text"), [(0.0, "0"), (1234.56, "1,234.6"), (0.0329, "0.0329"), (7.5, "7.5"), (121_000.0, "121,000")]
)
def test_numbers_have_five_digits(value: float, text: str) -> None:
    assert number(value) == text


@pytest.mark.parametrize(("error", "text"), [(1e-9, "0"), (0.176, "+18 %"), (-0.0034, "-0.34 %"), (2e-5, "+0.0020 %")])
def test_errors_have_two_digits(error: float, text: str) -> None:
    assert percent(error) == text
