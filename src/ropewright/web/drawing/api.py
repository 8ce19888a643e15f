"""The drawing in JSON: a job as it can be drawn, its falls while it changes, one fall in time."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, JsonValue
from starlette.requests import Request
from starlette.responses import Response

from ropewright.errors import InputError
from ropewright.web.drawing.keeping import Drawings, tables_with
from ropewright.web.jobs.api import shallow
from ropewright.web.jobs.keeping import JobNumber, plan_units
from ropewright.web.store import StoreOf
from ropewright.web.work import FullError

__all__ = ["router"]

router = APIRouter(tags=["drawing"])

_Document = dict[str, JsonValue]


class Drawn(BaseModel):
    """A job's version with changes that are not kept yet."""

    model_config = ConfigDict(extra="forbid", strict=True)

    based_on: int = Field(ge=1, le=2**31 - 1, description="Version that is changed.")
    fields: dict[str, Annotated[JsonValue, AfterValidator(shallow)]] = Field(
        default_factory=dict, max_length=200, description="Path of each field, such as anchor[0].at, to its new value."
    )


class FallAsked(Drawn):
    """One edge point whose fall is asked for."""

    worker: str = Field(max_length=200)
    point: int = Field(ge=0, le=10**6, description="Number of the edge point, as /live counts them.")


@router.get("/{number}", response_model=_Document)
def drawing(request: Request, number: JobNumber, store: StoreOf) -> Response:
    """Give the last version of a job as it can be drawn: its tables, the lengths in them, and the falls."""
    from ropewright.job.opened import opened_job
    from ropewright.web.drawing.shape import lengths_in, live_shape, tables_of

    version = store.jobs.version(number)
    with opened_job(version.text, store.jobs.files(number)) as job:
        _work, worked = _drawings(request).worked(number, job)
        tables = tables_of(job.raw)
        answer = {
            "job": number,
            "version": version.version,
            "name": job.name,
            "units": plan_units(request, version),
            "tables": tables,
            "lengths": lengths_in(tables),
            "live": live_shape(job, worked),
        }
    return _json(answer)


@router.post("/{number}/live", response_model=_Document)
def live(request: Request, number: JobNumber, asked: Drawn, store: StoreOf) -> Response:
    """Work the falls of a changed job out and keep nothing; a fault is told with its field."""
    from ropewright.job.opened import named_files, opened_tables
    from ropewright.web.drawing.shape import live_shape

    version = store.jobs.version(number, asked.based_on)
    tables = tables_with(version.text, asked.fields)
    # most jobs name no file: then nothing is fetched for them at each move
    files = store.jobs.files(number) if named_files(tables) else {}
    with opened_tables(tables, files) as job:
        _work, worked = _drawings(request).worked(number, job)
        told = live_shape(job, worked)
    _leave_compiling(request)
    return _json(told)


@router.post("/{number}/fall", response_model=_Document)
def fall(request: Request, number: JobNumber, asked: FallAsked, store: StoreOf) -> Response:
    """Follow the fall of one worker over one edge point, at likely inputs."""
    from ropewright.arrest.catch import CatchError
    from ropewright.job.opened import opened_tables
    from ropewright.web.drawing.shape import fall_shape

    version = store.jobs.version(number, asked.based_on)
    with opened_tables(tables_with(version.text, asked.fields), store.jobs.files(number)) as job:
        work, worked = _drawings(request).worked(number, job)
        one = next((one for one in worked if one.field.worker == asked.worker), None)
        if one is None:
            raise InputError("worker", asked.worker, "give one of " + ", ".join(w.field.worker for w in worked))
        if asked.point >= len(one.field.points) or not one.field.reached[asked.point]:
            raise InputError("point", asked.point, "give an edge point that this worker can get to")
        try:
            shown = fall_shape(work.fall_at(one.asked, asked.point), one.field.edge[asked.point])
        except (CatchError, ValueError) as error:
            raise InputError("point", asked.point, f"choose another: {error}") from error
    return _json(shown)


def _drawings(request: Request) -> Drawings:
    from ropewright.roof.taut_compile import keep_plain

    state = request.app.state
    if not hasattr(state, "drawings"):
        keep_plain()  # compiling in the middle of a drag would hold it up for half a minute
        state.drawings = Drawings()
    found: Drawings = state.drawings
    return found


def _leave_compiling(request: Request) -> None:
    """Have compiled in another process, once, what was asked for so often here that it pays."""
    from ropewright.roof.taut_compile import parts_left_plain

    asked = _drawings(request).compiling
    parts = parts_left_plain() - asked
    if parts:
        asked |= parts
        with suppress(FullError):  # it stays plain, and slower
            request.app.state.works.long.start("compiling", "ropewright.web.drawing.tasks:make_fast", *sorted(parts))


def _json(answer: dict[str, Any]) -> Response:
    # written at once: a model of a thousand points takes longer to check than to work out
    return Response(json.dumps(answer, allow_nan=False, separators=(",", ":")), media_type="application/json")
