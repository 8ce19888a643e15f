"""Who is let in: a link that works once, a signed session, and a token on all that changes something."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from threading import Lock
from time import monotonic
from typing import Annotated

from fastapi import Depends
from itsdangerous import BadSignature, TimestampSigner
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from ropewright.web.settings import Settings

__all__ = ["CurrentUser", "Doorkeeper", "NameNeeded", "Person", "Sessions", "check_token", "current_user"]

#: Answered without a session: there is nothing of anybody's in them.
_OPEN = ("/enter", "/healthz", "/openapi.json")
_SAFE = ("GET", "HEAD", "OPTIONS", "TRACE")
#: Tries of the link in a minute. The token can't be guessed anyway; this keeps trying from costing anything.
_TRIES = 20


class Sessions:
    """Admits whoever opens the link first, and knows them again by their cookie."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self._lock = Lock()
        self._token: str | None = settings.token
        self._tries: list[float] = []
        self._signer = TimestampSigner(settings.secret, salt="session")
        self._forms = TimestampSigner(settings.secret, salt="form")

    def admit(self, token: str) -> bool:
        """True for the right token, the first time; it is then used up.

        Raises
        ------
        HTTPException
            429 after too many tries.
        """
        with self._lock:
            now = monotonic()
            self._tries = [tried for tried in self._tries if now - tried < 60]
            if len(self._tries) >= _TRIES:
                raise HTTPException(429, headers={"retry-after": "60"})
            self._tries.append(now)
            right = self._token is not None and secrets.compare_digest(self._token.encode(), token.encode())
            if right:
                self._token = None
            return right

    def begin(self, response: Response) -> None:
        """Let the browser keep a new session."""
        session = self._signer.sign(secrets.token_urlsafe(16)).decode()
        seconds = self.settings.session_seconds
        response.set_cookie(self.settings.cookie, session, max_age=seconds, httponly=True, samesite="strict")

    def session_of(self, request: Request) -> str | None:
        """Session of a request; None if it has none, or one that was not given here or is too old."""
        cookie = request.cookies.get(self.settings.cookie, "")
        try:
            return self._signer.unsign(cookie, max_age=self.settings.session_seconds).decode()
        except (BadSignature, UnicodeDecodeError):
            return None

    def form_token(self, request: Request) -> str:
        """Token that every form carries; good for this session alone."""
        session = self.session_of(request)
        return self._forms.sign(session).decode() if session else ""

    def is_form_token(self, request: Request, token: str) -> bool:
        """Whether a token was given to this session."""
        try:
            told = self._forms.unsign(token, max_age=self.settings.session_seconds).decode()
        except (BadSignature, UnicodeDecodeError):
            return False
        session = self.session_of(request)
        return session is not None and secrets.compare_digest(told.encode(), session.encode())


class Doorkeeper:
    """Lets nobody without a session see anything but the door."""

    def __init__(self, app: ASGIApp, sessions: Sessions) -> None:
        self.app, self.sessions = app, sessions

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or show the door."""
        if scope["type"] == "http" and not self._may_pass(Request(scope)):
            from ropewright.web.errors import fault_response

            await fault_response(Request(scope), 401)(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _may_pass(self, request: Request) -> bool:
        path = request.url.path
        return path in _OPEN or path.startswith("/static/") or self.sessions.session_of(request) is not None


async def check_token(request: Request) -> None:
    """Refuse what changes something without the token of this session's forms; stands before every route.

    The token comes in the form field ``csrf_token``, or in the header ``X-CSRF-Token`` where a script asks.
    """
    if request.method in _SAFE:
        return
    if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        raise HTTPException(403)
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    is_form = kind in ("application/x-www-form-urlencoded", "multipart/form-data")
    if kind and not is_form and kind != "application/json":
        raise HTTPException(415)
    token = request.headers.get("x-csrf-token", "")
    if not token and is_form:
        from ropewright.web.forms import posted_form

        token = (await posted_form(request)).text("csrf_token")
    sessions: Sessions = request.app.state.sessions
    if not sessions.is_form_token(request, token):
        raise HTTPException(403)


@dataclass(frozen=True, slots=True)
class Person:
    """Who does what is being done; `name` goes into what is written."""

    name: str


class NameNeeded(Exception):  # noqa: N818 - no error of anybody's: it sends them to where their name is asked
    """Nobody has said yet who runs this."""


def current_user(request: Request) -> Person:
    """Person who runs this: whoever gave their name in this browser.

    Accounts would come in here, and nothing else would have to know.

    Raises
    ------
    NameNeeded
        If no name was given yet.
    """
    from ropewright.web.choices import choices_of

    name = choices_of(request).person
    if not name:
        raise NameNeeded
    return Person(name)


CurrentUser = Annotated[Person, Depends(current_user)]
