"""Turning a computed value and a limit of the pack into a finding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import SEVERITY, Finding, Place, Source, Verdict
from ropewright.job.model import Job
from ropewright.quantity import Dimension, Range, show
from ropewright.quantity.show import Toward
from ropewright.rules import Limit

__all__ = ["Question", "answer_by_limit", "answer_by_person", "judge_many"]

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
    """Hold a value against the strictest limit that the job's pack has for a fact.

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
        `fails` if the likely value is past the limit, `doubtful` if only the unsafe end is; `ask` if the value is
        not known or the pack has no figure.
    """
    limit = job.pack.governing(fact, {**job.facts, **(facts or {})})
    if limit is None:
        return _without_limit(job, question, value, dimension, nothing)
    if value is None:
        return _without_value(job, question, limit, dimension)
    unsafe = value.high if limit.operator in ("<=", "<") else value.low
    judged = limit.judge(min(value.likely, unsafe), max(value.likely, unsafe))
    verdict = judged.verdict
    if SEVERITY[verdict] < SEVERITY[Verdict.FAILS] and limit.judge(value.likely).verdict is Verdict.FAILS:
        verdict = Verdict.FAILS
    return Finding(
        id=question.id,
        question=question.text,
        verdict=verdict,
        summary=_sentence(job, question.thing, unsafe, limit, dimension, verdict),
        value=value.likely,
        low=value.low,
        high=value.high,
        limit=float(limit.value),
        operator=limit.operator,
        margin=judged.margin,
        unit=_UNITS[dimension],
        dimension=dimension,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=(limit.source, *question.sources),
        decide=limit.decide if verdict is Verdict.ASK else "",
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


def judge_many(limit: Limit, likely: NDArray[np.float64], unsafe: NDArray[np.float64]) -> NDArray[np.int64]:
    """Severity of each of n values against one limit, as `limit.judge` would give it one by one.

    Parameters
    ----------
    limit : Limit
    likely, unsafe : array, shape (n,)
        Value at its likely inputs and at their unsafe end, SI; nan where nothing is asked.

    Returns
    -------
    array of int, shape (n,)
        `SEVERITY` of each; that of `holds` where nan.
    """
    codes = np.zeros(len(likely), np.int64)
    passing = SEVERITY[limit.at_best]
    asked = ~(np.isnan(likely) | np.isnan(unsafe))
    codes[asked] = passing
    codes[asked & ~_meets(limit, unsafe)] = SEVERITY[Verdict.DOUBTFUL] if passing == 0 else passing
    codes[asked & ~_meets(limit, likely)] = SEVERITY[Verdict.FAILS]
    return codes


def _meets(limit: Limit, values: NDArray[np.float64]) -> NDArray[np.bool_]:
    bound = float(limit.value)
    guard = 1e-9 * max(abs(bound), 1.0)  # the same as in `Limit.judge`: 6 ft given in metres is 6 ft
    met: NDArray[np.bool_]
    if limit.operator in ("<=", "<"):
        met = values <= bound + guard if limit.operator == "<=" else values < bound - guard
    else:
        met = values >= bound - guard if limit.operator == ">=" else values > bound + guard
    return met


_WORDS = {"<=": "at most", "<": "less than", ">=": "at least", ">": "more than"}


def _sentence(job: Job, thing: str, unsafe: float, limit: Limit, dimension: Dimension, verdict: Verdict) -> str:
    """``Free fall 5.2 ft; at most 6 ft is allowed``, the value rounded to its unsafe side."""
    toward: Toward = "high" if limit.operator in ("<=", "<") else "low"
    shown = show(unsafe, dimension, job.units, toward=toward) if np.isfinite(unsafe) else "without end"
    bound = show(float(limit.value), dimension, job.units)
    how = _WORDS[limit.operator]
    lead = {
        Verdict.HOLDS: f"{thing} {shown}; {how} {bound}",
        Verdict.DOUBTFUL: f"{thing} can come to {shown} at the unsafe end of its inputs; {how} {bound}",
        Verdict.ASK: f"{thing} {shown}; {how} {bound}, a figure that must be confirmed",
        Verdict.FAILS: f"{thing} {shown}; must be {how} {bound}",
    }
    return lead[verdict] + "."


def _without_limit(job: Job, question: Question, value: Range | None, dimension: Dimension, nothing: str) -> Finding:
    shown = "" if value is None else f" {show(value.likely, dimension, job.units)}"
    return Finding(
        id=question.id,
        question=question.text,
        verdict=Verdict.ASK,
        summary=f"{question.thing}{shown}; {job.pack.title} carries no figure for it.",
        value=None if value is None else value.likely,
        low=None if value is None else value.low,
        high=None if value is None else value.high,
        unit=_UNITS[dimension],
        dimension=dimension,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=question.sources,
        decide=nothing or "Which limit applies here, from the law, the standard or the maker's instructions.",
    )


def _without_value(job: Job, question: Question, limit: Limit, dimension: Dimension) -> Finding:
    bound = show(float(limit.value), dimension, job.units)
    return Finding(
        id=question.id,
        question=question.text,
        verdict=Verdict.ASK,
        summary=f"{question.thing} is not known; {_WORDS[limit.operator]} {bound} is asked for.",
        limit=float(limit.value),
        operator=limit.operator,
        unit=_UNITS[dimension],
        dimension=dimension,
        where=question.where,
        sources=(limit.source, *question.sources),
        decide=f"Find the figure on the gear or its data sheet: {_WORDS[limit.operator]} {bound}.",
    )
