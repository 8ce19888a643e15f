"""What is due of gear and people as a calendar file (iCalendar, RFC 5545), one all-day event for each thing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any
from uuid import NAMESPACE_URL, uuid5

from ropewright.findings import Source, SourceStatus
from ropewright.store.crew_state import crew_dues
from ropewright.store.entry import Entry, Head, State

if TYPE_CHECKING:
    from icalendar import Event

__all__ = ["calendar_bytes"]

_CAUTION = (
    "A planning aid: look gear over before each use; damaged or fallen-on gear is out of service at once, "
    "whatever a calendar says."
)


@dataclass(frozen=True, slots=True)
class _Due:
    """One thing that is due of one subject."""

    state: State
    title: str
    row: Any


def calendar_bytes(gear: Iterable[State], crew: Iterable[State], first: Entry, last: Entry) -> bytes:
    """Return the calendar, the same bytes for the same record.

    Parameters
    ----------
    gear, crew : iterable of State
        Pieces and people; those without anything due give no event.
    first, last : Entry
        Of the ledger: the hash of the first tells one record from another, so that a piece keeps its events when the
        file is read again; the last is what the calendar was made from.

    Returns
    -------
    bytes
        With CRLF, folded at 75 octets, UTF-8.
    """
    from icalendar import Calendar

    head = Head(last.number, last.hash)
    calendar = Calendar()
    calendar.add("prodid", "-//Ropewright//record of ropes, gear and people//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", "Ropewright: what is due")
    calendar.add("description", f"{_head_text(head)} {_CAUTION}")
    dues = sorted(_all_dues(gear, crew), key=lambda one: (one.row["day"], one.state.subject, one.row["what"]))
    earliest: dict[str, _Due] = {}
    for due in dues:
        earliest.setdefault(_uid(due, first), due)
    for uid, due in earliest.items():
        calendar.add_component(_event(uid, due, last))
    made: bytes = calendar.to_ical()
    return made


def _all_dues(gear: Iterable[State], crew: Iterable[State]) -> Iterator[_Due]:
    for state in gear:
        kind, tag = str(state.body["kind"]), state.subject.partition("/")[2]
        for row in state.body["due"]:  # type: ignore[union-attr]
            yield _Due(state, f"{tag} ({kind})", row)
    for state in crew:
        for row in crew_dues(state.body):
            # the code, not the name: calendars get passed on
            yield _Due(state, state.subject.partition("/")[2], row)


def _event(uid: str, due: _Due, last: Entry) -> Event:
    from icalendar import Event

    row, day = due.row, date.fromisoformat(due.row["day"])
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", datetime.fromisoformat(last.written))
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", f"{row['what']} {due.title}")
    asked = _asked_by(row)
    source = f"\nAsked for by: {asked}" if asked else ""
    event.add("description", f"{row['why']}{source}\n{_head_text(Head(last.number, last.hash))}\n{_CAUTION}")
    event.add("sequence", due.state.number)
    event.add("transp", "TRANSPARENT")
    event.add("categories", [due.state.subject.partition("/")[0]])
    return event


def _uid(due: _Due, first: Entry) -> str:
    """One and the same for one thing of one subject of one record, on whatever day it comes to be due."""
    return str(
        uuid5(NAMESPACE_URL, f"ropewright:{first.hash}/{due.state.subject}/{due.row['what']}/{_ground(due.row)}")
    )


def _ground(row: Any) -> str:
    """What tells two things of one kind apart, whatever the day: how often, or the life from when; who asks."""
    words = str(row["why"])
    told = {"inspect": words.partition(",")[0], "retire": words.partition(" ")[0], "decide": ""}
    return f"{_asked_by(row)}/{told.get(row['what'], words)}"


def _asked_by(row: Any) -> str:
    """Document and clause of who asks, marked where it was not read; empty if nobody does."""
    source = row["source"]
    return str(Source(source["document"], source["clause"], SourceStatus(source["status"]))) if source else ""


def _head_text(head: Head) -> str:
    return f"Made from a record of {head.count} entries, the last {head.hash}."
