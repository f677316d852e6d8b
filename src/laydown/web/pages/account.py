"""The own account: how to read numbers, password, tokens for programs."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import InvalidInput
from laydown.services import accounts, people
from laydown.web.client_address import client_address
from laydown.web.limiter import waiting_words
from laydown.web.needs import ROLES, needs
from laydown.web.pages.look import YEAR_S
from laydown.web.refusal import Refusal
from laydown.web.render import DECIMAL_COOKIE, render
from laydown.web.routing import State, Who, page_router

router = page_router()

CHOICES = (
    ("temperature", "Temperatures", (("C", "°C"), ("F", "°F"))),
    ("mesh", "Mesh counts", (("cm", "per cm"), ("inch", "per inch"))),
    ("length", "Lengths", (("mm", "mm"), ("inch", "inch"))),
    ("areal_mass", "Cloth mass", (("gsm", "g/m²"), ("oz", "oz/yd²"))),
    ("paper", "Paper", (("a4", "A4"), ("letter", "Letter"))),
)


@router.get("/account")
@needs("own account")
def account(request: Request, state: State, who: Who) -> Response:
    """Show the own account."""
    return _page(request, state, who)


@router.post("/account/preferences")
@needs("own account")
def prefer(
    state: State,
    who: Who,
    temperature: Annotated[str, Form()] = "",
    mesh: Annotated[str, Form()] = "",
    length: Annotated[str, Form()] = "",
    areal_mass: Annotated[str, Form()] = "",
    paper: Annotated[str, Form()] = "",
    decimal: Annotated[str, Form()] = ".",
) -> Response:
    """Keep how the person likes to read; without a login, on this device."""
    answer = RedirectResponse("/account", 303)
    if who.user is None:
        if decimal in people.DECIMALS:
            answer.set_cookie(
                DECIMAL_COOKIE,
                decimal,
                max_age=YEAR_S,
                path="/",
                secure=state.settings.https,
                httponly=True,
                samesite="lax",
            )
        return answer
    units = {"temperature": temperature, "mesh": mesh, "length": length, "areal_mass": areal_mass, "paper": paper}
    people.like(state.store, who.user, units | {"decimal": decimal})
    return answer


@router.post("/account/password")
@needs("own account")
def change_password(
    request: Request,
    state: State,
    who: Who,
    present: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
) -> Response:
    """Change the own password; then log in again."""
    user = _person(who)
    keys = (f"name {user.name.casefold()}", f"address {client_address(request)}")
    wait = state.tries.wait_for(*keys)
    if wait:
        raise Refusal(429, f"too many tries that did not fit; try again in {waiting_words(wait)}", retry_after=wait)
    try:
        with state.password_checks:
            people.change_own_password(state.store, user, present, password)
    except InvalidInput as error:
        if error.where == "present password":
            state.tries.failed(*keys)
        return _page(request, state, who, problem=error.what, status=422)
    return RedirectResponse("/login", 303)


@router.post("/account/tokens")
@needs("own account")
def make_token(
    request: Request,
    state: State,
    who: Who,
    name: Annotated[str, Form()] = "",
    role: Annotated[str, Form()] = "",
    days: Annotated[str, Form()] = "",
) -> Response:
    """Make a token; its text is shown once."""
    try:
        _, secret = people.make_token(state.store, _person(who), name, role, days=_days(days))
    except InvalidInput as error:
        return _page(request, state, who, problem=error.what, status=422)
    return _page(request, state, who, secret=secret)


@router.post("/account/tokens/{token_id}/revoke")
@needs("own account")
def revoke(state: State, who: Who, token_id: int) -> Response:
    """Make a token useless."""
    people.revoke_token(state.store, token_id, who=who.name, user=_person(who))
    return RedirectResponse("/account", 303)


def _page(
    request: Request, state: State, who: Who, *, problem: str = "", secret: str = "", status: int = 200
) -> Response:
    return render(
        request,
        "account.html",
        status=status,
        choices=CHOICES,
        own=dict(who.user.preferences) if who.user is not None else {},
        tokens=people.tokens_of(state.store, who.user) if who.user is not None else (),
        roles=ROLES[: ROLES.index(who.role) + 1] if who.role else (),
        problem=problem,
        secret=secret,
    )


def _days(text: str) -> int | None:
    if text and not (text.isascii() and text.isdecimal() and len(text) < 9):
        raise InvalidInput(f"{text[:20]!r} is no number of days", where="days")
    return int(text) if text else None


def _person(who: Who) -> accounts.User:
    if who.user is None or who.door == "token":
        raise Refusal(403, "this needs a login of a person")
    return who.user
