"""The outermost layer: whose host is meant, the headers of every answer, and a line in the log for each request."""

from __future__ import annotations

import logging
import secrets
import time
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from laydown.web.settings import Settings

RULES = (
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' data:",
    "font-src 'self'",
    "connect-src 'self'",
    "manifest-src 'self'",
    "worker-src 'self'",
    "form-action 'self'",
    "frame-ancestors 'none'",
    "base-uri 'none'",
)
POLICY = "; ".join(RULES)
"""Content security policy of every page: nothing from elsewhere, nothing inline."""

HEADERS = (
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), microphone=(), geolocation=(), payment=(), usb=()"),
)

OnFault = Callable[[Request, Exception], Awaitable[Response]]
OnTooLarge = Callable[[Request], Awaitable[Response]]

log = logging.getLogger("laydown.web")


class Outer:
    """Middleware around everything, error pages included."""

    def __init__(self, app: ASGIApp, settings: Settings, on_fault: OnFault) -> None:
        self.app = app
        self.settings = settings
        self.on_fault = on_fault

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Handle one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun = time.perf_counter()
        request_id = secrets.token_hex(6)
        scope.setdefault("state", {})["request_id"] = request_id
        status = 500

        async def told(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                add_headers(MutableHeaders(scope=message), self.settings, request_id)
            await send(message)

        started = False

        async def watched(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await told(message)

        try:
            if self.settings.host_is_ours(Headers(scope=scope).get("host", "")):
                await self.app(scope, receive, watched)
            else:
                refusal = PlainTextResponse("This name is not one of this server's names.\n", status_code=421)
                await refusal(scope, receive, told)
        except Exception as error:
            if started:
                raise
            answered = await self.on_fault(Request(scope, receive), error)
            await answered(scope, receive, told)
        finally:
            self._write(scope, status, request_id, time.perf_counter() - begun)

    @staticmethod
    def _write(scope: Scope, status: int, request_id: str, seconds: float) -> None:
        # The query may hold what somebody searched for, so it is left out.
        who: Any = scope.get("state", {}).get("identity")
        log.info(
            "%s %s %d %.0f ms %s %s",
            scope["method"],
            ascii(scope["path"])[1:-1],
            status,
            1000 * seconds,
            ascii(who.name)[1:-1] if who is not None else "-",
            request_id,
        )


class Sentences:
    """Around the limit of bodies, which answers with a bare word: says what is wrong and what to do next instead."""

    def __init__(
        self, app: ASGIApp, settings: Settings, on_too_large: Callable[[Request], Awaitable[Response]]
    ) -> None:
        self.app = app
        self.settings = settings
        self.on_too_large = on_too_large

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Handle one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        bare = False

        async def told(message: Message) -> None:
            nonlocal bare
            # Whatever came through the layer above bears a number.
            if message["type"] == "http.response.start":
                bare = message["status"] == 413 and "x-request-id" not in MutableHeaders(scope=message)
            if not bare:
                await send(message)

        async def numbered(message: Message) -> None:
            if message["type"] == "http.response.start":
                add_headers(MutableHeaders(scope=message), self.settings, scope["state"]["request_id"])
            await send(message)

        await self.app(scope, receive, told)
        if bare:
            answered = await self.on_too_large(Request(scope, receive))
            await answered(scope, receive, numbered)


def add_headers(headers: MutableHeaders, settings: Settings, request_id: str) -> None:
    """Give an answer the headers that every answer has."""
    for name, value in HEADERS:
        headers.setdefault(name, value)
    headers.setdefault("cache-control", "no-store")
    headers["x-request-id"] = request_id
    if settings.https:
        headers.setdefault("strict-transport-security", "max-age=31536000")
