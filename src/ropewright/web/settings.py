"""How one run of the pages is set up."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field

__all__ = ["Settings"]


@dataclass(frozen=True)
class Settings:
    """What `create_app` needs to know.

    Parameters
    ----------
    place : str
        Where record and jobs are kept: a file or the URL of a database.
    port : int
        Port that is listened on; a Host header with another is refused.
    token : str
        What the one-time link carries; by chance, so that nobody else on the machine can guess it.
    secret : str
        Signs cookies and form tokens; made anew for each run, so that a restart ends all sessions.
    body_limit : int
        Most bytes that are taken in one request.
    session_seconds : int
        How long somebody stays admitted.
    warm : bool
        Begin at once with what the first plan would wait for: a process, its imports, the compiled catch.
    """

    place: str
    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24), repr=False)
    secret: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    body_limit: int = 20 * 1024 * 1024
    session_seconds: int = 12 * 3600
    warm: bool = False

    @property
    def link(self) -> str:
        """Address that admits whoever opens it first."""
        return f"http://127.0.0.1:{self.port}/enter?token={self.token}"

    @property
    def hosts(self) -> frozenset[str]:
        """Host headers that are answered: this machine under its own names, and this port."""
        return frozenset(f"{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]"))

    @property
    def cookie(self) -> str:
        """Name of the session cookie; cookies are not kept apart by port, so that the name is."""
        return f"ropewright_session_{self.port}"
