"""Days are read as year-month-day; what may mean two days is never guessed. ISO 8601, calendar dates."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.errors import InputError
from ropewright.store.day import read_day, read_past_day

REFUSED = [
    ("3/4/2026", "2026-04-03 or 2026-03-04, whichever is meant"),
    ("31/12/2025", "write 2025-12-31 if that is meant"),
    ("12-31-2025", "write 2025-12-31 if that is meant"),
    ("4.4.2026", "write 2026-04-04 if that is meant"),
    ("2026/4/3", "write 2026-04-03 if that is meant"),
    ("03/04/26", "year-month-day, such as"),
    ("2026-02-30", "there is no such day"),
    ("20260403", "year-month-day, such as"),
    ("46000", "year-month-day, such as"),
    ("", "year-month-day, such as"),
    ("0026-01-01", "from 1950-01-01 on"),
    ("2026-W10-1", "year-month-day, such as"),
    ("\N{FULLWIDTH DIGIT ONE}2/31/2025", "year-month-day, such as"),
]


@pytest.mark.parametrize(("text", "says"), REFUSED, ids=[text or "blank" for text, _ in REFUSED])
def test_other_ways_of_writing_a_day_are_refused_with_what_they_may_mean(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_day(text, "date")


@given(st.dates(min_value=date(1950, 1, 1), max_value=date(2100, 1, 1)))
def test_every_day_comes_back_as_it_was_written(day: date) -> None:
    assert read_day(f" {day.isoformat()} ", "date") == day


@given(st.text(max_size=60) | st.integers() | st.none())
def test_anything_else_is_refused_and_never_breaks(text: object) -> None:
    try:
        day = read_day(text, "date")
    except InputError:
        return
    assert isinstance(text, str)
    assert text.strip() == day.isoformat()


def test_a_day_that_is_yet_to_come_is_refused() -> None:
    with pytest.raises(InputError, match="yet to come; give one up to 2026-06-01"):
        read_past_day("2026-06-02", "date", date(2026, 6, 1))
