"""The least single change that mends a finding: solved for, then assessed again to prove it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Protocol

from ropewright.errors import InputError, InputErrors
from ropewright.findings import Finding, Remedy, Verdict, worst
from ropewright.job.assessment import Assessment
from ropewright.job.changes import changed
from ropewright.job.longest import Stops
from ropewright.job.moving import KINDS
from ropewright.job.offers import Case, Change, offers_for

__all__ = ["changes_for", "with_remedies"]


class Again(Protocol):
    """Reads and assesses a job from its tables."""

    def __call__(self, raw: Mapping[str, object], *, moving: bool) -> Assessment: ...


class After(Protocol):
    """Assessment of the job with a change made, None if it can't be, or if it makes something else fail."""

    def __call__(self, change: Change, *, moving: bool) -> Assessment | None: ...


def with_remedies(assessment: Assessment, stops: Mapping[str, Stops], again: Again) -> Assessment:
    """Attach to each finding that does not hold the first change that makes it hold.

    Parameters
    ----------
    assessment : Assessment
    stops : mapping of worker to Stops
        Longest settings of each worker's line.
    again : callable
        Reads and assesses a job from its tables; with `moving` its falls are followed in three dimensions as well,
        which takes longest and is done for remedies of what that finds.

    Returns
    -------
    Assessment
        A finding without a remedy is one that no change tried here mends, or that only a person can answer. No remedy
        makes another finding fail that was answered and did not. Where a limit is known from memory only, the most
        that a change can do is to meet it; such a remedy is not called proven. Findings of falls in three dimensions
        count as unchanged by the remedies of all others.
    """
    job = assessment.job
    tried: dict[tuple[object, ...], Assessment | None] = {}

    def after(change: Change, *, moving: bool) -> Assessment | None:
        key = (moving, *((name, repr(value)) for name, value in change.fields))
        if key not in tried:
            try:
                result = again(made_in(change, job.raw), moving=moving)
            except (InputError, InputErrors):
                tried[key] = None  # the changed job can't be built: no remedy
            else:
                whole = result if moving else _with_moving(result, assessment)
                tried[key] = None if _makes_fail(assessment, whole) else whole
        return tried[key]

    mended = tuple(_mended(finding, changes_for(assessment, finding, stops), after) for finding in assessment.findings)
    return replace(assessment, findings=mended)


def _with_moving(after: Assessment, before: Assessment) -> Assessment:
    """A job assessed without its falls in three dimensions, with what they said before."""
    kept = tuple(finding for finding in before.findings if finding.id.split("/")[0] in KINDS)
    findings = (*after.findings, *kept)
    return replace(after, findings=findings, verdict=worst(finding.verdict for finding in findings))


def made_in(change: Change, raw: Mapping[str, object]) -> dict[str, object]:
    """Return a copy of the job file's tables with the change made."""
    result = dict(raw)
    for name, value in change.fields:
        result = changed(result, name, value)
    return result


#: A second line is named after the first: ``blue-2``.
_COPY = re.compile(r"-\d+$")


def _makes_fail(before: Assessment, after: Assessment) -> bool:
    """Whether a change makes a finding fail that was answered and did not; one that only could not be told may."""
    was = {finding.id: finding.verdict for finding in before.findings}
    fails = [finding.id for finding in after.findings if finding.verdict is Verdict.FAILS]
    return any(was.get(name, was.get(_COPY.sub("", name))) not in (Verdict.FAILS, Verdict.ASK) for name in fails)


def _mended(finding: Finding, changes: Sequence[Change], after: After) -> Finding:
    """The finding with the first change after which it holds; failing that, after which its limit is at least met."""
    second: Remedy | None = None
    moving = finding.id.split("/")[0] in KINDS
    for change in changes:
        result = after(change, moving=moving)
        if result is None:
            continue
        now = _same(result, finding)
        # A question that is not asked any more (an edge no longer reached) has nothing left to fail.
        verdict = Verdict.HOLDS if now is None else now.verdict
        fields = {name: _toml(value) for name, value in change.fields}
        remedy = Remedy(change.text, fields, verdict is Verdict.HOLDS, verdict, result.verdict)
        if remedy.proven:
            return replace(finding, remedy=remedy)
        if second is None and now is not None and _only_to_confirm(now):
            second = remedy
    return finding if second is None else replace(finding, remedy=second)


def _same(assessment: Assessment, finding: Finding) -> Finding | None:
    """The finding about the same question, None if it is not asked any more."""
    return next((other for other in assessment.findings if other.id == finding.id), None)


def _only_to_confirm(finding: Finding) -> bool:
    """Whether a limit is met and only asks whether it is the right one: a figure from memory never gives more."""
    return finding.verdict is Verdict.ASK and finding.margin is not None and finding.margin >= 0


def _toml(value: object) -> str:
    """Value as it would stand in a job file."""
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


def changes_for(assessment: Assessment, finding: Finding, stops: Mapping[str, Stops]) -> tuple[Change, ...]:
    """Changes worth trying for a finding, the least first.

    Parameters
    ----------
    assessment : Assessment
    finding : Finding
    stops : mapping of worker to Stops

    Returns
    -------
    tuple of Change
        Empty where the finding holds or where only a person can know.
    """
    if finding.verdict is Verdict.HOLDS:
        return ()
    return tuple(offers_for(Case(assessment.job, finding, stops)))
