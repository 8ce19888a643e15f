"""Long work on jobs, done in the process for it: what it gives is plain, so that it can come back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ropewright.web.work_process import Report

if TYPE_CHECKING:
    from ropewright.job.assessment import Assessment
    from ropewright.job.recorded import Recorded

__all__ = ["LaidOut", "PlanMade", "lay_out", "plan", "warm"]


@dataclass(frozen=True, slots=True)
class PlanMade:
    """A plan as it was worked out, and its answer; see `ropewright.store.job_plans.Plan`."""

    content: Mapping[str, Any]
    findings: str
    map: str
    pdf: bytes
    answer: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class LaidOut:
    """Anchors that were looked for: words, drawing, and the job file with them in it."""

    version: int
    words: str
    drawing: str
    text: str
    holds: bool
    proposed: int


def warm(report: Report) -> None:
    """Work out the invented example for nobody, so that the first plan of somebody need not wait for compiling."""
    from ropewright.job import new_job_text

    plan(report, new_job_text("metric"), {}, "metric")


def plan(
    report: Report, text: str, files: Mapping[str, bytes], units: str, recorded: Recorded | None = None
) -> PlanMade:
    """Work out a job.

    Parameters
    ----------
    report : callable
    text : str
        The job file.
    files : mapping of str to bytes
        Those it names.
    units : str
        ``us`` or ``metric``: what the answers are worded in.
    recorded : Recorded, optional
        What the record says of the gear and people that the job names.

    Raises
    ------
    InputError, InputErrors
        If the job can't be read.
    """
    from ropewright.job import assess
    from ropewright.job.opened import in_units, opened_job
    from ropewright.job.real_gear import with_record
    from ropewright.sheets.document import findings_json
    from ropewright.sheets.map import map_svg
    from ropewright.sheets.pdf import pdf_bytes
    from ropewright.sheets.pdf_content import pdf_content

    report("reading", 0.0)
    with opened_job(text, files) as job:
        assessment = assess(with_record(in_units(job, units), recorded), progress=report)
    report("drawing the map", 0.9)
    drawn = map_svg(assessment)
    report("setting the plan", 0.93)
    content = pdf_content(assessment, drawn=drawn)
    pdf = pdf_bytes(assessment, drawn=drawn)
    return PlanMade(_shown(content, assessment), findings_json(assessment), drawn, pdf, _answer(assessment))


def _shown(content: dict[str, Any], assessment: Assessment) -> dict[str, Any]:
    """Content of the sheet, without the map, and with what each mend changes."""
    changes = {one.id: dict(one.remedy.change) for one in assessment.findings if one.remedy is not None}
    findings = [{**one, "change": changes.get(one["id"], {})} for one in content["findings"]]
    return {**content, "map": {"alt": content["map"]["alt"]}, "findings": findings}


def _answer(assessment: Assessment) -> dict[str, Any]:
    """What the list shows at a glance."""
    counts = Counter(one.verdict.value for one in assessment.findings)
    return {"verdict": assessment.verdict.value, "counts": dict(counts)}


def lay_out(
    report: Report, text: str, files: Mapping[str, bytes], version: int, keep: bool, most: int | None
) -> LaidOut:
    """Look for the fewest anchors that hold everybody everywhere.

    Parameters
    ----------
    report : callable
    text, files
        As in `plan`.
    version : int
        Of the job; it comes back with the answer.
    keep : bool
        The job's anchors stay.
    most : int or None
        New anchors at most.

    Raises
    ------
    InputError, InputErrors
        If the job can't be read, or there is no place for an anchor.
    """
    from ropewright.job.layout import plan_anchors
    from ropewright.job.layout_model import Wanted
    from ropewright.job.layout_write import job_text_with
    from ropewright.job.opened import opened_job
    from ropewright.sheets.layout_map import layout_map_svg
    from ropewright.sheets.layout_text import layout_text

    with opened_job(text, files) as job:
        layout = plan_anchors(job, Wanted(keep=keep, most=most), progress=report)
        folder = job.path.parent if job.path else None
        assert folder is not None  # a job that was opened lies in a folder for as long as it is open
        changed = job_text_with(layout, text, folder=folder, into=folder)
    # unwrapped, since a page wraps by itself; what it says of the command's options means nothing here
    words = layout_text(layout, [], width=2000).replace("; --json lists them all", "")
    return LaidOut(version, words, layout_map_svg(layout), changed, layout.holds, len(layout.anchors))
