"""Questions about the gear that a job names by its tags: is it fit, is it long enough, is it at hand?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from ropewright.findings import Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.asking import Question, answer_by_person
from ropewright.job.line_ends import rope_needed
from ropewright.job.model import CrewMember, Job, Line
from ropewright.job.recorded import Recorded
from ropewright.quantity import Dimension, show
from ropewright.store.gear_fitness import Fitness, fitness, kit_fitness
from ropewright.store.gear_piece import Piece

__all__ = ["RECORD", "ask_about_tags", "not_read", "question_of"]

#: Where answers out of the record come from.
RECORD = Source("the record of gear and people", "", SourceStatus.USER)

#: Lengths that differ by less are the same: noise of floats and of unit conversion. [m]
_NOISE = 1e-6

#: What a job needs to know of a rope, and how a person calls it.
_NEEDED = {
    "strength_n": "strength as new",
    "diameter_m": "diameter",
    "fibre": "fibre",
    "construction": "construction",
}


def ask_about_tags(job: Job) -> Iterator[Finding]:
    """What is asked of each piece of gear that a job names by its tag; nothing where it names none.

    Parameters
    ----------
    job : Job
        With `record`, if one was read; without one what it names is asked, never taken as fit.

    Yields
    ------
    Finding
    """
    for line in job.lines:
        if line.tag:
            yield from _about_rope(job, line)
        for tag in line.gear:
            yield from _about_other(job, line, tag)
    yield from _twice(job)


def _about_rope(job: Job, line: Line) -> Iterator[Finding]:
    where = _place(job, line)
    question = question_of(f"gear-record/{line.name}", f"Is rope {line.tag} fit to be on this job?", where, line.tag)
    if job.record is None:
        yield not_read(question, line.tag)
        return
    state = job.record.gear.get(line.tag)
    if state is None:
        yield answer_by_person(question, Verdict.FAILS, f"The record knows no piece with the tag {line.tag}.")
        return
    piece = Piece(state)
    if piece.kind.name != "rope":
        yield answer_by_person(question, Verdict.FAILS, f"{line.tag} is {piece.kind.noun}, and a line is of rope.")
        return
    yield _fit(question, piece, fitness(state, job.record.day), job.record)
    yield _long_enough(job, line, piece, where)
    yield from _silent(line, piece, where)
    yield from _elsewhere(job, line, piece, where)


def _about_other(job: Job, line: Line, tag: str) -> Iterator[Finding]:
    """Harness, lanyard, grab, connectors or a whole kit of a line."""
    where, name = _place(job, line), f"{tag}/{line.name}"
    question = question_of(f"gear-record/{name}", f"Is {tag} fit to be on this job?", where, tag)
    if job.record is None:
        yield not_read(question, tag)
        return
    state = job.record.gear.get(tag)
    if state is None:
        yield answer_by_person(question, Verdict.FAILS, f"The record knows no piece with the tag {tag}.")
        return
    piece = Piece(state)
    parts = [job.record.gear[part] for part in piece.body["parts"] if part in job.record.gear]
    is_kit = piece.kind.name == "kit"
    found = kit_fitness(state, parts, job.record.day) if is_kit else fitness(state, job.record.day)
    yield _fit(question, piece, found, job.record)
    yield from _carries(job, line, name, [Piece(part) for part in parts] if is_kit else [piece])
    yield from _elsewhere(job, line, piece, where)


def _carries(job: Job, line: Line, name: str, pieces: Iterable[Piece]) -> Iterator[Finding]:
    """The mass of user that gear is marked for, against the workers of its line."""
    heaviest = max((member.mass.high for member in job.crew if member.line == line.name), default=None)
    marked = [piece for piece in pieces if piece.told.get("user_mass_kg") is not None]
    if heaviest is None or not marked:
        return
    least = min(marked, key=lambda piece: float(piece.told["user_mass_kg"]))
    limit = float(least.told["user_mass_kg"])
    bound = show(limit, Dimension.MASS, job.units, toward="low")
    yield Finding(
        id=f"gear-user/{name}",
        question=f"Is {least.tag} made for a worker of this mass?",
        verdict=Verdict.HOLDS if heaviest <= limit + 1e-9 else Verdict.FAILS,
        summary=f"Worker with tools {show(heaviest, Dimension.MASS, job.units, toward='high')}; "
        f"{least.kind.name} {least.tag} is marked for users up to {bound}.",
        value=heaviest,
        limit=limit,
        operator="<=",
        margin=limit - heaviest,
        unit="kg",
        dimension=Dimension.MASS,
        where=_place(job, line),
        formula="m <= mass of user as marked",
        inputs={"m_kg": heaviest, "marked_kg": limit},
        sources=(Source("marking of the gear", least.tag, SourceStatus.USER),),
    )


def _place(job: Job, line: Line) -> Place:
    worker = next((member.name for member in job.crew if member.line == line.name), None)
    return Place(line=line.name, anchor=line.anchor, worker=worker)


def question_of(name: str, text: str, where: Place, thing: str, *sources: Source) -> Question:
    """Return a question that the record answers."""
    return Question(name, text, thing, where, "as the record has it", {"named": thing}, sources or (RECORD,))


def not_read(question: Question, named: str) -> Finding:
    """Return the answer to a question where no record was read: nobody knows."""
    return answer_by_person(
        question,
        Verdict.ASK,
        f"The job names {named}, and no record was read: nobody has looked whether it is fit.",
        decide="Work the plan out with the record (ropewright --store FILE plan ...), or look it up by hand.",
    )


def _fit(question: Question, piece: Piece, found: Fitness, record: Recorded) -> Finding:
    told = f"{piece.tag}: {piece.standing} on {record.day}"
    if not found.reasons:
        return answer_by_person(question, Verdict.HOLDS, f"{told}; nothing in the record speaks against it.")
    texts = "; ".join(f"{reason.text[0].lower()}{reason.text[1:]}" for reason in found.reasons)
    sources = tuple(dict.fromkeys(reason.source for reason in found.reasons))
    return answer_by_person(
        question_of(question.id, question.text, question.where, piece.tag, *sources, RECORD),
        found.verdict,
        f"{told}; {texts}.",
        decide="; ".join(reason.text for reason in found.reasons) if found.verdict is Verdict.ASK else "",
    )


def _long_enough(job: Job, line: Line, piece: Piece, where: Place) -> Finding:
    """The rope as it is, against the line as it is set with its knots and tails."""
    text = f"Is rope {piece.tag} long enough for the line as it is set?"
    if piece.length is None:
        return answer_by_person(
            question_of(f"gear-length/{line.name}", text, where, piece.tag),
            Verdict.ASK,
            f"The record does not tell how long {piece.tag} is.",
            decide=f"Measure it, and tell the record: ropewright gear correct {piece.tag} --set length_m=...",
        )
    needed = rope_needed(line)
    fits = piece.length >= needed - _NOISE
    shown = show(piece.length, Dimension.LENGTH, job.units, toward="low")
    least = show(needed, Dimension.LENGTH, job.units, toward="high")
    return Finding(
        id=f"gear-length/{line.name}",
        question=text,
        verdict=Verdict.HOLDS if fits else Verdict.FAILS,
        summary=f"{piece.tag} is {shown} long; the line with its knots and tails needs {least}.",
        value=piece.length,
        low=piece.length,
        high=piece.length,
        limit=needed,
        operator=">=",
        margin=max(piece.length - needed, 0.0) if fits else piece.length - needed,
        unit="m",
        dimension=Dimension.LENGTH,
        where=where,
        formula="l >= rope to the stop + ends + stopper + tails",
        inputs={"line_m": line.length, "needed_m": needed},
        sources=(RECORD,),
    )


def _silent(line: Line, piece: Piece, where: Place) -> Iterator[Finding]:
    """What the record does not tell of the rope is taken from the job, and asked."""
    lacking = [words for key, words in _NEEDED.items() if piece.told.get(key) is None]
    if lacking:
        yield answer_by_person(
            question_of(f"gear-told/{line.name}", f"Is {piece.tag} the rope that the job describes?", where, piece.tag),
            Verdict.ASK,
            f"The record does not tell of {piece.tag}: {', '.join(lacking)}; the job's own figures are used.",
            decide=f"Whether {piece.tag} is such a rope, by its label and papers: {', '.join(lacking)}.",
        )


def _elsewhere(job: Job, line: Line, piece: Piece, where: Place) -> Iterator[Finding]:
    """The rope is out with somebody else."""
    own = [name.casefold() for member in job.crew if member.line == line.name for name in (member.name, member.person)]
    names = {*own, *(_recorded_name(job, member) for member in job.crew if member.line == line.name)}
    if piece.holder and piece.holder.strip().casefold() not in names:
        out = f" for {piece.body['job']}" if piece.body["job"] else ""
        yield answer_by_person(
            question_of(f"gear-holder/{piece.tag}/{line.name}", f"Is {piece.tag} at hand?", where, piece.tag),
            Verdict.ASK,
            f"{piece.tag} is out with {piece.holder}{out} since {piece.body['out_since']}.",
            decide=f"Whether {piece.tag} is back, and looked over, before this job begins.",
        )


def _recorded_name(job: Job, member: CrewMember) -> str:
    state = job.record.people.get(member.person) if job.record and member.person else None
    return str(state.body["name"]).strip().casefold() if state else ""


def _twice(job: Job) -> Iterator[Finding]:
    """One piece can't be on two lines."""
    named = Counter(tag for line in job.lines for tag in dict.fromkeys((line.tag, *line.gear)) if tag)
    for tag, count in named.items():
        if count > 1:
            question = question_of(f"gear-twice/{tag}", f"Is {tag} named once only?", Place(name=tag), tag)
            yield answer_by_person(question, Verdict.FAILS, f"{count} lines name {tag}: cut the rope, or name another.")
