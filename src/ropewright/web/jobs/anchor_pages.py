"""Where a job's anchors must go: looked for in the process for long work, taken by one button."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.store.jobs import Job
from ropewright.web.form_error import FormError
from ropewright.web.forms import Fault, Faulty, Posted, faults_of
from ropewright.web.jobs.keeping import JobNumber, keep_version, layout_key, start_layout
from ropewright.web.jobs.plan_pages import inline_drawing
from ropewright.web.jobs.tasks import LaidOut
from ropewright.web.security_session import CurrentUser
from ropewright.web.store import Store, StoreOf
from ropewright.web.view import render
from ropewright.web.words import _
from ropewright.web.work import Lanes, State, Work
from ropewright.web.work_api import WorkModel, work_model

__all__ = ["AnchorsPage", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class AnchorsPage:
    """What the page of anchors shows.

    Parameters
    ----------
    job : Job
    texts, faults
        Of the form.
    work : WorkModel or None
        While they are looked for.
    found : LaidOut or None
        Once they were, for the state that the job is in.
    drawing : Markup or None
    ended : str
        Why there is nothing: ``stopped``, ``failed`` or ``refused``; empty else.
    """

    job: Job
    texts: dict[str, str]
    faults: Faulty
    work: WorkModel | None = None
    found: LaidOut | None = None
    drawing: Markup | None = None
    ended: str = ""


@router.get("/{number}/anchors", name="job_anchors")
def anchors(request: Request, number: JobNumber, store: StoreOf) -> HTMLResponse:
    """Show the form, how far the work is, or what it found."""
    return render(request, "jobs/anchors.html", _page(request, store, number, {"keep": "yes", "most": ""}, Faulty()))


@router.post("/{number}/anchors")
def look(request: Request, number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:  # noqa: ARG001
    """Begin to look for them."""
    try:
        most = _most(form.text("most"))
    except FormError as error:
        page = _page(request, store, number, form.texts(), faults_of(error))
        return render(request, "jobs/anchors.html", page, status=422)
    start_layout(store, request.app.state.works, store.jobs.version(number), keep=form.flag("keep"), most=most)
    return RedirectResponse(f"/jobs/{number}/anchors", status_code=303)


@router.post("/{number}/anchors/take")
def take(request: Request, number: JobNumber, store: StoreOf, user: CurrentUser) -> Response:
    """Put the anchors found into the job, as a further version, and show what that changed."""
    work = _work(request, number)
    if work is None or not isinstance(work.result, LaidOut):
        raise HTTPException(404)
    found = work.result
    job = keep_version(store, number, found.text, by=user.name, note=_("anchors laid out"), based_on=found.version)
    return RedirectResponse(f"/jobs/{number}/compare?old={found.version}&new={job.version}", status_code=303)


def _work(request: Request, number: int) -> Work | None:
    lanes: Lanes = request.app.state.works
    return lanes.long.of_key(layout_key(number))


def _page(request: Request, store: Store, number: int, texts: dict[str, str], faults: Faulty) -> AnchorsPage:
    job, work = store.jobs.job(number), _work(request, number)
    if work is None:
        return AnchorsPage(job, texts, faults)
    if not work.state.has_ended:
        return AnchorsPage(job, texts, faults, work=work_model(work))
    if work.state is not State.DONE:
        told: tuple[Fault, ...] = (*faults.faults, *work.faults)
        return AnchorsPage(job, texts, Faulty(told), ended=work.state.value)
    found: LaidOut = work.result
    if found.version != job.version:
        return AnchorsPage(job, texts, faults)
    return AnchorsPage(job, texts, faults, found=found, drawing=inline_drawing(found.drawing))


def _most(text: str) -> int | None:
    if not text:
        return None
    if not text.isdecimal() or len(text) > 4 or int(text) > 1000:
        raise FormError("most", text[:20], _("give a whole number from 0 to 1,000, or leave it blank"))
    return int(text)
