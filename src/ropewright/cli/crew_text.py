"""What the commands on people print: what was written, and people as text and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import Any

from ropewright.cli.text_table import WIDTH, table_lines
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.store.entry import Entry, Head, State

__all__ = [
    "as_json_text",
    "code_of",
    "head_json",
    "head_line",
    "people_lines",
    "person_json",
    "person_lines",
    "written_lines",
]


def code_of(state: State) -> str:
    """Code of a person, as people write it."""
    return state.subject.partition("/")[2]


def as_json_text(document: object) -> str:
    """One JSON document as text."""
    return json.dumps(document, indent=2, ensure_ascii=False)


def head_json(head: Head) -> dict[str, Any]:
    """Return what every document carries of the record that it was made from."""
    return {"count": head.count, "hash": head.hash}


def head_line(head: Head) -> str:
    """Count and last hash, as they stand under whatever is printed and as `gear verify --head` takes them."""
    return f"record {head.count}:{head.hash}"


def person_json(state: State) -> dict[str, Any]:
    """Return one person as a document has them, in SI units."""
    return {"code": code_of(state), "standing": state.standing, "due": state.due, **state.body}


def written_lines(entries: Sequence[Entry], state: State) -> Iterator[str]:
    """What to say after an entry about a person was written."""
    for entry in entries:
        yield f"entry {entry.number}: {entry.kind} {code_of(state)}, by {entry.by} ({entry.hash[:12]})"
    due = f"; due {state.due}" if state.due else ""
    yield f"{code_of(state)} {state.body['name']}: {state.standing}{due}"


def people_lines(states: Sequence[State], units: UnitSystem) -> Iterator[str]:
    """Table of people."""
    rows = [
        (
            code_of(state),
            str(state.body["name"]),
            state.standing,
            _mass(state.body["mass_with_tools_kg"], units),
            str(state.body["harness_size"] or "?"),
            ", ".join(sorted(state.body["roles"])),  # type: ignore[arg-type]
            state.due or "",
        )
        for state in states
    ]
    yield from table_lines(("code", "name", "standing", "with tools", "harness", "roles", "due"), rows)


def _mass(mass: Any, units: UnitSystem) -> str:
    return "?" if mass is None else show(mass, Dimension.MASS, units, toward="high")


def person_lines(state: State, units: UnitSystem) -> Iterator[str]:
    """One person, with everything that counts of them, in lines that fit a terminal."""
    yield f"{code_of(state)}  {state.body['name']}: {state.standing}"
    for line in _told_lines(state.body, units):
        yield from wrap(line, WIDTH, initial_indent="  ", subsequent_indent=" " * 14, break_on_hyphens=False)


def _told_lines(body: Any, units: UnitSystem) -> Iterator[str]:
    masses = f"mass {_mass(body['mass_kg'], units)}, with tools {_mass(body['mass_with_tools_kg'], units)}"
    yield f"{masses}; harness {body['harness_size'] or '?'}"
    for role, grant in sorted(body["roles"].items()):
        grounds = f": {grant['grounds']}" if grant["grounds"] else ""
        yield f"{role}, says {grant['by']}{grounds}"
    for need in body["needs"]:
        if need["answered_by"] is None:
            note = f" ({need['note']})" if need["note"] else ""
            yield f"OPEN since {need['on']}, entry {need['number']}: train anew, {need['trigger']}{note}"
    for row in body["trainings"]:
        yield "; ".join(_training_parts(row))
    for row in body["sign_offs"]:
        note = f" ({row['note']})" if row["note"] else ""
        yield f"{row['on']}  {row['skill']}: {row['result']}, says {row['assessor']}{note}, entry {row['number']}"


def _training_parts(row: Any) -> Iterator[str]:
    yield f"{row['on']}  training by {row['trainer']}, entry {row['number']}: {', '.join(row['topics'])}"
    if row["systems"]:
        yield f"with {', '.join(row['systems'])}"
    signed = row.get("certificate")
    paper = f", {signed['paper']}" if signed and signed["paper"] else ""
    yield f"signed by {signed['signed_by']}, {signed['signed_as']}{paper}" if signed else "NO certificate told"
    if row.get("employer"):
        yield f"given by {row['employer']}, judged adequate on {row['judged_on']} by {row['judged_by']}"
    if row.get("expires"):
        yield f"counts up to {row['expires']} ({row['expires_by']})"
