"""At the press: what was entered, and more of it; an entry that is sent twice is kept once."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from fastapi import Path, Response
from pydantic import AwareDatetime, BaseModel, Field

from laydown.services import press_book
from laydown.services.press_book import PressEntry
from laydown.web.needs import needs
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("press")

Number = Annotated[int, Path(ge=0, lt=2**31)]
Kind = Literal["set-up step", "strike-off", "count", "misprint", "probe reading", "note", "withdrawal"]

_DOCUMENT = (
    "set-up step: step, done; strike-off: good; count: pieces; misprint: pieces, cause; probe reading: celsius or "
    "fahrenheit; note: text; withdrawal: key of the entry that is taken back. Each may have a text beside."
)


class EntryIn(BaseModel):
    """An entry to keep."""

    key: str = Field(min_length=8, max_length=80, description="Made once an entry by whoever sends it; a UUID does.")
    kind: Kind
    document: dict[str, Any] = Field(description=_DOCUMENT)
    happened_at: AwareDatetime = Field(description="When it was entered, with its time zone.")


class EntryOut(BaseModel):
    """An entry as it is kept."""

    key: str
    kind: str
    document: dict[str, Any]
    happened_at: dt.datetime
    received_at: dt.datetime
    made_by: str


class PressOut(BaseModel):
    """What was entered for an order."""

    printed: int = Field(description="Good pieces.")
    misprints: dict[str, int] = Field(description="Pieces by cause.")
    steps: dict[str, bool] = Field(description="Whether each set-up step is done.")
    plan: int | None = Field(description="Plan that is printed by.")
    entries: list[EntryOut] = Field(description="The newest first; withdrawn ones too.")


@router.get("/press/{order_id}", response_model=PressOut, responses=problems_of(404, 409))
@needs("read")
def press(state: State, order_id: Number) -> PressOut:
    """Read what was entered for an order."""
    found = press_book.sheet(state.store, order_id)
    return PressOut(
        printed=found.totals.printed,
        misprints=dict(found.totals.misprints),
        steps=dict(found.totals.steps),
        plan=found.plan.number if found.plan else None,
        entries=[told(one) for one in found.entries],
    )


@router.post(
    "/press/{order_id}/entries",
    response_model=EntryOut,
    status_code=201,
    responses=problems_of(400, 404, 409) | {200: {"model": EntryOut, "description": "It was kept before."}},
)
@needs("enter at the press")
def enter(state: State, who: Who, answer: Response, order_id: Number, new: EntryIn) -> EntryOut:
    """Keep an entry; 200 instead of 201 when it was kept before."""
    kept, is_new = press_book.add(
        state.store,
        order_id,
        key=new.key,
        kind=new.kind,
        document=new.document,
        happened_at=new.happened_at,
        who=who.name,
    )
    answer.status_code = 201 if is_new else 200
    return told(kept)


def told(one: PressEntry) -> EntryOut:
    """Entry as it is published."""
    return EntryOut(
        key=one.key,
        kind=one.kind,
        document=dict(one.document),
        happened_at=one.happened_at,
        received_at=one.received_at,
        made_by=one.made_by,
    )
