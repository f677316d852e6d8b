"""The log: who changed what."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from fastapi import Query
from pydantic import BaseModel

from laydown.services import journal
from laydown.web.needs import needs
from laydown.web.routing import State, api_router, problems_of

router = api_router("log")
Text = Annotated[str, Query(max_length=200)]


class Line(BaseModel):
    """One change."""

    id: int
    at: dt.datetime
    who: str
    action: str
    kind: str
    key: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None


@router.get("/log", response_model=list[Line], responses=problems_of())
@needs("read log")
def log(
    state: State,
    kind: Text = "",
    key: Text = "",
    who: Text = "",
    before: Annotated[int | None, Query(ge=1, lt=2**62, description="Only lines with a smaller number.")] = None,
    limit: Annotated[int, Query(ge=1, le=1000)] = 100,
) -> list[Line]:
    """List changes, the newest first."""
    found = journal.lines(state.store, kind=kind, key=key, who=who, before=before, limit=limit)
    return [Line(**{name: getattr(line, name) for name in Line.model_fields}) for line in found]
