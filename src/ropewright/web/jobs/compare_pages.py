"""Two states of a job side by side: what was changed, and what that changed in the findings."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse

from ropewright.store.jobs import Job, Version
from ropewright.web.jobs.diff import ChangedFinding, Hunk, changed_findings, word_diff
from ropewright.web.jobs.keeping import JobNumber
from ropewright.web.jobs.plan_pages import worked_out
from ropewright.web.store import StoreOf
from ropewright.web.view import render
from ropewright.web.work_api import WorkModel

__all__ = ["ComparePage", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class ComparePage:
    """What the page of two states shows; `changes` is None while a plan is missing, and `work` then makes it."""

    job: Job
    old: Version
    new: Version
    hunks: tuple[Hunk, ...]
    changes: tuple[ChangedFinding, ...] | None
    work: WorkModel | None


@router.get("/{number}/compare", name="job_compare")
def compare(request: Request, number: JobNumber, store: StoreOf, old: int = 0, new: int = 0) -> HTMLResponse:
    """Show what differs between two states; their plans are worked out if they were not yet."""
    job = store.jobs.job(number)
    if not (0 <= old <= job.version and 0 <= new <= job.version):
        raise HTTPException(404)
    new = new or job.version
    old = old or max(1, new - 1)
    before, after = (worked_out(request, store, number, one) for one in (old, new))
    work = before.work or after.work
    changes = None
    if before.content is not None and after.content is not None:
        changes = changed_findings(before.content["findings"], after.content["findings"])
    hunks = word_diff(before.version.text, after.version.text)
    page = ComparePage(job, before.version, after.version, hunks, changes, work)
    return render(request, "jobs/compare.html", page)
