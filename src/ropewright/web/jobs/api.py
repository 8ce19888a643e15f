"""Jobs for scripts: the same doings as on the pages, in JSON; numbers are SI."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, JsonValue
from starlette.requests import Request
from starlette.responses import Response

from ropewright.store.jobs import Job, Version
from ropewright.web.jobs.keeping import (
    JobNumber,
    bounded_version,
    changed_job_text,
    checked_name,
    keep_new,
    keep_version,
    mended_text,
    plan_asked,
    plan_files,
    plan_of,
    plan_units,
    start_layout,
    start_plan,
)
from ropewright.web.security_session import CurrentUser
from ropewright.web.store import StoreOf
from ropewright.web.work_api import WorkModel, work_model

__all__ = ["router", "shallow"]

router = APIRouter(tags=["jobs"])

_DEEPEST = 6
_Number = Annotated[int, Field(ge=1, le=2**31 - 1)]
_Text = Annotated[str, Field(max_length=1 << 20, description="A job file, TOML.")]
_Note = Annotated[str, Field(max_length=200, pattern=r"^[^\x00-\x1f]*$", description="What was changed, in words.")]
_VersionAsked = Annotated[int | None, Query(ge=1, le=2**31 - 1, description="The last if left out.")]


def shallow(value: JsonValue) -> JsonValue:
    """Refuse what no job file needs, before anything walks down into it."""
    level: list[Any] = [value]
    for _depth in range(_DEEPEST):
        nested = [one for one in level if isinstance(one, (list, dict))]
        level = [inner for one in nested for inner in (one.values() if isinstance(one, dict) else one)]
    if any(isinstance(one, (list, dict)) for one in level):
        raise ValueError(f"nested more than {_DEEPEST} deep")
    return value


class _Asked(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class NewJob(_Asked):
    """A job to be made."""

    text: _Text
    note: _Note = ""


class NewVersion(NewJob):
    """A further state of a job."""

    based_on: _Number = Field(description="Version that was changed; refused if it is not the last any more.")


class Changes(_Asked):
    """Fields to be replaced in a job file; its comments stay."""

    fields: dict[str, Annotated[JsonValue, AfterValidator(shallow)]] = Field(
        max_length=200, description="Path of each field, such as line[0].length, to its new value."
    )
    note: _Note = ""
    based_on: _Number


class Archiving(_Asked):
    """Whether a job is put away."""

    archived: bool


class Mending(_Asked):
    """A finding whose mend is to be made."""

    version: _Number
    finding: str = Field(max_length=300)


class LayoutAsked(_Asked):
    """How anchors are to be looked for."""

    keep: bool = Field(default=True, description="The job's anchors stay and cost nothing.")
    most: int | None = Field(default=None, ge=0, le=1000, description="New anchors at most.")


class AnswerModel(BaseModel):
    """The answer of a plan at a glance."""

    verdict: str
    counts: dict[str, int]


class JobModel(BaseModel):
    """A job."""

    number: int
    name: str
    archived: bool
    version: int
    updated: datetime
    by: str
    answer: AnswerModel | None = Field(description="Of its last version; null: not worked out yet.")


class VersionModel(BaseModel):
    """A state of a job, with its text."""

    job: int
    version: int
    text: str
    by: str
    made: datetime
    note: str
    answer: AnswerModel | None


class NameModel(BaseModel):
    """Name of a job whose text can be read."""

    name: str


@router.get("")
def list_jobs(store: StoreOf, *, archived: bool = False) -> list[JobModel]:
    """List jobs, those changed last first."""
    return [_job(job) for job in store.jobs.listed(archived=archived)]


@router.post("", status_code=201)
def make(asked: NewJob, store: StoreOf, user: CurrentUser) -> JobModel:
    """Make a job of a job file."""
    return _job(keep_new(store, asked.text, {}, by=user.name, note=asked.note))


@router.post("/check")
def check(asked: NewJob) -> NameModel:
    """Read a job file and keep nothing; every fault is told with its field."""
    return NameModel(name=checked_name(asked.text, {}))


@router.get("/{number}")
def one_job(number: JobNumber, store: StoreOf) -> JobModel:
    """Say what a job is."""
    return _job(store.jobs.job(number))


@router.put("/{number}")
def change(number: JobNumber, asked: NewVersion, store: StoreOf, user: CurrentUser) -> JobModel:
    """Keep a further version of a job."""
    return _job(keep_version(store, number, asked.text, by=user.name, note=asked.note, based_on=asked.based_on))


@router.patch("/{number}")
def change_fields(number: JobNumber, asked: Changes, store: StoreOf, user: CurrentUser) -> JobModel:
    """Replace fields in a job's text and keep it as a further version."""
    text = changed_job_text(store.jobs.version(number, asked.based_on).text, asked.fields)
    return _job(keep_version(store, number, text, by=user.name, note=asked.note, based_on=asked.based_on))


@router.get("/{number}/versions")
def list_versions(number: JobNumber, store: StoreOf) -> list[VersionModel]:
    """List every state of a job, the last first."""
    return [_version(one) for one in store.jobs.versions(number)]


@router.get("/{number}/versions/{version}")
def one_version(number: JobNumber, version: JobNumber, store: StoreOf) -> VersionModel:
    """Give one state of a job, with its text."""
    return _version(store.jobs.version(number, version))


@router.post("/{number}/archive")
def archive(number: JobNumber, asked: Archiving, store: StoreOf, user: CurrentUser) -> JobModel:  # noqa: ARG001
    """Put a job away, or back into the list."""
    store.jobs.archive(number, archived=asked.archived)
    return _job(store.jobs.job(number))


@router.post("/{number}/plan", status_code=202)
def work_out(request: Request, number: JobNumber, store: StoreOf, version: _VersionAsked = None) -> WorkModel | None:
    """Work out the plan of a state; null if it is there already."""
    kept = store.jobs.version(number, bounded_version(version))
    units = plan_units(request, kept)
    if plan_of(store, kept, units) is not None:
        return None
    return work_model(start_plan(store, request.app.state.works, kept, units))


@router.get("/{number}/plan", response_model=dict[str, JsonValue])
def plan(request: Request, number: JobNumber, store: StoreOf, version: _VersionAsked = None) -> Response:
    """Give the findings of a plan, as in findings.json; 409 if it is not worked out yet."""
    files = plan_files(request, store, store.jobs.version(number, bounded_version(version)))
    return Response(files.findings, media_type="application/json")


@router.post("/{number}/mend")
def mend(request: Request, number: JobNumber, asked: Mending, store: StoreOf, user: CurrentUser) -> JobModel:
    """Make the change that mends a finding, as a further version."""
    version = store.jobs.version(number, asked.version)
    text, note = mended_text(plan_asked(request, store, version), version, asked.finding)
    return _job(keep_version(store, number, text, by=user.name, note=note, based_on=asked.version))


@router.post("/{number}/layout", status_code=202)
def lay_out(request: Request, number: JobNumber, asked: LayoutAsked, store: StoreOf) -> WorkModel:
    """Look for the fewest anchors that hold everybody; what came out is on the page that the work names."""
    version = store.jobs.version(number)
    return work_model(start_layout(store, request.app.state.works, version, keep=asked.keep, most=asked.most))


def _job(job: Job) -> JobModel:
    return JobModel(
        number=job.number,
        name=job.name,
        archived=job.archived,
        version=job.version,
        updated=job.updated,
        by=job.by,
        answer=_answer(job.answer),
    )


def _version(one: Version) -> VersionModel:
    return VersionModel(
        job=one.job,
        version=one.version,
        text=one.text,
        by=one.by,
        made=one.made,
        note=one.note,
        answer=_answer(one.answer),
    )


def _answer(told: Mapping[str, Any] | None) -> AnswerModel | None:
    return None if told is None else AnswerModel.model_validate(told)
