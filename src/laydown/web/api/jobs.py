"""Long work: how far it is, and calling it off."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from fastapi import Path, Query
from pydantic import BaseModel, Field

from laydown.services import jobs
from laydown.web.needs import needs
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("work")

State_ = Literal["waiting", "running", "done", "failed", "cancelled"]
Number = Annotated[int, Path(ge=0, lt=2**31)]


class JobOut(BaseModel):
    """A piece of long work."""

    id: int
    kind: str
    state: State_
    request: dict[str, Any] = Field(description="What is to be done.")
    progress: float = Field(ge=0, le=1)
    message: str = Field(description="What is being done, or why it failed.")
    result: dict[str, Any] = Field(description="Where the result is; empty until done.")
    cancel_asked: bool
    made_by: str
    created_at: dt.datetime
    started_at: dt.datetime | None
    ended_at: dt.datetime | None


@router.get("/work", response_model=list[JobOut], responses=problems_of(409))
@needs("read")
def recent(state: State, only: Annotated[list[State_] | None, Query()] = None) -> list[JobOut]:
    """List what waits, runs and ended lately, the newest first."""
    return [told(job) for job in jobs.recent(state.store, states=only or ())]


@router.get("/work/{job_id}", response_model=JobOut, responses=problems_of(404, 409))
@needs("read")
def job(state: State, job_id: Number) -> JobOut:
    """Read how far a piece of work is."""
    return told(jobs.find(state.store, job_id))


@router.post("/work/{job_id}/cancel", response_model=JobOut, responses=problems_of(404, 409))
@needs("plan")
def cancel(state: State, who: Who, job_id: Number) -> JobOut:
    """Call a piece of work off."""
    return told(jobs.cancel(state.store, job_id, who=who.name))


def told(one: jobs.Job) -> JobOut:
    """Piece of work as it is published."""
    return JobOut(**{name: getattr(one, name) for name in JobOut.model_fields})
