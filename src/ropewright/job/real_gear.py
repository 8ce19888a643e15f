"""A job with its real ropes and people: what it names by tag and code, as the record knows it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from ropewright.job.crew_missing import missing_of, task_of
from ropewright.job.model import CrewMember, Job, Line, RopeSpec
from ropewright.job.recorded import Recorded
from ropewright.quantity import Range
from ropewright.rope.names import read_condition
from ropewright.store.crew_state import rows
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_strength import service_of

__all__ = ["with_record"]

#: Field of a rope in a job -> field of a piece in the record.
_FIELDS = {
    "fibre": "fibre",
    "construction": "construction",
    "stretch": "stretch",
    "diameter": "diameter_m",
    "strength_basis": "strength_basis",
    "uv_inhibitor": "uv_inhibitor",
    "length": "length_m",
}

#: Conditions of a rope, the better first.
_WORSE = ("new", "good", "worn", "damaged", "fallen-on")


def with_record(job: Job, record: Recorded | None) -> Job:
    """Return the job with its tagged ropes and its people as the record knows them, and the record beside it.

    Parameters
    ----------
    job : Job
    record : Recorded or None
        None: nothing is changed.

    Notes
    -----
    Where the record is silent what the job tells of a rope stays, and a finding asks (`ask_record`). A person of whom
    no training is missing counts as trained since their last one.
    """
    if record is None:
        return job
    lines = tuple(replace(line, rope=_rope(line, record)) for line in job.lines)
    crew = tuple(_trained(member, job, record) for member in job.crew)
    return replace(job, lines=lines, crew=crew, record=record)


def _trained(member: CrewMember, job: Job, record: Recorded) -> CrewMember:
    state = record.people.get(member.person)
    if state is None:
        return member
    task = task_of(job, member.person, str(state.body["name"]))
    found = missing_of(state, job.pack, task, today=record.day, units=job.units)
    days = [row["on"] for row in rows(state.body, "trainings") if str(row["on"]) <= record.day.isoformat()]
    if not days or any(one.what.startswith(("topic/", "retraining/", "standing")) for one in found):
        return replace(member, trained_on=None)
    return replace(member, trained_on=date.fromisoformat(max(days)))


def _rope(line: Line, record: Recorded) -> RopeSpec:
    state = record.gear.get(line.tag)
    if state is None or Piece(state).kind.name != "rope":
        return line.rope
    piece, spec = Piece(state), line.rope
    told: dict[str, Any] = {key: piece.told[own] for key, own in _FIELDS.items() if piece.told.get(own) is not None}
    if piece.told.get("strength_n") is not None:
        told["strength"] = Range.exact(piece.told["strength_n"])
        told.setdefault("strength_basis", "unknown")
    if any(told.get(key, getattr(spec, key)) != getattr(spec, key) for key in ("fibre", "construction", "diameter")):
        told["stiffness"] = None  # that of another rope
    condition = _condition(spec.condition, piece)
    return replace(spec, **told, condition=condition, service=service_of(piece, record.day))


def _condition(told: str, piece: Piece) -> str:
    """Worse of what the job and the record say of the wear; wet or dry is the job's to say."""
    job, body = read_condition(told, "condition"), piece.body
    recorded = "fallen-on" if body["fallen"] else body["wear"] or "unknown"
    both = recorded in _WORSE and job.state in _WORSE and not job.state_assumed
    state = max(recorded, job.state, key=_WORSE.index) if both else recorded
    return state if job.wet is None else f"{state}, {'wet' if job.wet else 'dry'}"
