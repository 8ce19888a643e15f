"""Stopping long work from a page, without scripts."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from ropewright.web.work import Lanes
from ropewright.web.work_api import WorkNumber

__all__ = ["router"]

router = APIRouter()


@router.post("/{number}/stop")
def stop(request: Request, number: WorkNumber) -> Response:
    """Stop a piece of work and go to where its result would have been seen."""
    lanes: Lanes = request.app.state.works
    work = lanes.stop(number)
    if work is None:
        raise HTTPException(404)
    return RedirectResponse(work.page or "/", status_code=303)
