"""The page of the roof drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from ropewright.store.jobs import Job
from ropewright.web.drawing.words import script_words
from ropewright.web.jobs.keeping import JobNumber, plan_units
from ropewright.web.security_session import CurrentUser
from ropewright.web.store import StoreOf
from ropewright.web.view import render
from ropewright.web.words import N_

__all__ = ["DrawPage", "router"]

router = APIRouter()

#: What can be set down, by its kind in the scripts.
THINGS = (
    ("anchor", N_("Anchor")),
    ("opening", N_("Opening")),
    ("obstacle", N_("Obstacle")),
    ("level", N_("Lower level")),
    ("power line", N_("Power line")),
    ("area", N_("Work area")),
    ("no anchor", N_("No anchor here")),
    ("framing", N_("Framing line")),
    ("wing", N_("Wing")),
    ("dormer", N_("Dormer")),
    ("courtyard", N_("Courtyard")),
)
#: What can be drawn corner by corner, likewise.
TRACED = (
    ("roof", N_("Roof outline")),
    ("wing", N_("Wing")),
    ("courtyard", N_("Courtyard")),
    ("level", N_("Lower level")),
    ("obstacle", N_("Obstacle")),
    ("area", N_("Work area")),
    ("no anchor", N_("No anchor here")),
    ("power line", N_("Power line")),
    ("framing", N_("Framing line")),
)


@dataclass(frozen=True, slots=True)
class DrawPage:
    """What the drawing starts with; the scripts fetch the rest."""

    job: Job
    words: dict[str, Any]
    things: tuple[tuple[str, str], ...] = THINGS
    traced: tuple[tuple[str, str], ...] = TRACED


@router.get("/{number}/draw", name="job_draw")
def draw(request: Request, number: JobNumber, store: StoreOf, user: CurrentUser) -> HTMLResponse:  # noqa: ARG001
    """Show the drawing of a job."""
    units = plan_units(request, store.jobs.version(number))
    return render(request, "drawing/draw.html", DrawPage(store.jobs.job(number), script_words(units)))
