"""What the record says of the gear and people that a job names, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from ropewright.store.entry import Head, State
from ropewright.store.gear_out import held_by
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_words import subject_of
from ropewright.store.reading import View

if TYPE_CHECKING:
    from ropewright.job.model import Job

__all__ = ["Recorded", "names_any", "recorded_of"]


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
    return (
        bool(job.rescue.person)
        or any(line.tag or line.gear for line in job.lines)
        or any(one.person for one in job.crew)
    )


def recorded_of(view: View, job: Job, today: date) -> Recorded:
    """What a record says of the gear and people that a job names.

    Parameters
    ----------
    view : View
    job : Job
    today : date
    """
    tags = {tag for line in job.lines for tag in (line.tag, *line.gear) if tag}
    codes = {member.person for member in job.crew if member.person} | ({job.rescue.person} - {""})
    gear = _pieces(view, tags)
    people = {code: view.state(f"crew/{code}") for code in codes}
    known = {code: state for code, state in people.items() if state is not None}
    return Recorded(
        head=view.head(),
        day=max(today, job.date) if job.date else today,
        gear=gear,
        people=known,
        given={code: tuple(held_by(view, code)) for code in known},
    )


def _pieces(view: View, tags: set[str]) -> dict[str, State]:
    """Pieces that the record knows of these tags, and the parts of those that are kits."""
    found = {tag: state for tag in sorted(tags) if (state := view.state(subject_of(tag))) is not None}
    parts = {part for state in found.values() for part in Piece(state).body["parts"]}
    more = {tag: state for tag in sorted(parts) if (state := view.state(subject_of(tag))) is not None}
    return {**more, **found}
