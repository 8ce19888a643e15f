"""The app: its parts put together, with what guards them."""

from __future__ import annotations

from contextlib import asynccontextmanager
from threading import Thread
from typing import TYPE_CHECKING

from anyio.to_thread import current_default_thread_limiter
from fastapi import Depends, FastAPI
from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from ropewright import __version__
from ropewright.web.choices import choices_of
from ropewright.web.errors import PROBLEMS, LastNet, handle_errors
from ropewright.web.groups import GROUPS
from ropewright.web.security import Gate
from ropewright.web.security_session import Doorkeeper, Sessions, check_token
from ropewright.web.settings import Settings
from ropewright.web.static_files import Statics
from ropewright.web.store import Store
from ropewright.web.view import Parts, environment
from ropewright.web.words import use_language
from ropewright.web.work import Lanes

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

__all__ = ["create_app"]

_THREADS = 8


class _Speaker:
    """Speaks the language of whoever asks."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            use_language(choices_of(Request(scope)).language)
        await self.app(scope, receive, send)


def create_app(settings: Settings) -> FastAPI:
    """App that serves the pages and the JSON interface of one store.

    Parameters
    ----------
    settings : Settings

    Returns
    -------
    FastAPI
        Answers only its own Host, and only those who came by the one-time link `settings.link`.
    """
    app = FastAPI(
        title="Ropewright",
        version=__version__,
        description="Planning aid for people on rope on a roof. Numbers are SI; keys end in their unit.",
        docs_url=None,  # their pages would fetch scripts from outside
        redoc_url=None,
        dependencies=[Depends(check_token)],
        lifespan=_lifespan,
    )
    app.state.settings = settings
    app.state.sessions = Sessions(settings)
    app.state.statics = Statics()
    app.state.store = Store(settings.place)
    app.state.works = Lanes()
    app.state.templates = environment()
    app.state.parts = Parts()
    for group in GROUPS:
        for_scripts = group.prefix.startswith("/api")
        app.include_router(
            group.router(),
            prefix=group.prefix,
            include_in_schema=for_scripts,
            responses=PROBLEMS if for_scripts else None,
        )
    names = (getattr(route, "name", "") for group in GROUPS for route in group.router().routes)
    app.state.routes = frozenset(names)
    handle_errors(app)
    # the last one added stands outermost
    app.add_middleware(Doorkeeper, sessions=app.state.sessions)
    app.add_middleware(LastNet)
    app.add_middleware(Gate, settings=settings)
    app.add_middleware(_Speaker)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Cut the letters while the first page is on its way; end what was begun when the program ends."""
    # pages take the one interpreter in turn: more threads than this only wait on each other (measured with 50 readers)
    current_default_thread_limiter().total_tokens = _THREADS
    Thread(target=app.state.statics.find, args=("fonts/sans.woff",), daemon=True).start()
    if app.state.settings.warm:
        app.state.works.plans.start("warm", "ropewright.web.jobs.tasks:warm")
    yield
    app.state.works.close()
    app.state.store.close()
