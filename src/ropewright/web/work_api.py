"""Long work, as scripts follow and stop it: asked for now and then, or told as it goes."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import APIRouter, Path
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import StreamingResponse

from ropewright.web.words import _, said_doing
from ropewright.web.work import Lanes, State, Work

__all__ = ["WorkModel", "WorkNumber", "router", "work_model"]

WorkNumber = Annotated[int, Path(ge=1, le=2**31 - 1)]

#: Between looks at how far it is. [s]
_PAUSE = 0.2

router = APIRouter(tags=["work"])


class WorkModel(BaseModel):
    """A piece of long work as it stands."""

    number: int
    state: State
    doing: str = Field(description="What is being done, in the language of whoever asks.")
    share: float = Field(ge=0, le=1, description="Done of the whole.")
    page: str = Field(description="Where its result is to be seen; empty: nowhere.")


def work_model(work: Work) -> WorkModel:
    """Return work as scripts see it."""
    return WorkModel(
        number=work.number, state=work.state, doing=said_doing(work.doing), share=round(work.share, 3), page=work.page
    )


@router.get("/{number}")
def how_far(request: Request, number: WorkNumber) -> WorkModel:
    """Say how far a piece of work is."""
    return work_model(_found(request, number))


@router.post("/{number}/stop")
def stop(request: Request, number: WorkNumber) -> WorkModel:
    """Stop a piece of work at once; what has ended stays as it is."""
    lanes: Lanes = request.app.state.works
    lanes.stop(number)
    return work_model(_found(request, number))


@router.get("/{number}/events", response_class=StreamingResponse)
async def events(request: Request, number: WorkNumber) -> StreamingResponse:
    """Tell how far a piece of work is as it goes (server-sent events), until it has ended."""
    _found(request, number)
    return StreamingResponse(_told(request, number), media_type="text/event-stream")


async def _told(request: Request, number: int) -> AsyncIterator[str]:
    last = ""
    while not await request.is_disconnected():
        work = request.app.state.works.find(number)
        if work is None:
            return
        now = json.dumps(work_model(work).model_dump(mode="json"), ensure_ascii=False)
        if now != last:
            yield f"data: {now}\n\n"
            last = now
        if work.state.has_ended:
            return
        await asyncio.sleep(_PAUSE)


def _found(request: Request, number: int) -> Work:
    lanes: Lanes = request.app.state.works
    work = lanes.find(number)
    if work is None:
        raise HTTPException(404, _("There is no such work, or it ended long ago."))
    return work
