"""Keeping jobs: a text is read before it is kept, and its name is the job's."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Annotated, Any

from fastapi import Path
from starlette.exceptions import HTTPException
from starlette.requests import Request

from ropewright.errors import InputError
from ropewright.quantity import UnitSystem
from ropewright.store.job_plans import Plan, PlanFiles
from ropewright.store.jobs import Job, Version
from ropewright.web.choices import choices_of
from ropewright.web.form_error import FormError
from ropewright.web.jobs.recorded import made_by, recorded_for
from ropewright.web.jobs.tasks import PlanMade
from ropewright.web.store import Store
from ropewright.web.words import _
from ropewright.web.work import Lanes, Work

__all__ = [
    "JobNumber",
    "bounded_version",
    "changed_job_text",
    "checked_name",
    "keep_new",
    "keep_version",
    "layout_key",
    "mended_text",
    "plan_asked",
    "plan_files",
    "plan_key",
    "plan_of",
    "plan_units",
    "start_layout",
    "start_plan",
    "told_draws",
    "with_draws",
]

#: Most draws of the inputs that a page asks for; they take minutes.
_MOST_DRAWS = 10_000

#: A number of a job or a version in an address; a database takes no larger ones.
JobNumber = Annotated[int, Path(ge=1, le=2**31 - 1)]


def bounded_version(version: int | None) -> int | None:
    """Return the number of a version in an address.

    Raises
    ------
    HTTPException
        404 if no database holds such a number.
    """
    if version is not None and not 1 <= version < 2**31:
        raise HTTPException(404)
    return version


def checked_name(text: str, files: Mapping[str, bytes]) -> str:
    """Name of the job that a text describes.

    Raises
    ------
    InputError, InputErrors
        If it can't be read.
    """
    from ropewright.job.opened import opened_job

    with opened_job(text, files) as job:
        return job.name


def keep_new(store: Store, text: str, files: Mapping[str, bytes], *, by: str, note: str) -> Job:
    """Job that is new, once its text was read; raises as `checked_name`."""
    return store.jobs.create(checked_name(text, files), text, by=by, note=note, files=files)


def keep_version(store: Store, number: int, text: str, *, by: str, note: str, based_on: int) -> Job:
    """Job with a further version, once its text was read.

    Raises
    ------
    InputError, InputErrors
        If it can't be read.
    UnknownJobError, JobChangedError
        As `Jobs.save`.
    """
    name = checked_name(text, store.jobs.files(number))
    return store.jobs.save(number, name, text, by=by, note=note, based_on=based_on)


def plan_units(request: Request, version: Version) -> str:
    """Units in which a plan is shown: those chosen, else those of the job."""
    chosen = choices_of(request).units
    if chosen is not None:
        return chosen.value
    return _told_units(version.text)


@lru_cache(maxsize=256)
def _told_units(text: str) -> str:
    """Units that a text tells; a page that many look at need not read it each time."""
    import tomllib

    head: Any = tomllib.loads(text).get("job", {})
    told = head.get("units") if isinstance(head, dict) else None
    return told if told in set(UnitSystem) else UnitSystem.METRIC.value


def told_draws(text: str) -> int:
    """How many draws of the inputs a text asks for; 0: none."""
    import tomllib

    plan: Any = tomllib.loads(text).get("plan", {})
    draws = plan.get("draws", 0) if isinstance(plan, dict) else 0
    return draws if isinstance(draws, int) else 0


def with_draws(text: str, told: str) -> str:
    """Text of a job whose inputs are drawn so often; blank: not at all.

    Raises
    ------
    FormError
        If it is no number of draws.
    """
    if told and (not told.isdecimal() or len(told) > 6 or int(told) > _MOST_DRAWS):
        raise FormError("draws", told[:20], _("give a whole number from 0 to 10,000, or leave it blank"))
    return changed_job_text(text, {"plan.draws": int(told or "0")})


def plan_of(store: Store, version: Version, units: str) -> Plan | None:
    """Plan of a version if it was worked out already."""
    return store.plans.find(version.job, version.version, units, program=made_by(store, version))


def plan_asked(request: Request, store: Store, version: Version) -> Plan:
    """Plan of a version, in the units of whoever asks.

    Raises
    ------
    HTTPException
        409 if it is not worked out yet.
    """
    plan = plan_of(store, version, plan_units(request, version))
    if plan is None:
        raise HTTPException(409, _("The plan is not worked out yet."))
    return plan


def plan_files(request: Request, store: Store, version: Version) -> PlanFiles:
    """Files of the plan of a version; raises as `plan_asked`."""
    plan_asked(request, store, version)
    files = store.plans.files(version.job, version.version, plan_units(request, version))
    if files is None:  # dropped between the two looks
        raise HTTPException(409, _("The plan is not worked out yet."))
    return files


def changed_job_text(text: str, fields: Mapping[str, object]) -> str:
    """Text of a job file with fields replaced.

    Raises
    ------
    InputError
        If a path leads nowhere, or a value can't stand in such a file.
    """
    from ropewright.job.changed_text import changed_text

    try:
        return changed_text(text, fields)
    except ValueError as error:
        raise InputError("fields", ", ".join(fields)[:80], f"name fields that are there ({error})") from error


def mended_text(plan: Plan, version: Version, finding: str) -> tuple[str, str]:
    """Text of a job with the mend of a finding made, and what it does, in words.

    Raises
    ------
    HTTPException
        404 if the plan has no such finding, or the finding no mend.
    """
    from ropewright.job.changed_text import value_of

    for one in plan.content["findings"]:
        if one["id"] == finding and one["change"]:
            fields = {field: value_of(value) for field, value in one["change"].items()}
            return changed_job_text(version.text, fields), one["remedy"][:200]
    raise HTTPException(404)


def start_plan(store: Store, lanes: Lanes, version: Version, units: str) -> Work:
    """Work that makes the plan of a version and keeps it; that which is under way, if there is one.

    Raises
    ------
    FullError
        If too much is waiting.
    """
    by, recorded = made_by(store, version), recorded_for(store, version)

    def keep(made: PlanMade) -> None:
        plan, files = Plan(made.content, made.map, by), PlanFiles(made.findings, made.pdf)
        store.plans.keep(version.job, version.version, units, plan, files, made.answer)

    # draws of the inputs take long: nobody's plain plan shall wait for them
    lane = lanes.long if told_draws(version.text) else lanes.plans
    return lane.start(
        plan_key(version.job, version.version, units),
        "ropewright.web.jobs.tasks:plan",
        version.text,
        store.jobs.files(version.job),
        units,
        recorded,
        then=keep,
        page=f"/jobs/{version.job}?version={version.version}",
    )


def plan_key(job: int, version: int, units: str) -> str:
    """Key of the work on a plan."""
    return f"plan/{job}/{version}/{units}"


def start_layout(store: Store, lanes: Lanes, version: Version, *, keep: bool, most: int | None) -> Work:
    """Work that looks for anchors; raises as `start_plan`."""
    return lanes.long.start(
        layout_key(version.job),
        "ropewright.web.jobs.tasks:lay_out",
        version.text,
        store.jobs.files(version.job),
        version.version,
        keep,
        most,
        page=f"/jobs/{version.job}/anchors",
    )


def layout_key(job: int) -> str:
    """Key of the work on a layout."""
    return f"layout/{job}"
