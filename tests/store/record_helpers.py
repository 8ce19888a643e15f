"""A small family of subjects for tests of the record: what is counted, and the drafts that make it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from ropewright.store.entry import Draft, Entry, JsonValue, State
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record

NOW = datetime(2030, 5, 1, 12, 0, tzinfo=UTC)


def counting(state: State | None, entry: Entry) -> State:
    """Count the entries, and keep the last kind and day."""
    seen = 1 if state is None else int(state.body["seen"]) + 1  # type: ignore[arg-type]
    due = entry.body.get("due")
    return State(entry.subject, entry.kind, due, entry.subject.lower(), {"seen": seen})  # type: ignore[arg-type]


FOLDS = {"gear": counting, "crew": counting}


def record_at(place: str | Path, now: datetime = NOW, *, create: bool = True) -> Ledger:
    return open_record(place, folds=FOLDS, clock=lambda: now, create=create)


def draft(tag: str = "R-1", kind: str = "gear.washed", by: str = "Ann", **body: JsonValue) -> Draft:
    return Draft(kind, f"gear/{tag}", by, body)


def filled(place: str | Path, count: int = 20) -> Ledger:
    """Record with so many entries on five subjects, an hour apart."""
    kept = record_at(place)
    bodies = [{"length_m": 30.5 + n, "note": f"nö {n}\n", "due": f"2030-0{1 + n % 9}-01"} for n in range(count)]
    hours = [NOW - timedelta(hours=count - n) for n in range(count)]
    kept.write(
        lambda _: [
            Draft("gear.washed", f"gear/R-{n % 5}", "Ann", body, at)
            for n, (body, at) in enumerate(zip(bodies, hours, strict=True))
        ]
    )
    return kept
