"""People: who may do what."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import Conflict, InvalidInput
from laydown.services import people
from laydown.web.needs import NEEDS, ROLES, needs
from laydown.web.render import render
from laydown.web.routing import State, Who, page_router
from laydown.web.state import AppState

router = page_router()


@router.get("/people")
@needs("people")
def everyone(request: Request, state: State) -> Response:
    """Show everybody, and the table of what each role may."""
    return _page(request, state)


@router.post("/people")
@needs("people")
def take_in(
    request: Request,
    state: State,
    who: Who,
    name: Annotated[str, Form()] = "",
    role: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
) -> Response:
    """Let somebody in."""
    try:
        people.take_in(state.store, name, role, password=password, who=who.name)
    except (InvalidInput, Conflict) as error:
        return _page(request, state, problem=error.what, name=name, role=role, status=422)
    return RedirectResponse("/people", 303)


@router.post("/people/{user_id}")
@needs("people")
def change(
    state: State,
    who: Who,
    user_id: int,
    revision: Annotated[int, Form()],
    role: Annotated[str, Form()] = "",
    active: Annotated[str, Form()] = "",
) -> Response:
    """Change what somebody may do."""
    people.change(
        state.store,
        user_id,
        revision=revision,
        who=who.name,
        role=role or None,
        active={"yes": True, "no": False}.get(active),
    )
    return RedirectResponse("/people", 303)


@router.post("/people/{user_id}/password")
@needs("people")
def give_password(state: State, who: Who, user_id: int, password: Annotated[str, Form()] = "") -> Response:
    """Give somebody another password."""
    people.give_password(state.store, user_id, password, who=who.name)
    return RedirectResponse("/people", 303)


@router.post("/people/{user_id}/logout")
@needs("people")
def log_out(state: State, who: Who, user_id: int) -> Response:
    """End every login of somebody."""
    people.log_out_everywhere(state.store, user_id, who=who.name)
    return RedirectResponse("/people", 303)


def _page(
    request: Request, state: AppState, *, problem: str = "", name: str = "", role: str = "press", status: int = 200
) -> Response:
    return render(
        request,
        "people.html",
        status=status,
        people=people.everyone(state.store),
        roles=ROLES,
        rights=[need for need in NEEDS if need.role],
        open_door=not state.settings.needs_login,
        problem=problem,
        name=name,
        role=role,
    )
