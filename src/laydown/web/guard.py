"""The door that every request of a route goes through before its body is read."""

from __future__ import annotations

import hmac
from collections.abc import Callable, Coroutine
from typing import Any
from urllib.parse import urlsplit

from fastapi.routing import APIRoute
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.report.decimal_sign import decimal_sign
from laydown.services.opening import shop_head
from laydown.web.identity import Identity, identify
from laydown.web.needs import Need, need_named, need_of
from laydown.web.refusal import Refusal
from laydown.web.render import decimal_of
from laydown.web.state import state_of

SAFE = ("GET", "HEAD", "OPTIONS")
CSRF_FIELD, CSRF_HEADER = "csrf", "x-csrf-token"
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data", "text/plain")
"""What a page of another site may make a browser send without asking first."""


LARGEST_FIELD = 30_000_000
"""Bytes of a text field; what a whole request may be is said by its route."""

WITHOUT_SHOP = ("open", "own account", "move shop", "people", "read log")
"""Needs of pages that make sense before a shop was started."""


class GuardedRoute(APIRoute):
    """Route that looks at who asks, and whether a change was asked for by our own page, before anything else."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Wrap the route's handler."""
        handle = super().get_route_handler()
        need = need_of(self.endpoint)

        async def guarded(request: Request) -> Response:
            if state_of(request).settings.needs_login or "authorization" in request.headers:
                who = await run_in_threadpool(identify, request)
            else:
                who = identify(request)
            request.state.identity = who
            refuse_unless_allowed(who, need)
            try:
                if request.method not in SAFE and (who.door != "token" or who.role is None):
                    refuse_other_sites(request)
                    await refuse_without_token(request, who)
                if need.name not in WITHOUT_SHOP and not await _shop_is_there(request):
                    return _to_the_start(request, who)
                with decimal_sign(decimal_of(request)):
                    return await handle(request)
            finally:
                # Files that were sent along.
                await request.close()

        return guarded


def refuse_unless_allowed(who: Identity, need: Need) -> None:
    """Turn away whoever may not."""
    if who.may(need):
        return
    if who.role is None:
        raise Refusal(401, "this needs a login" if who.door != "token" else "this token is not valid", log_in=True)
    raise Refusal(403, f"to {need.what}, the role {need.role!r} or more is needed; {who.name} has {who.role!r}")


def refuse_other_sites(request: Request) -> None:
    """Turn away a change that a page of another site asks for."""
    if request.headers.get("sec-fetch-site", "same-origin") not in {"same-origin", "none"}:
        raise Refusal(403, "this was asked for by a page of another site")
    origin = request.headers.get("origin") or _origin_of(request.headers.get("referer", ""))
    if origin is not None and origin not in _own_origins(request):
        raise Refusal(403, "this was asked for by a page of another site")
    if origin is None and not is_api(request):
        raise Refusal(403, "the browser does not say which page asked for this; allow it to send the referrer")


async def refuse_without_token(request: Request, who: Identity) -> None:
    """Turn away a change that does not carry the token of the page it is from."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if is_api(request) and "origin" not in request.headers and who.door == "machine" and kind not in FORMS[:1]:
        # A browser names its origin with every change, so this is a program of whoever sits at the machine.
        return
    sent = request.headers.get(CSRF_HEADER)
    if sent is None and kind in FORMS:
        field = (await request.form(max_part_size=LARGEST_FIELD)).get(CSRF_FIELD)
        sent = field if isinstance(field, str) else None
    if sent is None or not who.csrf or not hmac.compare_digest(sent.encode(), who.csrf.encode()):
        what = "this page has grown old, or was not ours; load it again, then send it once more"
        then = "Go back, load the page again, and send it once more. Copy what you wrote first, if it was much."
        raise Refusal(403, what, title="That page has grown old", then=then)


async def _shop_is_there(request: Request) -> bool:
    state = state_of(request)
    if not state.shop_started:
        state.shop_started = await run_in_threadpool(shop_head, state.store) is not None
    return state.shop_started


def _to_the_start(request: Request, who: Identity) -> Response:
    if not is_api(request) and who.may(need_named("move shop")):
        return RedirectResponse("/start", 303)
    raise Refusal(409, "no shop was started here yet; an owner does that, at the address /start")


def is_api(request: Request) -> bool:
    """Whether a program asks, which gets JSON."""
    return request.url.path.startswith("/api/")


def _own_origins(request: Request) -> set[str]:
    own = {f"{request.url.scheme}://{request.headers.get('host', '')}".lower()}
    public = urlsplit(state_of(request).settings.public_url)
    return own | ({f"{public.scheme}://{public.netloc}".lower()} if public.netloc else set())


def _origin_of(address: str) -> str | None:
    parts = urlsplit(address)
    return f"{parts.scheme}://{parts.netloc}".lower() if parts.netloc else None
