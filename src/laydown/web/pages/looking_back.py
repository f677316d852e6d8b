"""Looking back: spoiled pieces, claims, and forecast risks beside what happened."""

from __future__ import annotations

import datetime as dt
import secrets
from typing import Annotated, NamedTuple

from fastapi import Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.domain.outcome import Claim
from laydown.domain.reliability import Reliability
from laydown.errors import InvalidInput, NotFound
from laydown.report.reliability_chart import reliability_chart
from laydown.services import looking_back, press_book
from laydown.services.plan_book_view import own_ids
from laydown.web.needs import needs
from laydown.web.render import render
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

SPANS = (("", "ever since"), ("30", "the last 30 days"), ("90", "the last 90 days"), ("365", "the last year"))
SHOWN = 20


class Compared(NamedTuple):
    """A comparison and its drawing."""

    found: Reliability
    chart: str


@router.get("/lab/looking-back")
@needs("read")
def overview(
    request: Request,
    state: State,
    span: Annotated[str, Query(max_length=4)] = "",
    example: Annotated[str, Query(max_length=4)] = "",
    correct: Annotated[int | None, Query(ge=1, lt=2**31)] = None,
) -> Response:
    """Show what became of the orders that were printed; with ``correct``, a claim in the form."""
    fields = None if correct is None else _fields_of(looking_back.standing_claim(state.store, correct).claim)
    return _page(request, state, span=span, example=bool(example), fields=fields)


@router.post("/lab/looking-back/claims")
@needs("plan")
def claim(request: Request, state: State, who: Who, form: Form) -> Response:
    """Keep what a customer came back with, or correct what was kept."""
    fields = {name: text.strip() for name in form if isinstance(text := form.get(name), str)}
    number = fields.get("replaces", "")
    try:
        looking_back.enter_claim(
            state.store,
            _claim_of(state, fields),
            key=fields.get("key", ""),
            who=who.name,
            today=_today(),
            replaces=int(number) if number.isdecimal() and len(number) < 10 else None,
        )
    except (InvalidInput, NotFound) as error:
        return _page(request, state, problem=str(error), fields=fields)
    return RedirectResponse("/lab/looking-back#claims", 303)


@router.post("/lab/looking-back/claims/{number}/back")
@needs("plan")
def back(state: State, who: Who, number: int, form: Form) -> Response:
    """Take a claim back that was entered by mistake."""
    looking_back.take_back(state.store, number, key=str(form.get("key", "")), who=who.name)
    return RedirectResponse("/lab/looking-back#claims", 303)


def _fields_of(kept: Claim) -> dict[str, str]:
    return {
        "replaces": str(kept.number),
        "order": str(kept.order),
        "cause": kept.cause,
        "pieces": str(kept.pieces),
        "received_on": kept.received_on.isoformat(),
        "text": kept.text,
    }


def _claim_of(state: AppState, fields: dict[str, str]) -> Claim:
    pieces, received = fields.get("pieces", ""), fields.get("received_on", "")
    if not pieces.isdecimal() or len(pieces) > 7:
        raise InvalidInput("a whole number of pieces is needed", where="pieces")
    try:
        day = dt.date.fromisoformat(received)
    except ValueError:
        raise InvalidInput("a day as 2026-12-10 is needed", where="received_on") from None
    return Claim(
        order=press_book.find_order(state.store, fields.get("order", "")),
        cause=fields.get("cause", ""),
        pieces=int(pieces),
        received_on=day,
        text=fields.get("text", ""),
    )


def _page(
    request: Request,
    state: AppState,
    *,
    span: str = "",
    example: bool = False,
    problem: str = "",
    fields: dict[str, str] | None = None,
) -> Response:
    today = _today()
    since = today - dt.timedelta(days=int(span)) if span in dict(SPANS) and span else None
    found = looking_back.example() if example else looking_back.look_back(state.store, today=today, since=since)
    names = {one.order: one.name for one in found.outcomes}
    return render(
        request,
        "looking_back.html",
        status=422 if problem else 200,
        found=found,
        compared=[Compared(one, _drawn(state, one)) for one in found.reliability if one.orders],
        uncompared=[one for one in found.reliability if not one.orders],
        claims=[] if example else looking_back.all_claims(state.store),
        names=names,
        causes=looking_back.CLAIM_CAUSES,
        spans=SPANS,
        span=span if span in dict(SPANS) else "",
        shown=SHOWN,
        today=today.isoformat(),
        problem=problem,
        fields=fields or {},
        own_ids=own_ids,
        new_key=lambda: secrets.token_hex(16),
    )


def _drawn(state: AppState, one: Reliability) -> str:
    """Drawing of a comparison; made once, by the process that draws."""
    return state.drawing.ask_once((one,), reliability_chart, lambda: (one,))


def _today() -> dt.date:
    return dt.date.today()  # noqa: DTZ011 - the day at the shop
