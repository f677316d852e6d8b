"""The first page, until there is one that says what is due."""

from __future__ import annotations

from starlette.responses import RedirectResponse, Response

from laydown.web.needs import needs
from laydown.web.routing import page_router

router = page_router()


@router.get("/")
@needs("read")
def home() -> Response:
    """Lead to the shelves."""
    return RedirectResponse("/shelves", 303)
