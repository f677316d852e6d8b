"""The first run: the demo shop or an empty one; and before that, with a login, the first owner."""

from __future__ import annotations

import hmac
from typing import Annotated

from fastapi import Form
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import InvalidInput
from laydown.services import accounts, opening
from laydown.web.client_address import client_address
from laydown.web.limiter import waiting_words
from laydown.web.needs import needs
from laydown.web.pages.login import logged_in
from laydown.web.refusal import Refusal
from laydown.web.render import render
from laydown.web.routing import State, Who, page_router

router = page_router()


@router.get("/start")
@needs("move shop")
def start(request: Request, state: State) -> Response:
    """Offer the demo shop or an empty one."""
    if opening.shop_head(state.store) is not None:
        return RedirectResponse("/", 303)
    return render(request, "start.html", problem="", name="")


@router.post("/start")
@needs("move shop")
def begin(
    request: Request, state: State, who: Who, choice: Annotated[str, Form()] = "", name: Annotated[str, Form()] = ""
) -> Response:
    """Start the shop."""
    if choice == "demo":
        opening.start_demo(state.store, who=who.name, history=True)
    elif choice == "empty":
        try:
            opening.start_empty(state.store, name, who=who.name)
        except InvalidInput as error:
            return render(request, "start.html", status=422, problem=error.what, name=name)
    else:
        return render(request, "start.html", status=422, problem="choose one of the two", name=name)
    return RedirectResponse("/", 303)


@router.get("/setup")
@needs("open")
def set_up(request: Request, state: State) -> Response:
    """Ask for the code that the console shows, and the first owner's name and password."""
    if not state.setup_code:
        return RedirectResponse("/", 303)
    return render(request, "setup.html", problem="", name="")


@router.post("/setup")
@needs("open")
def add_owner(
    request: Request,
    state: State,
    code: Annotated[str, Form()] = "",
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
) -> Response:
    """Take the first owner in; the code works once."""
    if not state.setup_code:
        return RedirectResponse("/login", 303)
    key = f"setup {client_address(request)}"
    wait = state.tries.wait_for(key)
    if wait:
        raise Refusal(429, f"too many tries; try again in {waiting_words(wait)}", retry_after=wait)
    if not hmac.compare_digest(code.strip().lower().encode(), state.setup_code.encode()):
        state.tries.failed(key)
        problem = "this is not the code that the console shows"
        return render(request, "setup.html", status=422, problem=problem, name=name)
    try:
        accounts.add_first_owner(state.store, name, password)
    except InvalidInput as error:
        return render(request, "setup.html", status=422, problem=error.what, name=name)
    state.setup_code = ""
    found = accounts.log_in(state.store, name, password, device=request.headers.get("user-agent", ""))
    return logged_in(state, "/", found[1]) if found is not None else RedirectResponse("/login", 303)
