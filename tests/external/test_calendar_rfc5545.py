"""The calendar file obeys RFC 5545: lines (3.1), what a calendar and an event must have (3.6, 3.6.1), days (3.3.4).

A strict check of our own by the words of the standard, beside the parse of a library that did not write the check.
"""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from ropewright.sheets.due_calendar import calendar_bytes
from ropewright.store.entry import Entry, State


def an_entry(number: int, digest: str) -> Entry:
    return Entry(number, "2026-05-01T10:00:00.000000Z", "2026-05-01T10:00:00.000000Z", "gear.received", "gear/R-001",
                 "B. Example", {}, "0" * 64, digest * 32)  # fmt: skip


FIRST, LAST = an_entry(1, "ab"), an_entry(7, "cd")


def due(what: str = "inspect", day: str = "2026-08-01", why: str = "every 6 months, no inspection since 2026-02-01",
        source: str = "the maker, as told") -> dict[str, object]:  # fmt: skip
    asked = {"document": source, "clause": "", "status": "user"} if source else {}
    return {"what": what, "day": day, "why": why, "source": asked}


def gear(*rows: dict[str, object], tag: str = "R-001", number: int = 3) -> State:
    return State(f"gear/{tag}", "in service", None, "", {"kind": "rope", "due": list(rows)}, number)  # type: ignore[dict-item]


def person(**changes: object) -> State:
    need = {"number": 5, "on": "2026-05-02", "trigger": "systems", "note": "", "topics": [], "systems": []}
    ending = {"number": 4, "on": "2025-05-02", "topics": ["use"], "systems": [], "expires": "2027-05-02",
              "expires_by": "company rule 4"}  # fmt: skip
    body = {"name": "A. Example", "left": None, "needs": [{**need, "answered_by": None}], "trainings": [ending]}
    return State("crew/P-07", "to train anew", "2026-05-02", "", {**body, **changes}, 6)  # type: ignore[arg-type]


def unfolded(made: bytes) -> list[str]:
    """Content lines (3.1), each checked as it stands in the file."""
    assert made.endswith(b"\r\n")
    lines = made[:-2].split(b"\r\n")
    for line in lines:
        assert b"\n" not in line, "a bare line feed"
        assert b"\r" not in line, "a bare carriage return"
        assert len(line) <= 75, "longer than 75 octets"
    whole: list[bytes] = []
    for line in lines:
        if line[:1] in (b" ", b"\t"):
            whole[-1] += line[1:]
        else:
            whole.append(line)
    return [line.decode("utf-8") for line in whole]


NAME = re.compile(r"[A-Z0-9-]+(;[A-Z0-9-]+=[^:;]+)*:")


def check(made: bytes) -> list[dict[str, list[str]]]:
    """Check the file by the standard's rules and return its events: property, with parameters, to its values."""
    lines = unfolded(made)
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    events: list[dict[str, list[str]]] = []
    top: dict[str, list[str]] = {}
    here = top
    for line in lines[1:-1]:
        assert NAME.match(line), line
        assert not any(ord(sign) < 32 and sign != "\t" for sign in line), "a control character (3.1)"
        if line == "BEGIN:VEVENT":
            assert here is top, "an event in an event"
            here = {}
            events.append(here)
        elif line == "END:VEVENT":
            here = top
        else:
            name, _, value = line.partition(":")
            here.setdefault(name, []).append(value)
    assert top["VERSION"] == ["2.0"]
    assert len(top["PRODID"]) == 1
    for event in events:
        for name in ("UID", "DTSTAMP", "SUMMARY", "DESCRIPTION", "DTSTART;VALUE=DATE", "DTEND;VALUE=DATE"):
            assert len(event[name]) == 1, name
        assert re.fullmatch(r"\d{8}T\d{6}Z", event["DTSTAMP"][0])
        start, end = (date.fromisoformat(event[f"{name};VALUE=DATE"][0]) for name in ("DTSTART", "DTEND"))
        assert (end - start).days == 1, "the end of an all-day event is the day after (3.6.1)"
        for text in event["SUMMARY"] + event["DESCRIPTION"]:
            assert not re.search(r"(?<!\\)(?:\\\\)*[,;]", text), "a comma or semicolon that is not escaped (3.3.11)"
    assert len({event["UID"][0] for event in events}) == len(events)
    return events


def test_each_thing_that_is_due_is_one_all_day_event() -> None:
    events = check(
        calendar_bytes([gear(due(), due("retire", "2035-01-01", "made 2025-01-01", ""))], [person()], FIRST, LAST)
    )
    assert [(event["DTSTART;VALUE=DATE"][0], event["SUMMARY"][0]) for event in events] == [
        ("20260502", "train P-07"),
        ("20260801", "inspect R-001 (rope)"),
        ("20270502", "train P-07"),
        ("20350101", "retire R-001 (rope)"),
    ]


def test_the_library_reads_back_what_was_meant() -> None:
    row = due(why="every 6 months, with; a\\ trap " + "\u00f6" * 120)
    made = calendar_bytes([gear(row)], [], FIRST, LAST)
    check(made)
    calendar = Calendar.from_ical(made)
    (event,) = calendar.walk("VEVENT")
    assert calendar.errors == event.errors == []
    assert str(event["DESCRIPTION"]).startswith(str(row["why"]))
    assert event["DTSTART"].dt == date(2026, 8, 1)


def test_the_head_of_the_ledger_stands_in_every_event() -> None:
    made = calendar_bytes([gear(due())], [person()], FIRST, LAST)
    for event in check(made):
        assert f"record of 7 entries\\, the last {'cd' * 32}." in event["DESCRIPTION"][0]


def test_people_stand_in_it_by_their_codes_alone() -> None:
    assert b"A. Example" not in calendar_bytes([], [person()], FIRST, LAST)


def test_whoever_left_is_due_for_nothing() -> None:
    assert check(calendar_bytes([], [person(left="2026-05-03")], FIRST, LAST)) == []


def test_an_event_keeps_its_mark_when_its_day_moves_and_counts_up() -> None:
    """3.8.4.7 and 3.8.7.4: one and the same UID, a larger SEQUENCE."""
    (before,) = check(calendar_bytes([gear(due())], [], FIRST, LAST))
    moved = due(day="2027-02-01", why="every 6 months, since the inspection of 2026-08-01")
    (after,) = check(calendar_bytes([gear(moved, number=9)], [], FIRST, an_entry(9, "ef")))
    assert before["UID"] == after["UID"]
    assert int(before["SEQUENCE"][0]) < int(after["SEQUENCE"][0])
    (other,) = check(calendar_bytes([gear(due())], [], an_entry(1, "99"), LAST))
    assert other["UID"] != before["UID"], "another record's piece of the same tag"


def test_the_same_record_gives_the_same_bytes() -> None:
    one, two = (calendar_bytes([gear(due())], [person()], FIRST, LAST) for _ in "12")
    assert one == two


PRINTABLE = st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), max_size=150)


@settings(max_examples=60, deadline=None)
@given(PRINTABLE, PRINTABLE, st.dates(min_value=date(1950, 1, 1), max_value=date(2100, 1, 1)))
def test_whatever_people_write_stays_inside_its_event(why: str, source: str, day: date) -> None:
    made = calendar_bytes([gear(due(day=day.isoformat(), why=why, source=source))], [], FIRST, LAST)
    assert len(check(made)) == 1
    (event,) = Calendar.from_ical(made).walk("VEVENT")
    assert str(event["DESCRIPTION"]).startswith(why)


@pytest.mark.parametrize("trap", ["BEGIN:VEVENT", "END:VCALENDAR", "\\n", "X:1", "a\\;b", "\\\\n"])
def test_no_text_ends_an_event_or_begins_one(trap: str) -> None:
    made = calendar_bytes([gear(due(why=trap * 12))], [], FIRST, LAST)
    assert len(check(made)) == 1
    (event,) = Calendar.from_ical(made).walk("VEVENT")
    assert str(event["DESCRIPTION"]).startswith(trap * 12)
