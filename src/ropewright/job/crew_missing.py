"""What is missing before a person may be on a job: their record held against a rules pack and the job's gear."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np

from ropewright.findings import Source, SourceStatus
from ropewright.job.crew_training import counting_trainings, seen_to_do, why_not
from ropewright.job.model import Job
from ropewright.job.ruled import Ruling
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.roof.facets import facet_pitch
from ropewright.rules import Pack
from ropewright.rules.crew_needs import CrewNeed, crew_needs
from ropewright.store.crew_state import LEFT, open_needs, rows
from ropewright.store.crew_words import ROLES, skills, systems, topics, triggers
from ropewright.store.entry import State

__all__ = ["Missing", "Task", "missing_of", "task_of"]

#: Steepest roof of low slope: 4 in 12, rise over run. [deg] (29 CFR 1926.500(b))
_LOW_SLOPE = 18.434948822922010

#: Topics that are asked for each system that the job uses.
_BY_SYSTEM = ("assembly", "use")

_RECORD = Source("the record", "", SourceStatus.USER)


@dataclass(frozen=True)
class Task:
    """What a job asks of one person.

    Attributes
    ----------
    roles : tuple of str
        What they are on it; names of `ROLES`.
    systems : tuple of str
        What they use; keys of `systems`.
    cases : mapping of str to bool or None
        Whether what `CrewNeed.when` names is so; None or left out: not known, so that it counts as so.
    planned_mass : float or None
        Heaviest that the plan was worked out for. [kg]
    gear_limits : mapping of str to float
        Piece of gear -> mass of a user that its maker allows. [kg]
    harness_size : str
        Of the harness that they were given; empty: not known.
    """

    roles: tuple[str, ...] = ("authorised",)
    systems: tuple[str, ...] = ("harness", "lifeline")
    cases: Mapping[str, bool | None] = field(default_factory=dict)
    planned_mass: float | None = None
    gear_limits: Mapping[str, float] = field(default_factory=dict)
    harness_size: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is missing.

    Attributes
    ----------
    what : str
        Kind and name: ``topic/use``.
    text : str
        What is the matter, in one sentence.
    mend : str
        What would put it right.
    source : Source
        What asks for it.
    """

    what: str
    text: str
    mend: str
    source: Source


def task_of(job: Job, code: str, name: str) -> Task:
    """What a job asks of a person: as one of its crew by code or name, as the one who rescues, or as both.

    Parameters
    ----------
    job : Job
    code, name : str
        Of the person. Somebody whom the job does not name is taken for one who works on any of its lines.
    """
    own = [member for member in job.crew if _is_meant(member.person, member.name, code, name)]
    lines = [line for line in job.lines if not own or line.name in {member.line for member in own}]
    used = {"harness", "lifeline"}
    used |= {"grab"} if any(line.grab is not None for line in lines) else set()
    used |= {"absorber"} if any(line.lanyard.absorber is not None for line in lines) else set()
    rescues = _is_meant(job.rescue.person, job.rescue.by, code, name)
    return Task(
        roles=(*(("authorised",) if own or not rescues else ()), *(("rescuer",) if rescues else ())),
        systems=tuple(sorted(used | ({"rescue-gear"} if rescues else set()))),
        cases=_cases(job, used),
        planned_mass=min((member.mass.high for member in own), default=None),
    )


def _is_meant(told_code: str, told_name: str, code: str, name: str) -> bool:
    """Whether a job means this person: by the code where it tells one, else by name, or a code told as a name."""
    return told_code == code if told_code else _same(told_name, name) or _same(told_name, code)


def _same(one: str, other: str) -> bool:
    return bool(other) and one.strip().casefold() == other.strip().casefold()


def _cases(job: Job, used: set[str]) -> dict[str, bool | None]:
    told = {"monitor": job.facts.get("safety_monitor"), "plan": job.facts.get("plan_written")}
    return {
        "grab": "grab" in used,
        "low slope": any(facet_pitch(facet) <= _LOW_SLOPE + 1e-9 for facet in job.roof.facets),
        **{case: value if isinstance(value, bool) else None for case, value in told.items()},
    }


def missing_of(state: State, pack: Pack, task: Task, *, today: date, units: UnitSystem) -> tuple[Missing, ...]:
    """What is missing before a person may be on a job.

    Parameters
    ----------
    state : State
        Of the person.
    pack : Pack
        Whose rules are asked.
    task : Task
    today : date
        Day on which it must all be there.
    units : UnitSystem
        Of the texts.

    Returns
    -------
    tuple of Missing
        Each thing once; empty if nothing is missing. That is no proof of competence: see the caution.
    """
    body, code = state.body, state.subject.partition("/")[2]
    found = [*_standing(state, code)]
    for role in task.roles:
        needs = [need for need in crew_needs(pack, role) if not need.when or task.cases.get(need.when) is not False]
        trained = [*needs, *(one for one in crew_needs(pack, "authorised") if one.kind in ("trainer", "certificate"))]
        for need in needs:
            found.extend(_unmet(body, code, need, tuple(trained), task, today))
    found.extend(_mass(body, code, pack, task, units))
    found.extend(_harness(body, code, task))
    return tuple({one.what: one for one in reversed(found)}.values())[::-1]


def _standing(state: State, code: str) -> Iterator[Missing]:
    if state.standing == LEFT:
        text = f"{state.body['name']} left on {state.body['left']}."
        yield Missing("standing", text, f"ropewright crew return {code}", _RECORD)
    for need in open_needs(state.body):
        why = triggers()[need["trigger"]]
        text = f"To be trained anew since {need['on']}: {why.text[0].lower()}{why.text[1:]}."
        note = f" ({need['note']})" if need["note"] else ""
        mend = f"train, and say that it answers entry {need['number']}{note}"
        yield Missing(f"retraining/{need['number']}", text, mend, why.source)


def _unmet(
    body: Mapping[str, Any], code: str, need: CrewNeed, trained: tuple[CrewNeed, ...], task: Task, today: date
) -> Iterator[Missing]:
    if need.kind == "topic":
        yield from _topic(body, need, trained, task, today)
    elif need.kind == "skill":
        fault = seen_to_do(body, need.name, today)
        if fault:
            text = f"Skill {need.name}: {fault}."
            yield Missing(f"skill/{need.name}", text, f"let somebody see it: {skills()[need.name].text}", need.source)
    elif need.kind == "role":
        if need.name not in body["roles"]:
            text = f"Nobody has said that this person {ROLES[need.name]}."
            yield Missing(f"role/{need.name}", text, f"ropewright crew role {code} {need.name}", need.source)
    elif need.kind == "grounds":
        held = body["roles"].get(need.name)
        if held is not None and not held["grounds"]:
            text = f"On what grounds this person is {need.name} is not told: {need.note}."
            mend = f"ropewright crew role {code} {need.name} --grounds ..."
            yield Missing(f"grounds/{need.name}", text, mend, need.source)


def _topic(
    body: Mapping[str, Any], need: CrewNeed, trained: tuple[CrewNeed, ...], task: Task, today: date
) -> Iterator[Missing]:
    counting = [row for row in counting_trainings(body, trained, today) if need.name in row["topics"]]
    known = topics()[need.name].text
    if not counting:
        told = [row for row in rows(body, "trainings") if need.name in row["topics"]]
        faults = "; ".join(f"that of {row['on']} does not count: {why_not(row, trained, today)}" for row in told)
        text = f"No training in {need.name}{': ' + faults if faults else ''}."
        yield Missing(f"topic/{need.name}", text, f"train: {known[0].lower()}{known[1:]}", need.source)
        return
    if need.name in _BY_SYSTEM:
        had = {system for row in counting for system in row["systems"]}
        for system in sorted(set(task.systems) - had):
            text = f"Trained in {need.name}, but not with: {systems()[system].text.lower()}."
            mend = f"train in {need.name} with it: --system {system}"
            yield Missing(f"topic/{need.name}/{system}", text, mend, need.source)


def _mass(body: Mapping[str, Any], code: str, pack: Pack, task: Task, units: UnitSystem) -> Iterator[Missing]:
    mass = body["mass_with_tools_kg"]
    if mass is None:
        mend = f'ropewright crew change {code} --with-tools "..."'
        source = Source("practice", "gear is rated for a mass", SourceStatus.PRACTICE)
        yield Missing("mass/unknown", "Mass with clothing and tools is not known.", mend, source)
        return
    shown = show(mass, Dimension.MASS, units, toward="high")
    if task.planned_mass is not None and mass > task.planned_mass + 1e-9:
        planned = show(task.planned_mass, Dimension.MASS, units, toward="low")
        text = f"With tools {shown}, more than the {planned} that the plan was worked out for."
        yield Missing("mass/plan", text, "give this mass in the job and work the plan out anew", _RECORD)
    limit = pack.governing("user_mass")
    if limit is not None and limit.figure is not None and not Ruling(limit).meets(np.array([mass]))[0]:
        text = f"With tools {shown}; {limit.demand} ({pack.title})."
        yield Missing("mass/rule", text, f"decide, {limit.decide or 'a qualified person'}", limit.source)
    for piece, allowed in sorted(task.gear_limits.items()):
        if mass > allowed + 1e-9:
            bound = show(allowed, Dimension.MASS, units, toward="low")
            text = f"With tools {shown}; {piece} is marked for users up to {bound}."
            mend = "take gear that is marked for this mass"
            yield Missing(f"mass/{piece}", text, mend, Source("marking of the gear", piece, SourceStatus.USER))


def _harness(body: Mapping[str, Any], code: str, task: Task) -> Iterator[Missing]:
    size, source = (
        str(body["harness_size"]).strip(),
        Source("practice", "a harness of the right size", SourceStatus.PRACTICE),
    )
    if not size:
        mend = f"ropewright crew change {code} --harness SIZE"
        yield Missing("harness/unknown", "Size of harness is not known.", mend, source)
    elif task.harness_size and not _same(size, task.harness_size):
        text = f"Takes harness size {size}, and was given size {task.harness_size}."
        yield Missing("harness/size", text, f"give a harness of size {size}", source)
