"""States made of many entries at once are those that each write made, for every family of subjects."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from ropewright.store.entry import Entry, State
from ropewright.store.folds import FOLDS_VERSION, ModuleFold, default_folds
from ropewright.store.gear_actions import give_out, inspect, quarantine_gear, receive, return_gear, start_use
from ropewright.store.gear_fields import read_told
from ropewright.store.gear_piece import Act
from ropewright.store.gear_points import points_of, read_answers
from ropewright.store.gear_use import Use
from ropewright.store.gear_words import read_kind
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record
from ropewright.store.stated import folded_strictly, states_of
from ropewright.store.verify import verify


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Ledger]:
    """A rope and a harness with some history."""
    record = open_record(tmp_path / "record.db")
    act = Act("A. Example", date(2026, 5, 1), date(2026, 5, 1))
    for tag, kind in (("R-1", read_kind("rope", "kind")), ("H-1", read_kind("harness", "kind"))):
        receive(record, kind, tag, read_told(kind, {"made": "2026-01", "wear": "new", "interval": "6 months"}), act)
        start_use(record, [tag], act)
        give_out(record, [tag], "B. Example", "barn", act)
        return_gear(record, [tag], Use(1, 3600.0), act)
        answers = read_answers(kind, {point.key: "ok" for point in points_of(kind)})
        inspect(record, tag, answers, act, wear="good", competent="trained")
    quarantine_gear(record, ["R-1"], "chemicals", act)
    yield record
    record.close()


def entries_of(record: Ledger) -> list[Entry]:
    with record.read() as view:
        return list(view.entries())


def test_many_at_once_come_to_the_same_as_one_by_one(record: Ledger) -> None:
    entries = entries_of(record)
    folds = default_folds()
    assert isinstance(folds["gear"], ModuleFold)
    at_once = states_of(entries, folds)
    assert at_once.keys() == {"gear/R-1", "gear/H-1"}
    for subject, state in at_once.items():
        assert state == folded_strictly((entry for entry in entries if entry.subject == subject), folds)
        assert state.due is not None
        assert state.words
    assert verify(record).whole


def test_a_fold_without_steps_is_its_own_step() -> None:
    fold = ModuleFold("ropewright.store.crew_state")
    state = State("crew/P-1", "", None, "", {})
    assert fold.finish(state) is state
    assert fold.step is fold.step


def test_collecting_goes_on_after_an_error() -> None:
    import gc

    with pytest.raises(LookupError):
        states_of([replace(_ENTRY, subject="bird/1")], default_folds())
    assert gc.isenabled()


_ENTRY = Entry(1, "", "", "bird.seen", "gear/1", "Ann", {}, "", "")


def test_another_version_of_the_program_makes_states_anew(record: Ledger, tmp_path: Path) -> None:
    from ropewright import __version__

    assert FOLDS_VERSION.startswith(__version__)
    record.follow_folds("another")
    with open_record(tmp_path / "record.db").read() as view:
        assert view.state("gear/R-1") is not None
