"""Routers whose routes all stand behind the door."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request

from laydown.web.guard import GuardedRoute
from laydown.web.identity import Identity, identity_of
from laydown.web.problems import Problem
from laydown.web.state import AppState, state_of

Who = Annotated[Identity, Depends(identity_of)]
State = Annotated[AppState, Depends(state_of)]


async def _form_of(request: Request) -> FormData:
    return await request.form()


Form = Annotated[FormData, Depends(_form_of)]
"""Everything that a form sent, for forms whose fields are not known beforehand."""

PROBLEMS = (
    (401, "No login, or no valid token."),
    (403, "The role is not enough, or the change did not come from a page of this app."),
    (422, "Something that was sent cannot be used; the sentence says what, where and what would do."),
    (503, "The database does not answer; nothing was kept."),
)
"""What every address of the JSON interface may answer beside success."""

MORE_PROBLEMS = (
    (400, "The body cannot be read."),
    (404, "There is no such thing."),
    (409, "Somebody else changed it meanwhile; `present` is how it stands now."),
    (413, "The body is too large."),
    (429, "Too many tries."),
)


def page_router() -> APIRouter:
    """Router for pages; they are no part of the published interface."""
    return APIRouter(route_class=GuardedRoute, include_in_schema=False)


def api_router(tag: str) -> APIRouter:
    """Router for a part of the JSON interface; its addresses begin with ``/api``."""
    return APIRouter(route_class=GuardedRoute, prefix="/api", tags=[tag], responses=problems_of())


def problems_of(*statuses: int) -> dict[int | str, dict[str, object]]:
    """Documentation of error answers: those of every address, and these (of `MORE_PROBLEMS`)."""
    told = (*PROBLEMS, *(one for one in MORE_PROBLEMS if one[0] in statuses))
    return {status: {"model": Problem, "description": what} for status, what in told}
