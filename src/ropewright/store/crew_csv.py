"""People from a spreadsheet and to one: one row for a person, and one for each training, skill, role and open need."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.store.crew_actions import left_draft, new_person, sign_off_draft, training_draft
from ropewright.store.crew_reading import (
    Texts,
    read_need,
    read_particulars,
    read_roles,
    read_sign_off,
    read_training,
)
from ropewright.store.crew_state import LEFT, fold, open_needs, rows
from ropewright.store.crew_words import ROLES, crew_subject, read_line, read_word
from ropewright.store.csv_fate import Fate, each_fault, tried
from ropewright.store.csv_text import CsvRow, read_csv, write_csv
from ropewright.store.day import read_past_day
from ropewright.store.entry import Draft, Head, State
from ropewright.store.gear_words import read_tag
from ropewright.store.reading import View

__all__ = ["CREW_HEADERS", "crew_csv", "crew_fates"]

#: What a row can be; one that does not say is a person.
_ROWS = ("person", "role", "training", "sign-off", "need", "left")

#: Header -> field of the readers; several words in a cell are parted by semicolons.
_FIELDS: Mapping[str, str] = {
    "name": "name",
    "mass": "mass",
    "mass with tools": "mass_with_tools",
    "harness size": "harness_size",
    "role": "role",
    "grounds": "grounds",
    "on": "on",
    "topics": "topic",
    "systems": "system",
    "trainer": "trainer",
    "trainer is": "trainer_is",
    "signed by": "signed_by",
    "signed as": "signed_as",
    "paper": "paper",
    "employer": "employer",
    "judged on": "judged_on",
    "judged by": "judged_by",
    "expires": "expires",
    "expires by": "expires_by",
    "skill": "skill",
    "result": "result",
    "assessor": "assessor",
    "trigger": "trigger",
    "note": "note",
}

CREW_HEADERS = ("code", "what", *_FIELDS)

_LISTS = ("topics", "systems", "trainer is", "role")

#: Columns that each kind of row has.
_OF_ROW: Mapping[str, tuple[str, ...]] = {
    "person": ("name", "mass", "mass with tools", "harness size", "role"),
    "role": ("role", "grounds"),
    "training": (
        "on", "topics", "systems", "trainer", "trainer is", "signed by", "signed as", "paper", "employer", "judged on",
        "judged by", "expires", "expires by",
    ),
    "sign-off": ("on", "skill", "result", "assessor", "note"),
    "need": ("on", "trigger", "topics", "systems", "note"),
    "left": ("on",),
}  # fmt: skip

_UNITS = {"mass": ("kg", "lb"), "mass with tools": ("kg", "lb")}


def crew_fates(content: bytes, view: View, *, by: str, today: date) -> list[Fate]:
    """What becomes of each row of a file.

    Parameters
    ----------
    content : bytes
    view : View
        The record as it is: no code is given twice.
    by : str
        Who says so.
    today : date

    Returns
    -------
    list of Fate
        In the order of the file. Rows on somebody new come after the row that takes them in.

    Raises
    ------
    FileError, InputErrors
        If the file or its headers can't be read at all.
    """
    reading = _Reading(view, by, today)
    return [reading.fate(row) for row in read_csv(content, CREW_HEADERS, _UNITS)]


@dataclass
class _Reading:
    """What rows are read with, and the people that they have made so far, by code."""

    view: View
    by: str
    today: date
    made: dict[str, State] = field(default_factory=dict)

    def fate(self, row: CsvRow) -> Fate:
        """What becomes of a row, after those before it."""
        name, what = row.cells.get("code", "")[:40], row.cells.get("what", "person")[:40]
        try:
            name = read_tag(row.cells.get("code"), row.named("code"))
            what = read_word(what, _ROWS, row.named("what"))
            draft = self._draft(row, name, what)
        except (InputError, InputErrors) as error:
            return Fate(row.number, name, what, faults=tuple(_placed(one, row) for one in each_fault(error)))
        before = self._known(name)
        self.made[name] = tried(fold, [draft], {draft.subject: before} if before else {})[draft.subject]
        return Fate(row.number, name, what, ((draft,),), self.made[name].standing)

    def _draft(self, row: CsvRow, code: str, what: str) -> Draft:
        strangers = [header for header in row.cells if header not in ("code", "what", *_OF_ROW[what])]
        if strangers:
            right = f"a row on a {what} has no such column; it has {', '.join(_OF_ROW[what])}"
            raise InputError(row.named(strangers[0]), row.cells[strangers[0]], right)
        if what == "person":
            if code in self.made:
                raise InputError(row.named("code"), code, "a row before has this code too")
            return new_person(
                self.view, code, read_particulars(_texts(row), row.named), roles=read_roles(_texts(row), row.named),
                by=self.by,
            )  # fmt: skip
        state = self._known(code)
        if state is None:
            raise InputError(row.named("code"), code, "neither a row before nor the record knows this person")
        return _ABOUT[what](self, row, code, state)

    def _known(self, code: str) -> State | None:
        return self.made.get(code) or self.view.state(crew_subject(code))

    def _role(self, row: CsvRow, code: str, _: State) -> Draft:
        role = read_word(row.cells.get("role"), ROLES, row.named("role"))
        grounds = read_line(row.cells.get("grounds", ""), row.named("grounds"))
        return Draft("crew.role", crew_subject(code), self.by, {"role": role, "held": True, "grounds": grounds})

    def _training(self, row: CsvRow, code: str, state: State) -> Draft:
        told = read_training(_texts(row), row.named, today=self.today)
        return training_draft(state, code, told, by=self.by)

    def _sign_off(self, row: CsvRow, code: str, state: State) -> Draft:
        if "on" not in row.cells:
            raise InputError(row.named("on"), None, "say on which day it was seen")
        return sign_off_draft(state, code, read_sign_off(_texts(row), row.named, today=self.today), by=self.by)

    def _need(self, row: CsvRow, code: str, _: State) -> Draft:
        told = read_need(_texts(row), row.named, today=self.today)
        return Draft("crew.triggered", crew_subject(code), self.by, told.body())

    def _left(self, row: CsvRow, code: str, state: State) -> Draft:
        day = read_past_day(row.cells.get("on"), row.named("on"), self.today)
        return left_draft(state, code, day, by=self.by)


_ABOUT: Mapping[str, Callable[[_Reading, CsvRow, str, State], Draft]] = {
    "role": _Reading._role,
    "training": _Reading._training,
    "sign-off": _Reading._sign_off,
    "need": _Reading._need,
    "left": _Reading._left,
}


def _texts(row: CsvRow) -> Texts:
    """Cells by the field that reads them; those of quantities without a comma."""
    found: dict[str, str | list[str]] = {}
    for header, text in row.cells.items():
        if header in _UNITS and "," in text:
            right = "write it without a comma: whether it parts thousands or decimals can't be told"
            raise InputError(row.named(header), text, right)
        if header in _FIELDS:
            found[_FIELDS[header]] = text.split(";") if header in _LISTS else text
    return found


def _placed(fault: InputError, row: CsvRow) -> InputError:
    """Return the fault with its row and its column's own name."""
    place, _, name = fault.field.rpartition(", ")
    header = next((header for header, field in _FIELDS.items() if field == name.replace("-", "_")), name)
    return InputError(row.named(header), fault.value, fault.expected) if place or header else fault


def crew_csv(states: Iterable[State], head: Head | None = None) -> bytes:
    """Return people as a CSV file, from which `crew_fates` makes people of whom the same is known.

    Parameters
    ----------
    states : iterable of State
        Of the family ``crew``.
    head : Head, optional
        Of the record that they stand in; the file carries it.
    """
    return write_csv(CREW_HEADERS, (cells for state in states for cells in _rows(state)), head)


def _rows(state: State) -> Iterator[dict[str, str]]:
    body: Any = state.body
    for what, cells in _cells(body):
        told = {header: text for header, text in cells.items() if text}
        yield {"code": state.subject.partition("/")[2], "what": what, **told}
    if state.standing == LEFT:
        yield {"code": state.subject.partition("/")[2], "what": "left", "on": str(body["left"])}


def _cells(body: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, str]]]:
    bare = [role for role, grant in body["roles"].items() if not grant["grounds"]]
    masses = {
        header: "" if body[key] is None else f"{body[key]!r} kg"
        for header, key in (("mass", "mass_kg"), ("mass with tools", "mass_with_tools_kg"))
    }
    yield "person", {"name": body["name"], **masses, "harness size": body["harness_size"], "role": "; ".join(bare)}
    for role, grant in body["roles"].items():
        if grant["grounds"]:
            yield "role", {"role": role, "grounds": grant["grounds"]}
    for row in rows(body, "trainings"):
        yield "training", _training_cells(row)
    for row in rows(body, "sign_offs"):
        yield "sign-off", {key: str(row[key]) for key in ("on", "skill", "result", "assessor", "note")}
    for need in open_needs(body):
        lists = {key: "; ".join(need[key]) for key in ("topics", "systems")}
        yield "need", {**{key: str(need[key]) for key in ("on", "trigger", "note")}, **lists}


def _training_cells(row: Mapping[str, Any]) -> dict[str, str]:
    signed = row.get("certificate") or {}
    plain = {key.replace("_", " "): str(row.get(key) or "") for key in ("on", "trainer", "employer", "judged_on")}
    more = {key.replace("_", " "): str(row.get(key) or "") for key in ("judged_by", "expires", "expires_by")}
    lists = {key.replace("_", " "): "; ".join(row[key]) for key in ("topics", "systems", "trainer_is")}
    papers = {key.replace("_", " "): str(signed.get(key) or "") for key in ("signed_by", "signed_as", "paper")}
    return {**plain, **more, **lists, **papers}
