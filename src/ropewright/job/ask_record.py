"""Questions about the gear and the people that a job names: what does the record say of them?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from ropewright.findings import Finding, Place, Source, SourceStatus, Verdict, worst
from ropewright.job.asking import Question, answer_by_person
from ropewright.job.crew_gear import with_gear
from ropewright.job.crew_missing import Missing, missing_of, task_of
from ropewright.job.line_ends import rope_needed
from ropewright.job.model import CrewMember, Job, Line
from ropewright.job.recorded import Recorded
from ropewright.quantity import Dimension, show
from ropewright.store.gear_fitness import Fitness, fitness
from ropewright.store.gear_piece import Piece

__all__ = ["ask_about_record"]

_RECORD = Source("the record of gear and people", "", SourceStatus.USER)

#: What stands so surely that lacking it fails; what is remembered, judged or usual only is asked for.
_CERTAIN = (SourceStatus.READ, SourceStatus.READ_SECOND_HAND, SourceStatus.USER)

#: Lengths that differ by less are the same: noise of floats and of unit conversion. [m]
_NOISE = 1e-6

#: What a job needs to know of a rope, and how a person calls it.
_NEEDED = {
    "strength_n": "strength as new",
    "diameter_m": "diameter",
    "fibre": "fibre",
    "construction": "construction",
}


def ask_about_record(job: Job) -> Iterator[Finding]:
    """What is asked of each tagged rope and each person with a code; nothing where a job names none.

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
            yield from _about_line(job, line)
    for member in job.crew:
        if member.person:
            where = Place(worker=member.name, line=member.line)
            yield _person(job, member.person, member.name, f"crew-record/{member.name}", where)
    if job.rescue.person:
        where = Place(name=job.name)
        yield _person(job, job.rescue.person, job.rescue.by, "rescuer-record/job", where)
    yield from _twice(job)


def _about_line(job: Job, line: Line) -> Iterator[Finding]:
    where = Place(line=line.name, anchor=line.anchor, worker=_worker(job, line))
    question = _question(f"gear-record/{line.name}", f"Is rope {line.tag} fit to be on this job?", where, line.tag)
    if job.record is None:
        yield _not_read(question, line.tag)
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


def _worker(job: Job, line: Line) -> str | None:
    return next((member.name for member in job.crew if member.line == line.name), None)


def _question(name: str, text: str, where: Place, thing: str, *sources: Source) -> Question:
    return Question(name, text, thing, where, "as the record has it", {"named": thing}, sources or (_RECORD,))


def _not_read(question: Question, named: str) -> Finding:
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
        _question(question.id, question.text, question.where, piece.tag, *sources, _RECORD),
        found.verdict,
        f"{told}; {texts}.",
        decide="; ".join(reason.text for reason in found.reasons) if found.verdict is Verdict.ASK else "",
    )


def _long_enough(job: Job, line: Line, piece: Piece, where: Place) -> Finding:
    """The rope as it is, against the line as it is set with its knots and tails."""
    text = f"Is rope {piece.tag} long enough for the line as it is set?"
    if piece.length is None:
        return answer_by_person(
            _question(f"gear-length/{line.name}", text, where, piece.tag),
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
        sources=(_RECORD,),
    )


def _silent(line: Line, piece: Piece, where: Place) -> Iterator[Finding]:
    """What the record does not tell of the rope is taken from the job, and asked."""
    lacking = [words for key, words in _NEEDED.items() if piece.told.get(key) is None]
    if lacking:
        yield answer_by_person(
            _question(f"gear-told/{line.name}", f"Is {piece.tag} the rope that the job describes?", where, piece.tag),
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
            _question(f"gear-holder/{line.name}", f"Is rope {piece.tag} at hand?", where, piece.tag),
            Verdict.ASK,
            f"{piece.tag} is out with {piece.holder}{out} since {piece.body['out_since']}.",
            decide=f"Whether {piece.tag} is back, and looked over, before this job begins.",
        )


def _recorded_name(job: Job, member: CrewMember) -> str:
    state = job.record.people.get(member.person) if job.record and member.person else None
    return str(state.body["name"]).strip().casefold() if state else ""


def _person(job: Job, code: str, name: str, finding: str, where: Place) -> Finding:
    rescues = finding.startswith("rescuer")
    text = f"May {name or code} {'be counted on for rescue' if rescues else 'be on this job'}, by the record?"
    question = _question(finding, text, where, code)
    if job.record is None:
        return _not_read(question, code)
    state = job.record.people.get(code)
    if state is None:
        return answer_by_person(question, Verdict.FAILS, f"The record knows nobody with the code {code}.")
    task = task_of(job, code, str(state.body["name"]))
    task = with_gear(task, job.record.given.get(code, ()))
    found = missing_of(state, job.pack, task, today=job.record.day, units=job.units)
    if not found:
        asked = f"nothing that is asked of {' and '.join(task.roles)} is missing"
        return answer_by_person(question, Verdict.HOLDS, f"{code} on {job.record.day}: {asked}.")
    return _lacking(question, code, found)


def _lacking(question: Question, code: str, found: Sequence[Missing]) -> Finding:
    """What is missing: by a text that was read it fails, by what is remembered, judged or usual it is asked."""
    surely = [one for one in found if one.source.status in _CERTAIN and one.what != "mass/rule"]
    verdict = worst([Verdict.ASK, *(Verdict.FAILS for _ in surely)])
    ordered = [*surely, *(one for one in found if one not in surely)]
    sources = tuple(dict.fromkeys(one.source for one in ordered))
    return answer_by_person(
        _question(question.id, question.text, question.where, code, *sources),
        verdict,
        f"{code} lacks: {_joined(_texts(ordered))}.",
        decide=_joined(one.mend for one in ordered) if verdict is Verdict.ASK else "",
    )


def _texts(found: Iterable[Missing]) -> Iterator[str]:
    """Texts of what is missing, the topics of training in one."""
    bare = [one.what.removeprefix("topic/") for one in found if _is_bare(one)]
    if bare:
        yield f"no training in {', '.join(bare)}"
    yield from (one.text.removesuffix(".") for one in found if not _is_bare(one))


def _is_bare(one: Missing) -> bool:
    return one.text == f"No training in {one.what.removeprefix('topic/')}."


def _joined(texts: Iterable[str]) -> str:
    return "; ".join(f"{text[0].lower()}{text[1:]}" if text[:2].istitle() else text for text in texts)


def _twice(job: Job) -> Iterator[Finding]:
    """One rope can't be two lines, and one person can't hang on two."""
    for tag, count in Counter(line.tag for line in job.lines if line.tag).items():
        if count > 1:
            question = _question(f"gear-twice/{tag}", f"Is rope {tag} named once only?", Place(name=tag), tag)
            yield answer_by_person(
                question, Verdict.FAILS, f"{count} lines name the rope {tag}; cut it, or name another."
            )
    for code, count in Counter(member.person for member in job.crew if member.person).items():
        if count > 1:
            question = _question(f"crew-twice/{code}", f"Is {code} named once only?", Place(name=code), code)
            yield answer_by_person(question, Verdict.FAILS, f"{count} workers of the job have the code {code}.")
