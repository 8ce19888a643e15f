"""The least single change that mends a finding: solved for, then assessed again to prove it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from ropewright.errors import InputError, InputErrors
from ropewright.findings import Finding, Remedy, Verdict
from ropewright.job.assessment import Assessment
from ropewright.job.changes import changed
from ropewright.job.longest import Stops
from ropewright.job.offers import Case, Change, offers_for

__all__ = ["changes_for", "with_remedies"]


def with_remedies(
    assessment: Assessment, stops: Mapping[str, Stops], again: Callable[[Mapping[str, object]], Assessment]
) -> Assessment:
    """Attach to each finding that does not hold the first change that makes it hold.

    Parameters
    ----------
    assessment : Assessment
    stops : mapping of worker to Stops
        Longest settings of each worker's line.
    again : callable
        Reads and assesses a job from its tables.

    Returns
    -------
    Assessment
        A finding without a remedy is one that no change tried here mends, or that only a person can answer. No remedy
        makes another finding fail that did not.
    """
    job = assessment.job
    failing = _failing(assessment)
    tried: dict[tuple[tuple[str, str], ...], Assessment | None] = {}

    def after(change: Change) -> Assessment | None:
        key = tuple((name, repr(value)) for name, value in change.fields)
        if key not in tried:
            try:
                result = again(made_in(change, job.raw))
            except (InputError, InputErrors):
                tried[key] = None  # the changed job can't be built: no remedy
            else:
                tried[key] = None if _failing(result) - failing else result
        return tried[key]

    mended = tuple(_mended(finding, changes_for(assessment, finding, stops), after) for finding in assessment.findings)
    return replace(assessment, findings=mended)


def made_in(change: Change, raw: Mapping[str, object]) -> dict[str, object]:
    """Return a copy of the job file's tables with the change made."""
    result = dict(raw)
    for name, value in change.fields:
        result = changed(result, name, value)
    return result


def _failing(assessment: Assessment) -> frozenset[str]:
    return frozenset(finding.id for finding in assessment.findings if finding.verdict is Verdict.FAILS)


def _mended(finding: Finding, changes: Sequence[Change], after: Callable[[Change], Assessment | None]) -> Finding:
    for change in changes:
        result = after(change)
        if result is None:
            continue
        now = next((other for other in result.findings if other.id == finding.id), None)
        # A question that is not asked any more (an edge no longer reached) has nothing left to fail.
        verdict = Verdict.HOLDS if now is None else now.verdict
        if verdict is Verdict.HOLDS:
            fields = {name: _toml(value) for name, value in change.fields}
            remedy = Remedy(change.text, fields, proven=True, verdict_after=verdict, job_after=result.verdict)
            return replace(finding, remedy=remedy)
    return finding


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
    within = finding.margin is not None and finding.margin >= 0
    if finding.verdict is Verdict.HOLDS or (finding.verdict is Verdict.ASK and within):
        return ()  # a met limit that must still be confirmed needs a person, not a change
    return tuple(offers_for(Case(assessment.job, finding, stops)))
