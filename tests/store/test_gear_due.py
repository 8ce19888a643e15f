"""What is due on gear, by calendar arithmetic that a reader can check by hand; all gear is invented."""

from __future__ import annotations

from datetime import date

import pytest
from gear_shelf import NO_INTERVALS, Shelf, act, add, all_ok, yearly
from hypothesis import given
from hypothesis import strategies as st

from ropewright.errors import InputError
from ropewright.store.gear_actions import cut, inspect, record_fall, retire
from ropewright.store.gear_days import Span, after, read_made, read_span
from ropewright.store.gear_rope import CutPiece


def due(shelf: Shelf, tag: str) -> list[tuple[str, str]]:
    return [(row["what"], row["day"]) for row in shelf.piece(tag).due]


@pytest.mark.parametrize(
    ("day", "span", "end"),
    [
        ("2026-01-31", "1 month", "2026-02-28"),
        ("2023-12-31", "2 months", "2024-02-29"),
        ("2024-02-29", "1 year", "2025-02-28"),
        ("2026-11-28", "12 months", "2027-11-28"),
        ("2026-11-28", "30d", "2026-12-28"),
        ("2026-11-28", "2 weeks", "2026-12-12"),
    ],
)
def test_spans_end_on_the_calendar(day: str, span: str, end: str) -> None:
    assert after(date.fromisoformat(day), read_span(span, "x")).isoformat() == end


@given(st.dates(date(1990, 1, 1), date(2060, 1, 1)), st.integers(1, 400))
def test_months_never_run_past_the_day_of_the_month(day: date, months: int) -> None:
    end = after(day, Span(months, "month"))
    assert (end.year * 12 + end.month) - (day.year * 12 + day.month) == months
    assert end.day <= day.day


@pytest.mark.parametrize("bad", ["", "6", "0 months", "six months", "-1 year", "101 years", "1 fortnight", None])
def test_what_is_no_span_is_refused(bad: object) -> None:
    with pytest.raises(InputError):
        read_span(bad, "interval")


@pytest.mark.parametrize("bad", ["", "05/2024", "2024-13", "24", "2024-02-30", None])
def test_what_is_no_day_is_refused(bad: object) -> None:
    with pytest.raises(InputError, match=r"^made"):
        read_made(bad, "made")


def test_the_stricter_of_pack_and_maker_comes_first() -> None:
    shelf = Shelf()
    strict_maker = add(shelf, "grab", on="2026-01-15", intervals=yearly(), interval="6 months")
    strict_pack = add(shelf, "grab", on="2026-01-15", intervals=yearly("3 months"), interval="6 months")
    assert due(shelf, strict_maker) == [("inspect", "2026-07-15"), ("inspect", "2027-01-15")]
    assert due(shelf, strict_pack) == [("inspect", "2026-04-15"), ("inspect", "2026-07-15")]
    assert shelf.known[f"gear/{strict_pack}"].due == "2026-04-15"


def test_never_inspected_gear_counts_from_the_earliest_day_known() -> None:
    shelf = Shelf()
    tag = add(shelf, "grab", wear="good", bought="2023-03-01", first_use="2023-04-01", interval="1 year")
    assert due(shelf, tag) == [("inspect", "2024-03-01")]


def test_an_inspection_told_late_does_not_undo_a_later_one() -> None:
    shelf = Shelf()
    tag = add(shelf, "grab", on="2025-01-01", interval="1 year")
    inspect(shelf, tag, all_ok("grab"), act(on="2026-06-01"))
    inspect(shelf, tag, all_ok("grab"), act(on="2025-06-01"))
    assert due(shelf, tag) == [("inspect", "2027-06-01")]


def test_service_life_counts_from_making_and_from_first_use() -> None:
    shelf = Shelf()
    told = {"made": "2020-05", "first_use": "2021-07-01", "wear": "good"}
    tag = add(shelf, "harness", life_by_age="10 years", life_by_use="5 years", **told)
    assert [row for row in due(shelf, tag) if row[0] == "retire"] == [
        ("retire", "2026-07-01"),
        ("retire", "2030-05-01"),
    ]


def test_life_in_use_has_not_begun_before_the_first_use() -> None:
    shelf = Shelf()
    tag = add(shelf, "harness", life_by_use="5 years", life_by_age="no limit")
    assert [row for row in due(shelf, tag) if row[0] == "retire"] == []


def test_a_life_that_nobody_told_is_asked_and_never_made_up() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", made="1990", life_by_age=" ")
    assert [row for row in due(shelf, tag) if row[0] == "retire"] == []
    assert any(
        asked.startswith("service life") and "remembered" in asked and "not counted" in asked
        for asked in shelf.piece(tag).asks
    )


def test_a_life_without_the_day_it_counts_from_is_asked() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", life_by_age="10 years", bought="2020-01-01")
    assert ("retire", "2030-01-01") in due(shelf, tag)  # it was made no later than it was bought
    assert any(asked.startswith("day it was made") for asked in shelf.piece(tag).asks)


@pytest.mark.parametrize(
    ("told", "asked"),
    [
        ({"interval": " "}, "interval of inspection"),
        ({"wear": " "}, "falls"),
        ({"wear": " "}, "condition"),
        ({"wear": " "}, "sun"),
    ],
)
def test_what_nobody_told_is_asked(told: dict[str, str], asked: str) -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", intervals=NO_INTERVALS, **told)
    assert any(one.startswith(asked) for one in shelf.piece(tag).asks)
    assert "to-ask" in shelf.known[f"gear/{tag}"].words


def test_nothing_is_asked_of_gear_that_is_known() -> None:
    shelf = Shelf()
    assert shelf.piece(add(shelf, "rope")).asks == []
    assert shelf.piece(add(shelf, "bag")).asks == []


def test_what_is_quarantined_waits_for_a_decision_and_what_is_out_for_good_for_nothing() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", interval="1 year", length_m="60 m")
    record_fall(shelf, act(on="2026-11-20"), tags=[tag])
    assert due(shelf, tag)[0] == ("decide", "2026-11-20")
    retire(shelf, [tag], "arrested a fall", act())
    assert (due(shelf, tag), shelf.known[f"gear/{tag}"].due) == ([], None)


def test_pieces_of_a_rope_keep_its_rhythm() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", on="2026-01-15", intervals=yearly(), interval="2 years", length_m="60 m")
    cut(shelf, tag, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act())
    assert due(shelf, "R-002")[0] == ("inspect", "2027-01-15")
