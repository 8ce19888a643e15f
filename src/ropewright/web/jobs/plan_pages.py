"""A job's plan: the answer, the map, findings worst first, each with its mend; on paper and as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from fastapi import APIRouter
from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.store.jobs import Job, Version
from ropewright.web.forms import Fault, Posted
from ropewright.web.jobs.keeping import (
    JobNumber,
    bounded_version,
    keep_version,
    mended_text,
    plan_asked,
    plan_files,
    plan_key,
    plan_of,
    plan_units,
    start_plan,
    told_draws,
    with_draws,
)
from ropewright.web.security_session import CurrentUser
from ropewright.web.store import Store, StoreOf
from ropewright.web.view import render
from ropewright.web.words import _
from ropewright.web.work import FullError, Lanes, State
from ropewright.web.work_api import WorkModel, work_model

__all__ = ["PlanPage", "inline_drawing", "router", "worked_out"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PlanPage:
    """What the page of a job shows.

    Parameters
    ----------
    job : Job
    version : Version
        The state shown; not always the last.
    content : mapping or None
        The plan's content, as `ropewright.sheets.pdf_content` has it; None while there is none.
    map : Markup or None
        The map, made by the program itself.
    work : WorkModel or None
        Work on the plan that has not ended.
    ended : str
        Why there is no plan: ``stopped``, ``failed`` or ``refused``; empty else.
    faults : tuple of Fault
        Where it was refused.
    units : str
        Those that the content is worded in.
    plan : Markup or None
        The content as it is set, by `jobs/_plan.html`.
    """

    job: Job
    version: Version
    content: Mapping[str, Any] | None = None
    map: Markup | None = None
    work: WorkModel | None = None
    ended: str = ""
    faults: tuple[Fault, ...] = ()
    units: str = ""
    plan: Markup | None = None

    @property
    def draws(self) -> str:
        """How often the inputs are drawn, as it stands in the form."""
        return str(told_draws(self.version.text) or "")

    @property
    def is_last(self) -> bool:
        """Whether this is the last state, which can be changed."""
        return self.version.version == self.job.version


@router.get("/{number}", name="job")
def job_page(request: Request, number: JobNumber, store: StoreOf, version: int | None = None) -> HTMLResponse:
    """Show a job's plan; work it out first if it was not yet."""
    page = worked_out(request, store, number, bounded_version(version))
    if page.content is not None:
        key = (number, page.version.version, page.units, page.is_last)
        page = replace(page, plan=request.app.state.parts.part(request, "jobs/_plan.html", page, key))
    return render(request, "jobs/job.html", page)


@router.post("/{number}/plan")
def plan_again(request: Request, number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:  # noqa: ARG001
    """Work the plan out after it was stopped or failed."""
    version = store.jobs.version(number, _version_of(form))
    start_plan(store, request.app.state.works, version, plan_units(request, version))
    return RedirectResponse(f"/jobs/{number}?version={version.version}", status_code=303)


@router.post("/{number}/mend")
def mend(request: Request, number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Make the change that mends a finding, as a further version, and show what it changed."""
    version = store.jobs.version(number, _version_of(form))
    text, note = mended_text(plan_asked(request, store, version), version, form.text("finding"))
    job = keep_version(store, number, text, by=user.name, note=note, based_on=version.version)
    address = f"/jobs/{number}/compare?old={version.version}&new={job.version}"
    return RedirectResponse(address, status_code=303)


@router.post("/{number}/draws")
def draw_inputs(request: Request, number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:  # noqa: ARG001
    """Have the inputs drawn, as a further version of the job; its plan then says how doubtful its answers are."""
    version = store.jobs.version(number, _version_of(form))
    told = form.text("draws")
    note = _("inputs drawn %(count)s times", count=told or "0")
    text = with_draws(version.text, told)
    keep_version(store, number, text, by=user.name, note=note, based_on=version.version)
    return RedirectResponse(f"/jobs/{number}", status_code=303)


@router.get("/{number}/plan.pdf")
def pdf(request: Request, number: JobNumber, store: StoreOf, version: int | None = None) -> Response:
    """Give the plan on paper."""
    files = plan_files(request, store, store.jobs.version(number, bounded_version(version)))
    return _given(files.pdf, "application/pdf", f"plan-{number}.pdf")


@router.get("/{number}/map.svg")
def map_file(request: Request, number: JobNumber, store: StoreOf, version: int | None = None) -> Response:
    """Give the map."""
    plan = plan_asked(request, store, store.jobs.version(number, bounded_version(version)))
    return _given(plan.map.encode(), "image/svg+xml", f"map-{number}.svg")


@router.get("/{number}/findings.json")
def findings(request: Request, number: JobNumber, store: StoreOf, version: int | None = None) -> Response:
    """Give the findings as data."""
    files = plan_files(request, store, store.jobs.version(number, bounded_version(version)))
    return _given(files.findings.encode(), "application/json", f"findings-{number}.json")


def worked_out(request: Request, store: Store, number: int, version: int | None) -> PlanPage:
    """What there is of a plan; it is started if nobody stopped it.

    Raises
    ------
    UnknownJobError
    HTTPException
        429 if too much is waiting.
    """
    job, shown = store.jobs.job(number), store.jobs.version(number, version)
    units = plan_units(request, shown)
    plan = plan_of(store, shown, units)
    if plan is not None:
        return PlanPage(job, shown, plan.content, inline_drawing(plan.map), units=units)
    lanes: Lanes = request.app.state.works
    work = lanes.of_key(plan_key(number, shown.version, units))
    if work is None or work.state is State.DONE:  # done, but by now dropped: it is worked out anew
        try:
            work = start_plan(store, lanes, shown, units)
        except FullError as error:
            raise HTTPException(429) from error
    if work.state.has_ended:
        return PlanPage(job, shown, ended=work.state.value, faults=work.faults)
    return PlanPage(job, shown, work=work_model(work))


def inline_drawing(drawn: str) -> Markup:
    """Return a map as part of a page: without its declaration, and as wide as there is room."""
    return Markup(drawn[drawn.index("<svg") :])  # noqa: S704 - drawn by the program, which escapes all that was typed


def _given(content: bytes, kind: str, name: str) -> Response:
    return Response(content, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'})


def _version_of(form: Posted) -> int:
    text = form.text("version")
    if not text.isdecimal() or len(text) > 9:
        raise HTTPException(404)
    return int(text)
