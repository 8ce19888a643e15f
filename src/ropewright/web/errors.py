"""How faults reach whoever looks: a page, or a problem document (RFC 9457) for scripts; never a traceback."""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ropewright.errors import InputError, InputErrors
from ropewright.web.forms import Fault, faults_of
from ropewright.web.security_session import NameNeeded
from ropewright.web.view import is_api, render
from ropewright.web.words import N_, _
from ropewright.web.work import FullError

__all__ = ["PROBLEMS", "FaultPage", "LastNet", "fault_response", "handle_errors", "keep_report", "problem"]

#: Status -> what is wrong, and what can be done.
_SAID: Mapping[int, tuple[str, str]] = {
    400: (N_("This request can't be read"), N_("Go back and send it again.")),
    401: (
        N_("Open the link that was printed"),
        N_("The link that `ropewright serve` prints works once. Stop the program and start it again for a new one."),
    ),
    403: (N_("This form is out of date"), N_("Go back, load the page again and send the form once more.")),
    404: (N_("There is no such page"), N_("It may have been put away, or the address was mistyped.")),
    405: (N_("This can't be done here"), N_("Go back and use the buttons of the page.")),
    409: (N_("Somebody changed this meanwhile"), N_("Look at what is there now, then make your change again.")),
    413: (N_("This is too large"), N_("Send a smaller file: 20 MiB at most.")),
    415: (N_("This kind of content is not taken"), N_("Send a form or JSON.")),
    421: (N_("This address is not answered"), N_("Open the link as `ropewright serve` printed it.")),
    422: (N_("Something must be put right"), N_("Each fault says what would be right.")),
    429: (N_("Too much at once"), N_("Wait a minute, then try again.")),
    500: (
        N_("Ropewright itself failed"),
        N_("Nothing was decided or written; don't rely on what was shown. Details for a report are in a file."),
    ),
}


@dataclass(frozen=True, slots=True)
class FaultPage:
    """What the page of a fault shows."""

    status: int
    title: str
    todo: str
    faults: tuple[Fault, ...] = ()


def fault_response(
    request: Request, status: int, *, faults: Sequence[Fault] = (), headers: Mapping[str, str] | None = None
) -> Response:
    """Return the page of a fault, or its problem document."""
    known = status if status in _SAID else (400 if status < 500 else 500)
    title, todo = (_(text) for text in _SAID[known])
    if is_api(request):
        response: Response = problem(status, title, todo, faults)
    else:
        response = render(request, "fault.html", FaultPage(status, title, todo, tuple(faults)), status=status)
    response.headers.update(headers or {})
    return response


_TEXT = {"type": "string"}
_PROBLEM: dict[str, Any] = {
    "type": "object",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": _TEXT,
        "title": _TEXT,
        "status": {"type": "integer"},
        "detail": _TEXT,
        "errors": {
            "type": "array",
            "items": {"type": "object", "properties": {"field": _TEXT, "value": _TEXT, "expected": _TEXT}},
        },
    },
}

#: What any part of the JSON interface may answer, for its description.
PROBLEMS: dict[int | str, dict[str, Any]] = {
    status: {"description": _SAID[status][0], "content": {"application/problem+json": {"schema": _PROBLEM}}}
    for status in (400, 401, 403, 404, 409, 413, 415, 422, 429)
}


def problem(status: int, title: str, detail: str, faults: Sequence[Fault] = ()) -> JSONResponse:
    """Return a problem document."""
    body: dict[str, Any] = {"type": "about:blank", "title": title, "status": status, "detail": detail}
    if faults:
        body["errors"] = [{"field": fault.field, "value": fault.value, "expected": fault.expected} for fault in faults]
    return JSONResponse(body, status_code=status, media_type="application/problem+json")


def handle_errors(app: FastAPI) -> None:
    """Give every fault its answer."""
    app.add_exception_handler(HTTPException, _on_http)
    app.add_exception_handler(RequestValidationError, _on_invalid)
    app.add_exception_handler(InputError, _on_input)
    app.add_exception_handler(InputErrors, _on_input)
    app.add_exception_handler(NameNeeded, _on_nameless)
    app.add_exception_handler(FullError, _on_full)


def _on_http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return fault_response(request, error.status_code, headers=error.headers)


def _on_invalid(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    faults = [Fault(_path(one["loc"]), _shown(one.get("input")), one["msg"]) for one in error.errors()]
    if not is_api(request) and all(one["loc"][:1] == ("path",) for one in error.errors()):
        return fault_response(request, 404)
    return fault_response(request, 422, faults=faults)


def _on_input(request: Request, error: Exception) -> Response:
    from ropewright.store.jobs import JobChangedError, UnknownJobError  # there already if it is one of them

    status = 404 if isinstance(error, UnknownJobError) else 409 if isinstance(error, JobChangedError) else 422
    return fault_response(request, status, faults=faults_of(error).faults)


def _on_full(request: Request, _error: Exception) -> Response:
    return fault_response(request, 429, headers={"retry-after": "60"})


def _on_nameless(request: Request, _error: Exception) -> Response:
    if is_api(request):
        return problem(403, _("Your name is needed"), _("Give your name on the page /settings first."))
    return RedirectResponse("/settings?asked=yes", status_code=303)


def _path(place: Sequence[object]) -> str:
    return _sendable(".".join(str(part) for part in place[1:]) or str(place[0]))


def _shown(value: object) -> str:
    return _sendable(value[:80]) if isinstance(value, str) else ""


def _sendable(text: str) -> str:
    """Return a text without halves of characters, which can't be sent back."""
    return text.encode("utf-8", "replace").decode()


class LastNet:
    """Catches what nobody foresaw: one line on the terminal, details in a file, a plain page for whoever looks."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, whatever happens."""
        begun = False

        async def watched(message: Message) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, watched)
        except Exception as error:  # noqa: BLE001 - the outermost rim: nobody must be shown a traceback
            keep_report(error)
            if scope["type"] == "http" and not begun:
                await fault_response(Request(scope), 500)(scope, receive, watched)


def keep_report(error: Exception) -> None:
    """Keep the details of what nobody foresaw in a file, and say so on the terminal."""
    with tempfile.NamedTemporaryFile("w", prefix="ropewright-", suffix=".txt", delete=False) as file:
        traceback.print_exception(error, file=file)
    told = f"{type(error).__name__}: {error}".splitlines()[0][:200]
    sys.stderr.write(f"error: Ropewright itself failed ({told}). Details for a report: {Path(file.name)}\n")
