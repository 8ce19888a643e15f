"""Turning a computed value and a limit of the pack into a finding."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ropewright.findings import Finding, Place, Source, Verdict
from ropewright.job.model import Job
from ropewright.job.ruled import Ruling, judge_one, rulings
from ropewright.quantity import Dimension, Range, show
from ropewright.quantity.show import Toward

__all__ = ["Question", "answer_by_limit", "answer_by_person"]

#: SI unit of what a finding can hold.
_UNITS: Mapping[Dimension, str] = {
    Dimension.LENGTH: "m",
    Dimension.FORCE: "N",
    Dimension.MASS: "kg",
    Dimension.ANGLE: "deg",
    Dimension.TIME: "s",
    Dimension.SPEED: "m/s",
    Dimension.VOLTAGE: "V",
    Dimension.AREA: "m2",
    Dimension.ENERGY: "J",
    Dimension.RATIO: "-",
    Dimension.COUNT: "-",
}


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked, where, and how the value was found."""

    id: str
    text: str  #: as a roofer would ask it
    thing: str  #: what the number is, to start a sentence: ``Free fall``
    where: Place = field(default_factory=Place)
    formula: str = ""
    inputs: Mapping[str, float | str] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()  #: of the formula; that of the limit is put first


def answer_by_limit(
    job: Job,
    question: Question,
    fact: str,
    value: Range | None,
    dimension: Dimension,
    *,
    facts: Mapping[str, object] | None = None,
    nothing: str = "",
) -> Finding:
    """Hold a value against all that the job's pack says of a fact.

    Parameters
    ----------
    job : Job
    question : Question
    fact : str
        Name of the fact in the rules catalogue.
    value : Range or None
        Value at its low, likely and high inputs, SI; None: not known, which is never good.
    dimension : Dimension
    facts : mapping, optional
        Other facts that decide which limit applies; those of the job are added.
    nothing : str
        What to say must be decided where the pack has no figure.

    Returns
    -------
    Finding
        `fails` if the likely value is past a limit, `doubtful` if only the unsafe end is; `ask` if the value is not
        known, if the pack has no figure, or if it has not been told whether the limit applies.
    """
    found = rulings(job, fact, facts)
    if value is None:
        return _without_value(job, question, found, dimension)
    if not found:
        return _without_rule(job, question, value, dimension, nothing)
    verdict, ruling, margin = judge_one(found, value)
    if not ruling.has_figure:
        return _without_figure(job, question, value, dimension, ruling, nothing)
    limit, unsafe = ruling.limit, value.high if ruling.at_most else value.low
    return Finding(
        id=question.id,
        question=question.text,
        verdict=verdict,
        summary=_sentence(job, question.thing, unsafe, ruling, dimension, verdict, margin),
        value=value.likely,
        low=value.low,
        high=value.high,
        limit=ruling.bound,
        operator=limit.safe_operator,
        margin=margin,
        unit=_UNITS[dimension],
        dimension=dimension,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=(limit.source, *question.sources),
        decide=_to_decide(ruling) if verdict is Verdict.ASK else "",
    )


def answer_by_person(
    question: Question, verdict: Verdict, summary: str, *, decide: str = "", value: float | None = None
) -> Finding:
    """Return a finding whose answer is no comparison of numbers: a yes or no, or a decision to be taken."""
    return Finding(
        id=question.id,
        question=question.text,
        verdict=verdict,
        summary=summary,
        value=value,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=question.sources,
        decide=decide,
    )


_WORDS = {"<=": "at most", "<": "less than", ">=": "at least", ">": "more than"}


def _bound(job: Job, ruling: Ruling, dimension: Dimension) -> str:
    """``at most 6 ft``."""
    return f"{_WORDS[ruling.limit.safe_operator]} {show(ruling.bound, dimension, job.units)}"


def _to_decide(ruling: Ruling, nothing: str = "") -> str:
    """What a person must decide or tell, so that a limit settles."""
    told = f"Tell {', '.join(ruling.untold)} under [facts]: it decides whether this limit applies."
    asked = ruling.limit.decide or nothing
    if ruling.certain:
        return asked or "Confirm this figure in its source before relying on it."
    return f"{told} Then: {asked}" if asked else told


def _sentence(
    job: Job, thing: str, unsafe: float, ruling: Ruling, dimension: Dimension, verdict: Verdict, margin: float | None
) -> str:
    """``Free fall 5.2 ft; at most 6 ft is allowed``, the value rounded to its unsafe side."""
    toward: Toward = "high" if ruling.at_most else "low"
    shown = show(unsafe, dimension, job.units, toward=toward) if math.isfinite(unsafe) else "without end"
    bound = _bound(job, ruling, dimension)
    if verdict is not Verdict.ASK:
        lead = {
            Verdict.HOLDS: f"{thing} {shown}; {bound}",
            Verdict.DOUBTFUL: f"{thing} can come to {shown} at the unsafe end of its inputs; {bound}",
            Verdict.FAILS: f"{thing} {shown}; must be {bound}",
        }
        return lead[verdict] + "."
    if not ruling.certain:
        return f"{thing} {shown}; {bound} if {' and '.join(map(str, ruling.limit.when))}, which is not told."
    if margin is not None and margin >= 0 and not ruling.limit.settles:
        return f"{thing} {shown}; {bound}, a figure that must be confirmed."
    return f"{thing} {shown}; {bound}, else a person must decide."


def _answer(question: Question, value: Range | None, dimension: Dimension, **told: object) -> Finding:
    """Return an answer that only asks, with what is known of the value."""
    shown = Finding(
        id=question.id,
        question=question.text,
        verdict=Verdict.ASK,
        summary="",
        value=None if value is None else value.likely,
        low=None if value is None else value.low,
        high=None if value is None else value.high,
        unit=_UNITS[dimension],
        dimension=dimension,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=question.sources,
    )
    return replace(shown, **told)  # type: ignore[arg-type]


def _without_rule(job: Job, question: Question, value: Range, dimension: Dimension, nothing: str) -> Finding:
    return _answer(
        question,
        value,
        dimension,
        summary=f"{_said(job, question, value, dimension)}; {job.pack.title} carries no figure for it.",
        decide=nothing or "Which limit applies here, from the law, the standard or the maker's instructions.",
    )


def _without_figure(
    job: Job, question: Question, value: Range, dimension: Dimension, ruling: Ruling, nothing: str
) -> Finding:
    """The pack speaks of it and says that its text gives no figure, or none for a case that can't be ruled out."""
    limit = ruling.limit
    return _answer(
        question,
        value,
        dimension,
        summary=f"{_said(job, question, value, dimension)}. {limit.summary}",
        sources=(limit.source, *question.sources),
        decide=_to_decide(ruling, nothing),
    )


def _said(job: Job, question: Question, value: Range, dimension: Dimension) -> str:
    """``Free fall 5.2 ft``; with no limit to say which end is unsafe, both are told."""
    ends = dict.fromkeys(
        show(end, dimension, job.units, toward=toward) if math.isfinite(end) else "without end"
        for end, toward in _ends(value)
    )
    return f"{question.thing} {' to '.join(ends)}"


def _ends(value: Range) -> tuple[tuple[float, Toward], ...]:
    return ((value.low, "low"), (value.high, "high")) if not value.is_exact else ((value.low, "nearest"),)


def _without_value(job: Job, question: Question, found: tuple[Ruling, ...], dimension: Dimension) -> Finding:
    figures = [one for one in found if one.has_figure]
    if not figures:
        return _answer(
            question,
            None,
            dimension,
            summary=f"{question.thing} is not known, and {job.pack.title} carries no figure for it.",
            sources=(*(one.limit.source for one in found), *question.sources),
            decide="Find the figure on the gear or its data sheet, and which limit applies here.",
        )
    ruling = figures[0]
    bound = _bound(job, ruling, dimension)
    return _answer(
        question,
        None,
        dimension,
        summary=f"{question.thing} is not known; {bound} is asked for.",
        limit=ruling.bound,
        operator=ruling.limit.safe_operator,
        sources=(ruling.limit.source, *question.sources),
        decide=f"Find the figure on the gear or its data sheet: {bound}.",
    )
