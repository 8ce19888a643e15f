"""The door, the sheet index, and what a person chooses for themselves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from ropewright.errors import InputError
from ropewright.quantity import UnitSystem
from ropewright.web.choices import THEMES, Choices, choices_of, keep_choices, read_name
from ropewright.web.forms import Faulty, Posted, PostedForm, faults_of
from ropewright.web.security_session import Sessions
from ropewright.web.view import render
from ropewright.web.words import LANGUAGES, use_language

__all__ = ["SettingsPage", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class SettingsPage:
    """What the page of choices shows."""

    texts: dict[str, str]
    faults: Faulty
    asked: bool
    saved: bool


@router.get("/healthz", include_in_schema=False)
def health() -> JSONResponse:
    """Say that the program answers."""
    return JSONResponse({"status": "ok"})


@router.get("/enter", include_in_schema=False)
def enter(request: Request, token: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Admit whoever opens the link first."""
    sessions: Sessions = request.app.state.sessions
    if sessions.session_of(request) is None and not sessions.admit(token):
        raise HTTPException(401)
    response = RedirectResponse("/" if choices_of(request).person else "/settings?asked=yes", status_code=303)
    if sessions.session_of(request) is None:
        sessions.begin(response)
    return response


@router.get("/", include_in_schema=False)
def index(request: Request) -> HTMLResponse:
    """Show the sheet index."""
    return render(request, "index.html")


@router.get("/settings", include_in_schema=False)
def settings(request: Request, asked: str = "", saved: str = "") -> HTMLResponse:
    """Show what can be chosen."""
    chosen = choices_of(request)
    return render(request, "settings.html", SettingsPage(_texts(chosen), Faulty(), asked == "yes", saved == "yes"))


@router.post("/settings", include_in_schema=False)
def choose(request: Request, form: Posted) -> Response:
    """Keep what was chosen; the first time, go on to the sheet index."""
    known = choices_of(request)
    try:
        chosen = _chosen(form, known)
    except InputError as error:
        page = SettingsPage(form.texts(), faults_of(error), asked=not known.person, saved=False)
        return render(request, "settings.html", page, status=422)
    use_language(chosen.language)
    response = RedirectResponse("/settings?saved=yes" if known.person else "/", status_code=303)
    keep_choices(response, chosen)
    return response


def _chosen(form: PostedForm, known: Choices) -> Choices:
    units, code, theme = form.text("units"), form.text("language"), form.text("theme")
    return replace(
        known,
        person=read_name(form.text("person")),
        units=UnitSystem(units) if units in set(UnitSystem) else None,
        language=code if code in LANGUAGES else known.language,
        theme=theme if theme in THEMES else known.theme,
    )


def _texts(chosen: Choices) -> dict[str, str]:
    units = chosen.units.value if chosen.units else "job"
    return {"person": chosen.person, "units": units, "language": chosen.language, "theme": chosen.theme}
