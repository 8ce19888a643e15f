"""States: as their table holds them, and made anew from the entries."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Row, delete, insert, select

from ropewright.errors import InputError
from ropewright.store.canonical import json_text, read_json
from ropewright.store.entry import Entry, Fold, State
from ropewright.store.folds import ModuleFold, UnknownFamilyError, family_of, folded
from ropewright.store.schema import marks, states

__all__ = [
    "differing_states",
    "folded_strictly",
    "make_anew",
    "mark",
    "read_back",
    "set_mark",
    "state_of",
    "state_row",
    "states_of",
]


def state_row(state: State) -> dict[str, Any]:
    """Return a state as its table holds it."""
    return {
        "subject": state.subject,
        "family": family_of(state.subject),
        "standing": state.standing,
        "due": state.due,
        "words": state.words,
        "body": json_text(state.body),
        "number": state.number,
    }


def state_of(row: Row[Any]) -> State:
    """Return a state as a row of its table says."""
    return State(row.subject, row.standing, row.due, row.words, read_json(row.body), row.number)


def read_back(state: State) -> State:
    """Return a state as it will be read from the table, so that a fold never sees another."""
    return replace(state, body=read_json(json_text(state.body)))


def states_of(entries: Iterable[Entry], folds: Mapping[str, Fold]) -> dict[str, State]:
    """Each subject's state after all these entries.

    Raises
    ------
    UnknownFamilyError
        If no fold knows the family of one.
    """
    steps = {family: getattr(fold, "step", fold) for family, fold in folds.items()}
    found: dict[str, State] = {}
    numbers: dict[str, int] = {}
    with _uncollected():
        for entry in entries:
            subject = entry.subject
            found[subject] = _step_of(steps, subject)(found.get(subject), entry)
            numbers[subject] = entry.number
        return {subject: _finished(folds, state, numbers[subject]) for subject, state in found.items()}


def _step_of(steps: Mapping[str, Fold], subject: str) -> Fold:
    family = family_of(subject)
    if family not in steps:
        raise UnknownFamilyError(f"no fold for the family {family!r} of {subject!r}")
    return steps[family]


def _finished(folds: Mapping[str, Fold], state: State, number: int) -> State:
    fold = folds[family_of(state.subject)]
    whole = fold.finish(state) if isinstance(fold, ModuleFold) else state
    return replace(whole, number=number)


@contextmanager
def _uncollected() -> Iterator[None]:
    """Keep the search for cycles from going over all states again and again: a quarter of the time, measured."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def make_anew(connection: Connection, entries: Iterable[Entry], folds: Mapping[str, Fold]) -> int:
    """Replace the table of states by what follows from the entries.

    Parameters
    ----------
    connection : Connection
        In a transaction that writes.
    entries : iterable of Entry
        All of them, in order.
    folds : mapping of str to Fold

    Returns
    -------
    int
        How many states there are.

    Raises
    ------
    InputError
        If an entry is of a family that the program doesn't know.
    """
    try:
        rows = [state_row(state) for state in states_of(entries, folds).values()]
    except UnknownFamilyError as error:
        raise InputError("store", str(error), "it was written by a newer Ropewright; use that one") from error
    connection.execute(delete(states))
    if rows:
        connection.execute(insert(states), rows)
    return len(rows)


def mark(connection: Connection, name: str) -> str | None:
    """Return what the program noted about the record itself under a name."""
    return connection.execute(select(marks.c.value).where(marks.c.name == name)).scalar_one_or_none()


def set_mark(connection: Connection, name: str, value: str) -> None:
    """Note something about the record itself."""
    connection.execute(delete(marks).where(marks.c.name == name))
    connection.execute(insert(marks), {"name": name, "value": value})


def folded_strictly(entries: Iterable[Entry], folds: Mapping[str, Fold]) -> State | None:
    """State of one subject, read back after each of its entries, as it is when each is written alone."""
    state: State | None = None
    for entry in entries:
        state = read_back(folded(folds, state, entry))
    return state


def differing_states(
    connection: Connection, expected: Mapping[str, State]
) -> Iterator[tuple[str, dict[str, Any] | None]]:
    """Subjects whose state isn't stored as expected, in order, with the row that is stored (None: there is none)."""
    stored = {row.subject: dict(row._mapping) for row in connection.execute(select(states))}
    wanted = {subject: state_row(state) for subject, state in expected.items()}
    for subject in sorted(stored.keys() | wanted):
        if stored.get(subject) != wanted.get(subject):
            yield subject, stored.get(subject)
