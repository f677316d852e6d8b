"""Orders: take in, find, read, change, say how far they are."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from fastapi import File, Path, Query, UploadFile
from pydantic import BaseModel, Field

from laydown.services import jobs, order_book
from laydown.services.order_book import OrderRow, StoredOrder
from laydown.web.api.jobs import JobOut
from laydown.web.api.jobs import told as told_job
from laydown.web.needs import needs
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("orders")

Number = Annotated[int, Path(ge=0, lt=2**31)]
OrderState = Literal["new", "planned", "approved", "printing", "done", "cancelled"]
Revision = Annotated[int, Field(ge=0, lt=2**31, description="Of the order that the change started from.")]
Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
FileNames = dict[Annotated[str, Field(min_length=1, max_length=200)], Sha256]


class OrderOut(BaseModel):
    """An order as it stands."""

    id: int
    identifier: str
    name: str
    garment: str
    quantity: int
    due: dt.date
    placed: dt.date | None
    state: OrderState
    version: int
    approved_plan: int | None
    revision: int
    created_at: dt.datetime
    changed_at: dt.datetime
    changed_by: str


class OrderRowOut(OrderOut):
    """An order in a list."""

    plans: int
    newest_plan: int | None
    plan_complete: bool | None = Field(description="Whether the newest plan has a stack for every print.")
    out_of_date: bool = Field(description="Whether order or shelves changed after the newest plan.")


class OrdersOut(BaseModel):
    """Orders that fit."""

    orders: list[OrderRowOut]
    number: int = Field(description="How many fit in all.")


class VersionOut(BaseModel):
    """One version of an order's text."""

    version: int
    text: str = Field(description="The order file (TOML).")
    files: dict[str, str] = Field(description="SHA-256 of each file by the name that the text uses.")
    reason: str
    made_at: dt.datetime
    made_by: str


class OrderSheetOut(OrderOut):
    """An order with its versions."""

    versions: list[VersionOut]
    plans: list[int]
    changes_since_plan: list[str]


class NewOrder(BaseModel):
    """An order to take in."""

    text: str = Field(max_length=500_000, description="The order file (TOML).")
    files: FileNames = Field(default_factory=dict, description="Files that it names, kept before.")
    plan: bool = Field(default=False, description="Whether to ask for a plan at once.")


class TakenIn(BaseModel):
    """An order that was taken in."""

    order: OrderOut
    job: JobOut | None


class ChangedOrder(BaseModel):
    """A new version of an order."""

    text: str = Field(max_length=500_000)
    files: FileNames = Field(default_factory=dict, description="Files beside those that it has already.")
    revision: Revision
    reason: str = Field(default="", max_length=2000)


class NewState(BaseModel):
    """How far an order is."""

    state: OrderState
    revision: Revision


class Approval(BaseModel):
    """Which plan an order is printed by."""

    plan: int | None = Field(ge=1, lt=2**31, description="Null takes the approval back.")
    revision: Revision


class Wish(BaseModel):
    """Why a plan is asked for."""

    reason: str = Field(default="", max_length=2000)


class FileOut(BaseModel):
    """A file that is kept."""

    sha256: str


@router.get("/orders", response_model=OrdersOut, responses=problems_of(409))
@needs("read")
def find(
    state: State,
    q: Annotated[str, Query(max_length=200)] = "",
    only: Annotated[list[OrderState] | None, Query()] = None,
    limit: Annotated[int, Query(ge=1, le=200)] = 100,
    offset: Annotated[int, Query(ge=0, lt=2**31)] = 0,
) -> OrdersOut:
    """List orders, the soonest due first."""
    rows, number = order_book.find(state.store, text=q, states=only or (), limit=limit, offset=offset)
    return OrdersOut(orders=[_row(row) for row in rows], number=number)


@router.post("/orders", response_model=TakenIn, status_code=201, responses=problems_of(400, 404, 409, 413))
@needs("plan")
def take_in(state: State, who: Who, new: NewOrder) -> TakenIn:
    """Take an order in."""
    order = order_book.take_in(state.store, new.text, art=new.files, who=who.name)
    job = jobs.ask_for_plan(state.store, order.id, who=who.name) if new.plan else None
    return TakenIn(order=told(order), job=None if job is None else told_job(job))


@router.get("/orders/{order_id}", response_model=OrderSheetOut, responses=problems_of(404, 409))
@needs("read")
def order(state: State, order_id: Number) -> OrderSheetOut:
    """Read an order."""
    found = order_book.sheet(state.store, order_id)
    return OrderSheetOut(
        **told(found.order).model_dump(),
        versions=[
            VersionOut(
                version=one.version,
                text=one.text,
                files=dict(one.files),
                reason=one.reason,
                made_at=one.made_at,
                made_by=one.made_by,
            )
            for one in found.versions
        ],
        plans=[one.number for one in found.plans],
        changes_since_plan=list(found.changes),
    )


@router.put("/orders/{order_id}", response_model=OrderOut, responses=problems_of(400, 404, 409, 413))
@needs("plan")
def change(state: State, who: Who, order_id: Number, new: ChangedOrder) -> OrderOut:
    """Give an order a new version."""
    return told(
        order_book.change(
            state.store,
            order_id,
            new.text,
            revision=new.revision,
            art=new.files,
            reason=new.reason,
            who=who.name,
        )
    )


@router.put("/orders/{order_id}/state", response_model=OrderOut, responses=problems_of(400, 404, 409))
@needs("plan")
def set_state(state: State, who: Who, order_id: Number, new: NewState) -> OrderOut:
    """Say how far an order is."""
    return told(order_book.set_state(state.store, order_id, new.state, revision=new.revision, who=who.name))


@router.put("/orders/{order_id}/approval", response_model=OrderOut, responses=problems_of(400, 404, 409))
@needs("plan")
def approve(state: State, who: Who, order_id: Number, new: Approval) -> OrderOut:
    """Say which plan an order is printed by."""
    return told(order_book.approve(state.store, order_id, new.plan, revision=new.revision, who=who.name))


@router.post("/orders/{order_id}/plans", response_model=JobOut, status_code=202, responses=problems_of(400, 404, 409))
@needs("plan")
def plan(state: State, who: Who, order_id: Number, wish: Wish) -> JobOut:
    """Ask for a plan; its progress stands under `/api/work/{id}`."""
    return told_job(jobs.ask_for_plan(state.store, order_id, who=who.name, reason=wish.reason))


@router.post(
    "/files",
    response_model=FileOut,
    status_code=201,
    responses=problems_of(400, 409, 413),
    max_body_size=order_book.LARGEST_ART + 1_000_000,
)
@needs("plan")
def keep(state: State, who: Who, file: Annotated[UploadFile, File()]) -> FileOut:
    """Keep an art file; an order names it by the SHA-256 that is answered."""
    return FileOut(sha256=order_book.keep_art(state.store, file.file, who=who.name))


def told(one: StoredOrder) -> OrderOut:
    """Order as it is published."""
    return OrderOut(**{name: getattr(one, name) for name in OrderOut.model_fields})


def _row(row: OrderRow) -> OrderRowOut:
    return OrderRowOut(
        **told(row.order).model_dump(),
        plans=row.plans,
        newest_plan=row.newest.number if row.newest else None,
        plan_complete=row.newest.complete if row.newest else None,
        out_of_date=row.out_of_date,
    )
