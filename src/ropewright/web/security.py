"""What every request must pass before a page sees it: Host, size, and headers that every answer carries."""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ropewright.web.settings import Settings

__all__ = ["POLICY", "Gate"]

#: Nothing but what this server itself gives, no inline script or style, no frames, no other place for forms.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)

_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), camera=(self)",
}


class Gate:
    """Refuses foreign hosts and bodies that are too large; puts the headers on every answer.

    A page that some other site makes a browser open under a name of its own that leads to this machine is refused,
    since the Host header then holds that name.
    """

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app, self.settings = app, settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or refuse it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return  # nothing here speaks over web sockets

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers[name] = value
                if "cache-control" not in headers:
                    headers["cache-control"] = "no-store"
            await send(message)

        fault = self._fault(Headers(scope=scope))
        if fault is not None:
            from ropewright.web.errors import fault_response

            await fault_response(Request(scope), fault)(scope, receive, with_headers)
            return
        await self.app(scope, self._counted(receive), with_headers)

    def _fault(self, headers: Headers) -> int | None:
        """Status with which a request is refused by its headers alone."""
        if headers.get("host", "").lower() not in self.settings.hosts:
            return 421
        length = headers.get("content-length", "0")
        if not length.isdecimal():
            return 400
        return 413 if int(length) > self.settings.body_limit else None

    def _counted(self, receive: Receive) -> Receive:
        """Count what comes in, since a length need not be told beforehand."""
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > self.settings.body_limit:
                raise HTTPException(413)
            return message

        return counted
