"""Logging in and out."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form, Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.services import accounts
from laydown.web.client_address import client_address
from laydown.web.identity import cookie_name
from laydown.web.limiter import waiting_words
from laydown.web.needs import needs
from laydown.web.refusal import Refusal
from laydown.web.render import render
from laydown.web.routing import State, Who, page_router
from laydown.web.state import AppState

router = page_router()


@router.get("/login")
@needs("open")
def login(request: Request, state: State, who: Who, next: Annotated[str, Query()] = "/") -> Response:  # noqa: A002
    """Ask for name and password."""
    if who.role is not None:
        return RedirectResponse(_own_address(next), 303)
    if state.setup_code:
        return RedirectResponse("/setup", 303)
    return render(request, "login.html", problem="", name="", next=_own_address(next))


@router.post("/login")
@needs("open")
def check(
    request: Request,
    state: State,
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    next: Annotated[str, Form()] = "/",  # noqa: A002
) -> Response:
    """Log in."""
    keys = (f"name {name.strip().casefold()[:80]}", f"address {client_address(request)}")
    wait = state.tries.wait_for(*keys)
    if wait:
        raise Refusal(429, f"too many tries that did not fit; try again in {waiting_words(wait)}", retry_after=wait)
    with state.password_checks:
        found = accounts.log_in(state.store, name, password, device=request.headers.get("user-agent", ""))
    if found is None:
        state.tries.failed(*keys)
        problem = "name and password do not fit; an owner can give you a new password"
        return render(request, "login.html", status=422, problem=problem, name=name, next=_own_address(next))
    state.tries.succeeded(*keys)
    return logged_in(state, _own_address(next), found[1])


@router.post("/logout")
@needs("own account")
def logout(request: Request, state: State, who: Who) -> Response:
    """Log out."""
    accounts.log_out(state.store, request.cookies.get(cookie_name(state), ""), who=who.name)
    answer = RedirectResponse("/login", 303)
    answer.delete_cookie(cookie_name(state), path="/", secure=state.settings.https, httponly=True, samesite="lax")
    return answer


def logged_in(state: AppState, address: str, secret: str) -> Response:
    """Go to a page with the cookie of a login."""
    answer = RedirectResponse(address, 303)
    answer.set_cookie(
        cookie_name(state),
        secret,
        max_age=int(accounts.LIFETIME.total_seconds()),
        path="/",
        secure=state.settings.https,
        httponly=True,
        samesite="lax",
    )
    return answer


def _own_address(address: str) -> str:
    """Address within the app; anything else, which could lead elsewhere after a login, becomes the first page."""
    plain = address.isprintable() and "\\" not in address and not address.startswith("//")
    return address if address.startswith("/") and plain else "/"
