"""A new shop's shelves, begun with the invented shop's items."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form
from starlette.responses import RedirectResponse, Response

from laydown.services import first_steps
from laydown.web.needs import needs
from laydown.web.routing import State, Who, page_router

router = page_router()


@router.post("/first-steps/examples")
@needs("change shelves")
def examples(state: State, who: Who, kind: Annotated[str, Form(max_length=40)] = "") -> Response:
    """Put examples on an empty shelf, and show it."""
    first_steps.begin_with_examples(state.store, kind, who=who.name)
    return RedirectResponse(f"/shelves/{kind}", 303)
