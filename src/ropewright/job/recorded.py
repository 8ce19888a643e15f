"""What the record says of the gear and people that a job names, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from ropewright.store.entry import Head, State
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_words import ISSUED, subject_of
from ropewright.store.reading import View

if TYPE_CHECKING:
    from ropewright.job.model import Job

__all__ = ["Recorded", "gear_with", "names_any", "recorded_of"]


@dataclass(frozen=True)
class Recorded:
    """What was read of the record for a job.

    Attributes
    ----------
    head : Head
        How much of it there was.
    day : date
        Day on which gear and people must be fit: that of the job, or the day it was read if that is later.
    gear : mapping of str to State
        By tag; what the record doesn't know is left out.
    people : mapping of str to State
        By code.
    given : mapping of str to tuple of Piece
        Gear that is out with each of these people, by code.
    """

    head: Head
    day: date
    gear: Mapping[str, State] = field(default_factory=dict)
    people: Mapping[str, State] = field(default_factory=dict)
    given: Mapping[str, tuple[Piece, ...]] = field(default_factory=dict)


def names_any(job: Job) -> bool:
    """Return whether a job names any gear by tag or person by code."""
    return bool(job.rescue.person) or any(line.tag for line in job.lines) or any(one.person for one in job.crew)


def recorded_of(view: View, job: Job, today: date) -> Recorded:
    """What a record says of the gear and people that a job names.

    Parameters
    ----------
    view : View
    job : Job
    today : date
    """
    tags = {line.tag for line in job.lines if line.tag}
    codes = {member.person for member in job.crew if member.person} | ({job.rescue.person} - {""})
    gear = {tag: view.state(subject_of(tag)) for tag in tags}
    people = {code: view.state(f"crew/{code}") for code in codes}
    known = {code: state for code, state in people.items() if state is not None}
    return Recorded(
        head=view.head(),
        day=max(today, job.date) if job.date else today,
        gear={tag: state for tag, state in gear.items() if state is not None},
        people=known,
        given={code: gear_with(view, state) for code, state in known.items()},
    )


def gear_with(view: View, person: State) -> tuple[Piece, ...]:
    """Pieces that are out with a person, told by code or by name."""
    names = {person.subject.partition("/")[2].casefold(), str(person.body["name"]).strip().casefold()}
    found: dict[str, Piece] = {}
    for name in sorted(names):
        pieces = map(Piece, view.states("gear", standing=ISSUED, search=f"with:{name}"))
        found.update((piece.tag, piece) for piece in pieces if (piece.holder or "").strip().casefold() == name)
    return tuple(found.values())
