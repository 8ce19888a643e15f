"""A record in memory for tests of what is decided about gear, and short ways to fill one; all gear is invented."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from typing import Any

from ropewright.store.entry import Draft, Entry, Head, State
from ropewright.store.gear_actions import receive
from ropewright.store.gear_fields import read_told
from ropewright.store.gear_piece import Act, Piece, known_piece
from ropewright.store.gear_points import Answer, points_of, read_answers
from ropewright.store.gear_state import fold
from ropewright.store.gear_words import gear_kinds
from ropewright.store.reading import Decision, Record

TODAY = date(2026, 11, 28)
#: Intervals as a pack without a rhythm of its own gives them.
NO_INTERVALS: Mapping[str, Any] = {"pack": "made up", "edition": "", "compared": "", "inspect": [], "before_use": []}


def yearly(every: str = "12 months") -> dict[str, Any]:
    """Intervals as a pack with one rhythm gives them."""
    row = {"every": every, "document": "a made-up rule", "clause": "1", "status": "read", "note": ""}
    return {**NO_INTERVALS, "inspect": [row]}


class Shelf:
    """What the ledger does, in memory: entries in order, states folded from them, all of a write or nothing."""

    def __init__(self) -> None:
        self.ledger: list[Entry] = []
        self.known: dict[str, State] = {}

    @contextmanager
    def read(self) -> Iterator[Shelf]:
        yield self

    def write(self, decide: Decision) -> list[Entry]:
        drafts, known = list(decide(self)), dict(self.known)
        entries = [self._entry(draft, len(self.ledger) + place) for place, draft in enumerate(drafts, 1)]
        for entry in entries:
            if entry.subject.startswith("gear/"):
                known[entry.subject] = replace(fold(known.get(entry.subject), entry), number=entry.number)
        self.ledger += entries
        self.known = known
        return entries

    @staticmethod
    def _entry(draft: Draft, number: int) -> Entry:
        at = f"{draft.body['day']}T12:00:00Z"
        return Entry(number, at, at, draft.kind, draft.subject, draft.by, draft.body, "", "")

    def head(self) -> Head:
        return Head(len(self.ledger), "")

    def state(self, subject: str) -> State | None:
        return self.known.get(subject)

    def states(
        self,
        family: str,
        *,
        standing: str | None = None,
        due_by: str | None = None,
        search: str | None = None,
        after: str = "",
        limit: int | None = None,
    ) -> list[State]:
        words = (search or "").lower().split()
        found = [
            state
            for subject, state in sorted(self.known.items())
            if subject.startswith(f"{family}/")
            and (standing is None or state.standing == standing)
            and all(word in state.words for word in words)
            and (due_by is None or (state.due or "9") <= due_by)
        ]
        return found[:limit]

    def entries(self, *, subject: str | None = None, after: int = 0, limit: int | None = None) -> Iterator[Entry]:
        found = [one for one in self.ledger if one.number > after and subject in (None, one.subject)]
        return iter(found[:limit])

    def piece(self, tag: str) -> Piece:
        return known_piece(self, tag)


def act(by: str = "A. Example", on: str | date = TODAY) -> Act:
    return Act(by, on if isinstance(on, date) else date.fromisoformat(on), TODAY)


def add(
    shelf: Any,
    kind: str,
    tag: str | None = None,
    *,
    on: str | date = TODAY,
    intervals: Mapping[str, Any] = NO_INTERVALS,
    **told: str,
) -> str:
    """Take a piece in, new and in good order unless told otherwise, and return its tag."""
    what = gear_kinds()[kind]
    texts = {} if kind in ("kit", "bag") else {"wear": "new", "life_by_age": "no limit", "interval": "10 years"}
    texts |= told
    entries = receive(shelf, what, tag, read_told(what, texts), act(on=on), intervals=intervals)
    return entries[0].subject.partition("/")[2]


def all_ok(kind: str, *, before_use: bool = False, **other: str) -> tuple[Answer, ...]:
    """Answers to all points, ok unless told otherwise."""
    what = gear_kinds()[kind]
    answers = {point.key: "ok" for point in points_of(what, before_use=before_use)}
    return read_answers(
        what, answers | {key.replace("_", "-"): word for key, word in other.items()}, before_use=before_use
    )


def piece(record: Record, tag: str) -> Piece:
    """How a piece of a record stands."""
    with record.read() as view:
        return known_piece(view, tag)


def count(record: Record) -> int:
    """How many entries a record holds."""
    with record.read() as view:
        return view.head().count
