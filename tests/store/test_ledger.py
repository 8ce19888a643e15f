"""What is appended stays, in order, chained; and states follow from it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from ropewright.errors import InputError
from ropewright.store.entry import Draft, Entry, State
from ropewright.store.opening import open_record

NOW = datetime(2030, 5, 1, 12, 0, tzinfo=UTC)


def counting(state: State | None, entry: Entry) -> State:
    seen = 1 if state is None else int(state.body["seen"]) + 1  # type: ignore[arg-type]
    return State(entry.subject, entry.kind, entry.body.get("due"), entry.subject.lower(), {"seen": seen})  # type: ignore[arg-type]


def record(tmp_path: Path):
    return open_record(tmp_path / "r.db", folds={"gear": counting}, clock=lambda: NOW)


def test_states_follow_and_entries_chain(tmp_path: Path) -> None:
    kept = record(tmp_path)
    kept.write(lambda _: [Draft("gear.bought", "gear/R-1", "Ann", {"length_m": 30.0, "due": "2030-06-01"})])
    kept.write(lambda _: [Draft("gear.washed", "gear/R-1", "Ann", {}), Draft("gear.bought", "gear/R-2", "Bo", {})])
    with kept.read() as view:
        rows = list(view.entries())
        assert [row.number for row in rows] == [1, 2, 3]
        assert [row.previous for row in rows[1:]] == [row.hash for row in rows[:-1]]
        assert view.state("gear/R-1") == State("gear/R-1", "gear.washed", None, "gear/r-1", {"seen": 2}, 2)
        assert view.head().count == 3


def test_nothing_is_written_when_one_draft_is_wrong(tmp_path: Path) -> None:
    kept = record(tmp_path)
    with pytest.raises(InputError, match="by: got ' '"):
        kept.write(lambda _: [Draft("gear.bought", "gear/R-1", "Ann", {}), Draft("gear.bought", "gear/R-2", " ", {})])
    with kept.read() as view:
        assert view.head().count == 0
        assert view.states("gear") == []
