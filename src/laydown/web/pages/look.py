"""Light or dark, on this device."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.web.needs import needs
from laydown.web.render import THEME_COOKIE, THEMES
from laydown.web.routing import State, page_router

router = page_router()
YEAR_S = 365 * 24 * 3600


@router.post("/look")
@needs("open")
def choose_look(request: Request, state: State, theme: Annotated[str, Form()] = "auto") -> Response:
    """Remember it, and go back to the page."""
    back = request.headers.get("referer", "")
    own = f"{request.url.scheme}://{request.headers.get('host', '')}/"
    answer = RedirectResponse("/" + back.removeprefix(own).lstrip("/\\") if back.startswith(own) else "/", 303)
    if theme in THEMES:
        secure = state.settings.https
        answer.set_cookie(THEME_COOKIE, theme, max_age=YEAR_S, path="/", secure=secure, httponly=True, samesite="lax")
    return answer
