"""What the shop's tests say of its own screens and inks."""

from __future__ import annotations

import datetime as dt
from enum import StrEnum
from typing import Annotated, Any

from fastapi import Query
from pydantic import BaseModel, Field

from laydown.services import shop_fits
from laydown.services.shop_fits import FitSheet
from laydown.services.shop_fits_document import document_of_fit
from laydown.services.shop_fits_view import standing_of, title_of
from laydown.web.api.lab_records import Name
from laydown.web.needs import needs
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("lab")


class Kind(StrEnum):
    """What a shop measures of itself."""

    TRANSFER = shop_fits.TRANSFER
    OPTICS = shop_fits.OPTICS
    TONE = shop_fits.TONE


class MeasuredOut(BaseModel):
    """What the tests say of one thing."""

    kind: Kind
    ink: str = Field(description="For optics; empty otherwise.")
    title: str
    swatches: list[int]
    readings: list[int] = Field(description="That the fit rests on.")
    problem: str = Field(description="Why there is no fit; empty with one.")
    unused: list[str] = Field(description="What was left out, and why.")
    in_plans_since: dt.datetime | None = Field(description="When plans began to use it.")
    stale: bool = Field(description="Whether the readings are others than those that plans use.")
    contradicts: bool = Field(description="Whether readings contradict each other; then plans wait for a person.")
    standing: str
    fit: dict[str, Any] = Field(
        description="`quantities` with `prior` and `posterior`, `checks` of each reading against the others, "
        "`warnings`, `curves`; kg, m, shares of one, 1/m."
    )


class UseIn(BaseModel):
    """What plans shall use from now on."""

    kind: Kind
    ink: Name = ""


@router.get("/lab/measured", response_model=list[MeasuredOut])
@needs("read")
def measured(state: State) -> list[MeasuredOut]:
    """List what the shop may measure of itself: transfer, dot gain, every ink with drawdowns."""
    return [_out(one) for one in shop_fits.sheets(state.store)]


@router.get("/lab/measured/{kind}", response_model=MeasuredOut, responses=problems_of(404))
@needs("read")
def one(state: State, kind: Kind, ink: Annotated[str, Query(max_length=80)] = "") -> MeasuredOut:
    """Read what the tests say of one thing."""
    return _out(shop_fits.sheet(state.store, kind.value, ink))


@router.post("/lab/measured", response_model=MeasuredOut, responses=problems_of(400, 404, 409))
@needs("run the lab")
def use(state: State, who: Who, wanted: UseIn) -> MeasuredOut:
    """Let plans use it from now on."""
    return _out(shop_fits.use(state.store, wanted.kind.value, wanted.ink, who=who.name))


def _out(found: FitSheet) -> MeasuredOut:
    return MeasuredOut(
        kind=Kind(found.kind),
        ink=found.subject,
        title=title_of(found),
        swatches=list(found.swatches),
        readings=list(found.readings),
        problem=found.problem,
        unused=list(found.unused),
        in_plans_since=found.used.fitted_at if found.used else None,
        stale=found.stale,
        contradicts=found.contradicts,
        standing=standing_of(found),
        fit=document_of_fit(found),
    )
