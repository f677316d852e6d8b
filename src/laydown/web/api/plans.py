"""Plans: read, what if, keep a changed one, ask for pictures and films, fetch the ticket."""

from __future__ import annotations

import datetime as dt
import json
from typing import Annotated, Any, Literal

from fastapi import Path
from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import Response

from laydown.errors import NotFound
from laydown.services import order_book, plan_book
from laydown.services.plan_book import FILMS, StoredPlan
from laydown.services.plan_book_change import changed_plan, forecast_change
from laydown.web.api.jobs import JobOut
from laydown.web.api.jobs import told as told_job
from laydown.web.needs import needs
from laydown.web.pages.plan import ticket_bytes
from laydown.web.render import taste_of
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("plans")

Number = Annotated[int, Path(ge=0, lt=2**31)]
Fields = dict[Annotated[str, Field(max_length=40)], Annotated[str, Field(max_length=200)]]

_FIELDS = (
    "As the form of the plan's page has them, in the units of whoever asks: belt, panel, pile, quantity, stack_hot "
    "(yes or no), and for each pass ink1, screen1, hits1. What is left out stays."
)


class PlanOut(BaseModel):
    """A kept plan."""

    order_id: int
    number: int
    order_version: int
    seed: int
    samples: int
    laydown_model: str
    program: str
    complete: bool
    changed_from: int | None
    change: dict[str, Any]
    reason: str
    made_at: dt.datetime
    made_by: str


class PlanSheetOut(PlanOut):
    """A kept plan with its content."""

    plan: dict[str, Any] = Field(description="By the schema of a plan.")
    changes_since: list[str] = Field(description="What of order and shelves changed after it was made.")
    pictures: JobOut | None
    films: JobOut | None


class WhatIfIn(BaseModel):
    """A change to forecast."""

    print: Annotated[int, Field(ge=0, lt=100)] = Field(default=0, description="Which print, counted from 0.")
    fields: Fields = Field(description=_FIELDS)


class CellOut(BaseModel):
    """A forecast before and after."""

    name: str
    before: str
    after: str
    more: str
    same: bool


class WhatIfOut(BaseModel):
    """A print as it would become."""

    changed: list[str]
    passes: bool
    stage: str = Field(description="First requirement that is missed; empty when all are met.")
    reason: str
    confidence: str
    confidence_before: str
    cells: list[CellOut]
    cost: float | None = Field(description="Expected cost of the print, in the shop's currency.")
    cost_before: float | None


class KeepIn(WhatIfIn):
    """A change to keep as a plan of its own."""

    reason: str = Field(min_length=1, max_length=2000)


class WorkIn(BaseModel):
    """What is to be made of a plan."""

    kind: Literal["pictures", "films"]


@router.get("/orders/{order_id}/plans", response_model=list[PlanOut], responses=problems_of(404, 409))
@needs("read")
def plans(state: State, order_id: Number) -> list[PlanOut]:
    """List the plans of an order, the first one first."""
    return [told(one) for one in order_book.sheet(state.store, order_id).plans]


@router.get("/orders/{order_id}/plans/{number}", response_model=PlanSheetOut, responses=problems_of(404, 409))
@needs("read")
def plan(state: State, order_id: Number, number: Number) -> PlanSheetOut:
    """Read a plan."""
    found = plan_book.sheet(state.store, order_id, number)
    return PlanSheetOut(
        **told(found.stored).model_dump(),
        plan=json.loads(plan_book.texts(state.store, found.stored)[0]),
        changes_since=list(found.changes),
        pictures=None if found.pictures is None else told_job(found.pictures),
        films=None if found.films is None else told_job(found.films),
    )


@router.post(
    "/orders/{order_id}/plans/{number}/what-if", response_model=WhatIfOut, responses=problems_of(400, 404, 409)
)
@needs("read")
def what_if(request: Request, state: State, order_id: Number, number: Number, wish: WhatIfIn) -> WhatIfOut:
    """Forecast a changed print; nothing is kept."""
    sheet = plan_book.sheet(state.store, order_id, number)
    prefs = taste_of(request).units
    plan_text, shop_text = plan_book.texts(state.store, sheet.stored)
    _check_print(plan_text, wish.print)
    found = state.desk.ask(forecast_change, plan_text, shop_text, prefs, wish.print, wish.fields)
    return WhatIfOut(
        **{name: found[name] for name in ("changed", "passes", "stage", "reason", "confidence", "confidence_before")},
        cells=[CellOut(**cell) for cell in found["cells"]],
        cost=found["cost"]["value"] if found["cost"] else None,
        cost_before=found["cost_before"]["value"] if found["cost_before"] else None,
    )


@router.post(
    "/orders/{order_id}/plans/{number}/keep",
    response_model=PlanOut,
    status_code=201,
    responses=problems_of(400, 404, 409),
)
@needs("plan")
def keep(request: Request, state: State, who: Who, order_id: Number, number: Number, wish: KeepIn) -> PlanOut:
    """Keep a changed plan as a version of its own."""
    sheet = plan_book.sheet(state.store, order_id, number)
    prefs = taste_of(request).units
    reason = plan_book.needed_reason(wish.reason)
    plan_text, shop_text = plan_book.texts(state.store, sheet.stored)
    _check_print(plan_text, wish.print)
    text, words = state.desk.ask(changed_plan, plan_text, shop_text, prefs, wish.print, wish.fields, number)
    kept = plan_book.keep_changed(state.store, order_id, number, text, words, wish.fields, reason=reason, who=who.name)
    return told(kept)


@router.post(
    "/orders/{order_id}/plans/{number}/work",
    response_model=JobOut,
    status_code=202,
    responses=problems_of(400, 404, 409),
)
@needs("plan")
def work(state: State, who: Who, order_id: Number, number: Number, wish: WorkIn) -> JobOut:
    """Ask for pictures or films of a plan; what is under way is answered instead of begun again."""
    return told_job(plan_book.ask_for(state.store, wish.kind, order_id, number, who=who.name))


@router.get(
    "/orders/{order_id}/plans/{number}/ticket",
    response_class=Response,
    responses=problems_of(404, 409) | {200: {"content": {"application/pdf": {}}, "description": "The ticket."}},
)
@needs("read")
def ticket(request: Request, state: State, order_id: Number, number: Number) -> Response:
    """Fetch the ticket as PDF."""
    content = ticket_bytes(request, state, plan_book.sheet(state.store, order_id, number))
    return Response(content, media_type="application/pdf")


@router.get(
    "/orders/{order_id}/plans/{number}/films",
    response_class=Response,
    responses=problems_of(404, 409) | {200: {"content": {"application/zip": {}}, "description": "The films."}},
)
@needs("read")
def films(state: State, order_id: Number, number: Number) -> Response:
    """Fetch the films, once they were made."""
    sheet = plan_book.sheet(state.store, order_id, number)
    if sheet.films is None or sheet.films.state != "done":
        raise NotFound("file", "films of this plan", ())
    content = plan_book.result_file(state.store, FILMS, order_id, number, str(sheet.films.result["sha256"]))
    return Response(content, media_type="application/zip")


def told(one: StoredPlan) -> PlanOut:
    """Plan as it is published."""
    return PlanOut(**{name: getattr(one, name) for name in PlanOut.model_fields})


def _check_print(text: str, index: int) -> None:
    number = len(json.loads(text)["prints"])
    if index >= number:
        raise NotFound("print", str(index), map(str, range(number)))
