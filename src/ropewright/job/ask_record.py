"""Questions about the people that a job names by their codes: what does the record say of them?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from ropewright.findings import Finding, Place, SourceStatus, Verdict, worst
from ropewright.job.ask_tags import ask_about_tags, not_read, question_of
from ropewright.job.asking import Question, answer_by_person
from ropewright.job.crew_gear import with_gear
from ropewright.job.crew_missing import Missing, missing_of, task_of
from ropewright.job.model import Job

__all__ = ["ask_about_record"]

#: What stands so surely that lacking it fails; what is remembered, judged or usual only is asked for.
_CERTAIN = (SourceStatus.READ, SourceStatus.READ_SECOND_HAND, SourceStatus.USER)


def ask_about_record(job: Job) -> Iterator[Finding]:
    """What is asked of the gear and the people that a job names by tag and code; nothing where it names none.

    Parameters
    ----------
    job : Job
        With `record`, if one was read; without one what it names is asked, never taken as fit.

    Yields
    ------
    Finding
    """
    yield from ask_about_tags(job)
    for member in job.crew:
        if member.person:
            where = Place(worker=member.name, line=member.line)
            yield _person(job, member.person, member.name, f"crew-record/{member.name}", where)
    if job.rescue.person:
        where = Place(name=job.name)
        yield _person(job, job.rescue.person, job.rescue.by, "rescuer-record/job", where)
        yield from _alone(job)
    yield from _twice(job)


def _person(job: Job, code: str, name: str, finding: str, where: Place) -> Finding:
    rescues = finding.startswith("rescuer")
    text = f"May {name or code} {'be counted on for rescue' if rescues else 'be on this job'}, by the record?"
    question = question_of(finding, text, where, code)
    if job.record is None:
        return not_read(question, code)
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
        question_of(question.id, question.text, question.where, code, *sources),
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


def _alone(job: Job) -> Iterator[Finding]:
    """Whoever is to rescue and is the only one on the roof can't reach themselves."""
    code = job.rescue.person
    if [member.person for member in job.crew] == [code]:
        text = "Is there somebody to rescue the rescuer?"
        yield answer_by_person(
            question_of("rescuer-alone/job", text, Place(name=job.name), code),
            Verdict.ASK,
            f"{code} is to rescue, and is the only one who works on this roof.",
            decide="Who brings them down: somebody else at hand, or they themselves with gear made for it.",
        )


def _twice(job: Job) -> Iterator[Finding]:
    """One person can't hang on two lines."""
    for code, count in Counter(member.person for member in job.crew if member.person).items():
        if count > 1:
            question = question_of(f"crew-twice/{code}", f"Is {code} named once only?", Place(name=code), code)
            yield answer_by_person(question, Verdict.FAILS, f"{count} workers of the job have the code {code}.")
