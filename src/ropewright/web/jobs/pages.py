"""The list of jobs; new ones from a file, a copy or the example; text, files, putting away."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ropewright.errors import InputError, InputErrors
from ropewright.store.jobs import Job, Version
from ropewright.web.choices import choices_of
from ropewright.web.drafts import drop_typed, typed
from ropewright.web.forms import Faulty, Posted, PostedForm, faults_of
from ropewright.web.jobs.keeping import JobNumber, bounded_version, keep_new, keep_version
from ropewright.web.security_session import CurrentUser
from ropewright.web.security_upload import checked_upload
from ropewright.web.store import StoreOf
from ropewright.web.view import render
from ropewright.web.words import _

__all__ = ["JobListPage", "TextPage", "UploadPage", "VersionsPage", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class JobListPage:
    """What the list shows."""

    jobs: list[Job]
    archived: bool


@dataclass(frozen=True, slots=True)
class UploadPage:
    """What the form for a job file shows."""

    faults: Faulty


@dataclass(frozen=True, slots=True)
class TextPage:
    """What the form for a job's text shows; `changed` names the version that somebody made meanwhile."""

    job: Job
    texts: dict[str, str]
    faults: Faulty
    since: str
    files: list[str]


@dataclass(frozen=True, slots=True)
class VersionsPage:
    """What the list of past states shows."""

    job: Job
    versions: list[Version]


@router.get("", name="job_list")
def job_list(request: Request, store: StoreOf, archived: str = "") -> HTMLResponse:
    """Show the jobs, or those put away."""
    away = archived == "yes"
    return render(request, "jobs/list.html", JobListPage(store.jobs.listed(archived=away), away))


@router.post("/example")
def example(request: Request, store: StoreOf, user: CurrentUser) -> Response:
    """Make a job of the invented example."""
    from ropewright.job import new_job_text

    units = choices_of(request).units
    job = keep_new(store, new_job_text(units.value if units else "metric"), {}, by=user.name, note=_("example"))
    return _to_job(request, job.number)


@router.post("/draw")
def draw_new(request: Request, store: StoreOf, user: CurrentUser) -> Response:
    """Make a job of the invented example, to be drawn over."""
    from ropewright.job import new_job_text

    units = choices_of(request).units
    text = new_job_text(units.value if units else "metric")
    job = keep_new(store, text, {}, by=user.name, note=_("begun in the drawing"))
    return RedirectResponse(str(request.app.url_path_for("job_draw", number=job.number)), status_code=303)


@router.get("/upload")
def upload_form(request: Request) -> HTMLResponse:
    """Show the form for a job file."""
    return render(request, "jobs/upload.html", UploadPage(Faulty()))


@router.post("/upload")
def upload(request: Request, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Make a job of a job file, with the roof file that it names."""
    try:
        sent = checked_upload(form.files.get("file"), "job", "file")
        roof = form.files.get("roof")
        files = {}
        if roof is not None and roof.name:
            files[roof.name] = checked_upload(roof, "roof", "roof").content
        job = keep_new(store, sent.content.decode("utf-8-sig"), files, by=user.name, note=sent.name)
    except (InputError, InputErrors) as error:
        return render(request, "jobs/upload.html", UploadPage(faults_of(error)), status=422)
    return _to_job(request, job.number)


@router.get("/{number}/text")
def text_form(request: Request, number: JobNumber, store: StoreOf, user: CurrentUser) -> HTMLResponse:  # noqa: ARG001
    """Show the job's text to be changed, as it was typed before if it was."""
    version = store.jobs.version(number)
    fresh = {"text": version.text, "note": "", "based_on": str(version.version)}
    known = typed(request, f"job-{number}-text", fresh)
    since = known.since.astimezone().strftime("%H:%M") if known.since else ""
    return render(request, "jobs/text.html", _text_page(store, number, known.texts, Faulty(), since))


@router.post("/{number}/text")
def change_text(request: Request, number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:
    """Keep the changed text as a further version."""
    text = form.fields.get("text", ("",))[0]
    try:
        keep_version(store, number, text, by=user.name, note=form.text("note")[:200], based_on=_based_on(form))
    except (InputError, InputErrors) as error:
        page = _text_page(store, number, {**form.texts(), "text": text}, faults_of(error), "")
        return render(request, "jobs/text.html", page, status=422)
    drop_typed(request, f"job-{number}-text")
    return _to_job(request, number)


@router.post("/{number}/text/again")
def text_again(request: Request, number: JobNumber, store: StoreOf, user: CurrentUser) -> Response:  # noqa: ARG001
    """Forget what was typed."""
    drop_typed(request, f"job-{number}-text")
    return RedirectResponse(f"/jobs/{number}/text", status_code=303)


@router.post("/{number}/files")
def keep_file(request: Request, number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:  # noqa: ARG001
    """Keep a roof file with the job."""
    try:
        sent = checked_upload(form.files.get("roof"), "roof", "roof")
        store.jobs.keep_file(number, sent.name, sent.content)
    except (InputError, InputErrors) as error:
        version = store.jobs.version(number)
        texts = {"text": version.text, "note": "", "based_on": str(version.version)}
        return render(request, "jobs/text.html", _text_page(store, number, texts, faults_of(error), ""), status=422)
    return RedirectResponse(f"/jobs/{number}/text", status_code=303)


@router.get("/{number}/file", name="job_file")
def download(number: JobNumber, store: StoreOf, version: int | None = None) -> Response:
    """Give the job file."""
    job, kept = store.jobs.job(number), store.jobs.version(number, bounded_version(version))
    return _attached(kept.text.encode(), "application/toml", f"{_file_stem(job.name)}.toml")


@router.post("/{number}/copy")
def copy(request: Request, number: JobNumber, store: StoreOf, user: CurrentUser) -> Response:
    """Make another job like this one."""
    from ropewright.job.changed_text import changed_text

    version = store.jobs.version(number)
    name = _("%(name)s, copy", name=store.jobs.job(number).name)[:200]
    text = changed_text(version.text, {"job.name": name})
    note = _("copy of job %(number)s, version %(version)s", number=number, version=version.version)
    made = keep_new(store, text, store.jobs.files(number), by=user.name, note=note)
    return _to_job(request, made.number)


@router.post("/{number}/archive")
def archive(number: JobNumber, form: Posted, store: StoreOf, user: CurrentUser) -> Response:  # noqa: ARG001
    """Put a job away, or back into the list."""
    away = form.flag("archived")
    store.jobs.archive(number, archived=away)
    return RedirectResponse("/jobs" if away else f"/jobs/{number}", status_code=303)


@router.get("/{number}/versions")
def versions(request: Request, number: JobNumber, store: StoreOf) -> HTMLResponse:
    """Show every state of a job."""
    return render(request, "jobs/versions.html", VersionsPage(store.jobs.job(number), store.jobs.versions(number)))


def _text_page(store: StoreOf, number: int, texts: dict[str, str], faults: Faulty, since: str) -> TextPage:
    return TextPage(store.jobs.job(number), texts, faults, since, sorted(store.jobs.files(number)))


def _based_on(form: PostedForm) -> int:
    text = form.text("based_on")
    if not text.isdecimal() or len(text) > 9:
        raise InputError("based_on", text, "load the page again")
    return int(text)


def _to_job(request: Request, number: int) -> Response:
    return RedirectResponse(str(request.app.url_path_for("job", number=number)), status_code=303)


def _attached(content: bytes, kind: str, name: str) -> Response:
    return Response(content, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'})


def _file_stem(name: str) -> str:
    """Return a name for a file: plain letters, so that every system takes it."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "job"
