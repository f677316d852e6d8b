"""The log: who changed what."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import Query
from starlette.requests import Request
from starlette.responses import Response

from laydown.services import journal
from laydown.web.needs import needs
from laydown.web.render import render
from laydown.web.routing import State, page_router

router = page_router()
Text = Annotated[str, Query(max_length=200)]


@router.get("/log")
@needs("read log")
def log(
    request: Request,
    state: State,
    kind: Text = "",
    key: Text = "",
    who: Text = "",
    before: Annotated[int | None, Query(ge=1, lt=2**62)] = None,
) -> Response:
    """Show changes, the newest first; filtered by what was changed and by whom."""
    found = journal.lines(state.store, kind=kind, key=key, who=who, before=before, limit=journal.PAGE + 1)
    kinds, people = journal.filters(state.store)
    older = ""
    if len(found) > journal.PAGE:
        older = "/log?" + urlencode({"kind": kind, "key": key, "who": who, "before": found[journal.PAGE - 1].id})
    shown = [(line, journal.differences(line)) for line in found[: journal.PAGE]]
    chosen = (kind, key, who)
    return render(
        request, "log.html", shown=shown, kinds=kinds, people=people, chosen=chosen, older=older, before=before
    )
