"""Looking back: outcomes, forecast risks beside them, and claims."""

from __future__ import annotations

import datetime as dt
import math
from typing import Annotated

from fastapi import Path, Query, Response
from pydantic import BaseModel, Field

from laydown.domain.outcome import Claim
from laydown.domain.reliability import Reliability, SpoiledGroup
from laydown.services import looking_back
from laydown.services.looking_back import StoredClaim
from laydown.web.needs import needs
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("looking back")

Number = Annotated[int, Path(ge=0, lt=2**31)]


class ClaimIn(BaseModel):
    """What a customer came back with."""

    key: str = Field(min_length=8, max_length=80, description="Made once a claim by whoever sends it; a UUID does.")
    order: int = Field(ge=0, lt=2**31)
    cause: str = Field(max_length=80, description="One of the published causes.")
    pieces: int = Field(ge=1, le=1_000_000)
    received_on: dt.date
    text: str = Field(default="", max_length=2000)
    replaces: int | None = Field(default=None, ge=0, lt=2**31, description="Claim that this one corrects.")


class ClaimOut(BaseModel):
    """A claim as it is kept."""

    number: int
    order: int
    cause: str
    pieces: int
    received_on: dt.date
    text: str
    replaces: int | None
    entered_at: dt.datetime
    made_by: str


class BinOut(BaseModel):
    """Orders whose forecast risks lie together; shares of one."""

    low: float
    high: float
    expected: float
    observed: float
    orders: int
    missed: int
    interval: tuple[float, float] = Field(description="Holds the true share with a chance of 0.9 (exact).")


class BrierOut(BaseModel):
    """Brier score and its parts: score = reliability - resolution + uncertainty + within."""

    score: float
    reliability: float
    resolution: float
    uncertainty: float
    within: float


class RiskOut(BaseModel):
    """Forecast risks of one requirement against outcomes."""

    requirement: str
    orders: int = Field(description="Known to have met or missed it.")
    missed: int
    expected: float = Field(description="Sum of the forecast risks.")
    pending: int
    without: int
    bins: list[BinOut]
    brier: BrierOut | None
    words: list[str]


class GroupOut(BaseModel):
    """Spoiled and claimed pieces of orders that have something in common."""

    name: str
    orders: int
    pieces: int
    spoiled: int
    claimed: int
    share: float
    interval: tuple[float, float]
    others: float | None = Field(description="Share in all other orders.")
    stands_out: bool


class LookingBackOut(BaseModel):
    """What became of the orders that were printed."""

    invented: bool
    orders: int
    pieces: int
    risks: list[RiskOut]
    causes: list[GroupOut]
    groups: dict[str, list[GroupOut]]


@router.get("/looking-back", response_model=LookingBackOut)
@needs("read")
def overview(
    state: State,
    since: Annotated[dt.date | None, Query(description="Leave out what was printed before.")] = None,
    example: Annotated[bool, Query(description="Invented orders instead of the shop's.")] = False,
) -> LookingBackOut:
    """Read what became of the orders that were printed."""
    if example:
        found = looking_back.example()
    else:
        today = dt.date.today()  # noqa: DTZ011 - the day at the shop
        found = looking_back.look_back(state.store, today=today, since=since)
    return LookingBackOut(
        invented=found.invented,
        orders=len(found.outcomes),
        pieces=found.pieces,
        risks=[_risk(one) for one in found.reliability],
        causes=[_group(one) for one in found.causes],
        groups={name: [_group(one) for one in rows] for name, rows in found.groups},
    )


@router.get("/orders/{order_id}/claims", response_model=list[ClaimOut], responses=problems_of(404))
@needs("read")
def claims(state: State, order_id: Number) -> list[ClaimOut]:
    """Read the claims about an order that hold."""
    return [_claim(one) for one in looking_back.claims_of(state.store, order_id)]


@router.post(
    "/claims",
    response_model=ClaimOut,
    status_code=201,
    responses=problems_of(400, 404, 409) | {200: {"model": ClaimOut, "description": "It was kept before."}},
)
@needs("plan")
def enter(state: State, who: Who, answer: Response, new: ClaimIn) -> ClaimOut:
    """Keep a claim; 200 instead of 201 when it was kept before."""
    claim = Claim(order=new.order, cause=new.cause, pieces=new.pieces, received_on=new.received_on, text=new.text)
    kept, is_new = looking_back.enter_claim(
        state.store,
        claim,
        key=new.key,
        who=who.name,
        today=dt.date.today(),  # noqa: DTZ011 - the day at the shop
        replaces=new.replaces,
    )
    answer.status_code = 201 if is_new else 200
    return _claim(kept)


def _claim(one: StoredClaim) -> ClaimOut:
    return ClaimOut(
        number=one.claim.number,
        order=one.claim.order,
        cause=one.claim.cause,
        pieces=one.claim.pieces,
        received_on=one.claim.received_on,
        text=one.claim.text,
        replaces=one.replaces,
        entered_at=one.entered_at,
        made_by=one.made_by,
    )


def _risk(one: Reliability) -> RiskOut:
    brier = one.brier
    return RiskOut(
        requirement=one.requirement.value,
        orders=one.orders,
        missed=one.missed,
        expected=one.expected,
        pending=one.pending,
        without=one.without,
        bins=[
            BinOut(
                low=b.low,
                high=b.high,
                expected=b.expected,
                observed=b.observed,
                orders=b.orders,
                missed=b.missed,
                interval=b.interval,
            )
            for b in one.bins
        ],
        brier=None
        if brier is None
        else BrierOut(
            score=brier.score,
            reliability=brier.reliability,
            resolution=brier.resolution,
            uncertainty=brier.uncertainty,
            within=brier.within,
        ),
        words=list(one.words),
    )


def _group(one: SpoiledGroup) -> GroupOut:
    return GroupOut(
        name=one.name,
        orders=one.orders,
        pieces=one.pieces,
        spoiled=one.spoiled,
        claimed=one.claimed,
        share=one.share,
        interval=one.interval,
        others=None if math.isnan(one.against) else one.against,
        stands_out=one.stands_out,
    )
