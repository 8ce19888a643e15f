"""Invented people, and a record to keep them in, for the tests of the crew."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from ropewright.store.crew_actions import add_person, sign_off, train
from ropewright.store.crew_body import Certificate, Particulars, SignOff, Training
from ropewright.store.crew_state import fold
from ropewright.store.crew_words import skills, topics
from ropewright.store.entry import State
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record

TODAY = date(2026, 6, 1)
BY = "B. Example"


def new_record(tmp_path: Path) -> Ledger:
    clock = datetime(2026, 6, 1, 12, tzinfo=UTC)
    return open_record(tmp_path / "record.db", folds={"crew": fold}, clock=lambda: clock)


def a_training(**changes: object) -> Training:
    told: dict[str, object] = {
        "on": date(2026, 3, 2),
        "topics": tuple(topics()),
        "systems": ("absorber", "grab", "harness", "lifeline", "rescue-gear"),
        "trainer": "C. Example",
        "trainer_is": ("competent",),
        "certificate": Certificate("C. Example", "trainer", "no. 12"),
    }
    return Training(**{**told, **changes})  # type: ignore[arg-type]


def add(record: Ledger, code: str = "P-07", *, roles: tuple[str, ...] = ("authorised",)) -> None:
    told = Particulars(name="A. Example", mass=82.0, mass_with_tools=95.0, harness_size="M")
    add_person(record, code, told, roles=roles, by=BY)


def ready(record: Ledger, code: str = "P-07", *, roles: tuple[str, ...] = ("authorised",)) -> None:
    """Take in a person who has all that any pack asks for."""
    add(record, code, roles=roles)
    train(record, code, a_training(trainer_is=("competent", "qualified")), by=BY)
    for skill in skills():
        sign_off(record, code, SignOff(date(2026, 3, 3), skill, "can", "C. Example"), by=BY)


def state_of(record: Ledger, code: str = "P-07") -> State:
    with record.read() as view:
        state = view.state(f"crew/{code}")
    assert state is not None
    return state
