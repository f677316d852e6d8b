"""The lab: what is due, every swatch, the tests that may be run."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from fastapi import Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.services import lab_calendar, proposals, swatch_book, swatch_start
from laydown.services.swatch_labels import after_words
from laydown.web.base_address import base_address
from laydown.web.needs import needs
from laydown.web.pages.lab_words import lab_words
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router

router = page_router()
SHOWN = 200


@router.get("/lab")
@needs("read")
def overview(request: Request, state: State) -> Response:
    """Show what is due, what runs, and which tests would change pending orders."""
    day = swatch_book.day(state.store, dt.datetime.now(dt.UTC))
    return render(
        request,
        "lab.html",
        day=day,
        proposed=proposals.proposals(state.store, dt.date.today()),  # noqa: DTZ011 - the day at the shop
        **lab_words(taste_of(request).units),
    )


@router.get("/lab/swatches")
@needs("read")
def swatches(
    request: Request,
    state: State,
    q: Annotated[str, Query(max_length=200)] = "",
    how: Annotated[str, Query(max_length=20)] = "",
) -> Response:
    """Show every swatch that fits."""
    found = swatch_book.find(state.store, states=(how,) if how in swatch_book.STATES else (), text=q, limit=SHOWN)
    return render(
        request,
        "lab_swatches.html",
        found=found,
        q=q,
        how=how,
        states=swatch_book.STATES,
        now=dt.datetime.now(dt.UTC),
        **lab_words(taste_of(request).units),
    )


@router.get("/lab/protocols")
@needs("read")
def protocols(request: Request, state: State) -> Response:
    """Show the tests that may be run."""
    shop = swatch_start.choices(state.store)
    return render(
        request,
        "lab_protocols.html",
        found=swatch_start.tests(state.store),
        own={one.name for one in shop.protocols},
        after=after_words,
    )


@router.get("/lab/protocols/{name}")
@needs("read")
def protocol(request: Request, state: State, name: str) -> Response:
    """Show one test."""
    shop = swatch_start.choices(state.store)
    return render(
        request,
        "lab_protocol.html",
        one=swatch_start.test_named(state.store, name),
        own=any(one.name == name for one in shop.protocols),
        **lab_words(taste_of(request).units),
    )


@router.post("/lab/protocols/{name}/copy")
@needs("change shelves")
def copy(state: State, who: Who, name: str) -> Response:
    """Put a test that came along on the shop's own shelf, to be changed there."""
    swatch_start.own_copy(state.store, name, who=who.name)
    return RedirectResponse(f"/shelves/protocols/edit?name={name}", 303)


@router.get("/lab/calendar")
@needs("own account")
def calendar(request: Request, state: State, who: Who) -> Response:
    """Offer the secret address of the calendar."""
    user = who.user.id if who.user else None
    return render(request, "lab_calendar.html", has=lab_calendar.has(state.store, user), address="")


@router.post("/lab/calendar")
@needs("own account")
def renew(request: Request, state: State, who: Who, form: Form) -> Response:
    """Make the secret address anew, or stop it."""
    user = who.user.id if who.user else None
    if form.get("do") == "stop":
        lab_calendar.stop(state.store, user, who=who.name)
        return RedirectResponse("/lab/calendar", 303)
    secret = lab_calendar.renew(state.store, user, who=who.name)
    address = f"{base_address(request, state)}/lab/due.ics?key={secret}"
    return render(request, "lab_calendar.html", has=True, address=address)


@router.get("/lab/due.ics")
@needs("open")
def due(request: Request, state: State, key: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Give what is due to whoever knows the secret: calendar programs cannot log in."""
    text = lab_calendar.feed(
        state.store,
        key,
        dt.datetime.now(dt.UTC),
        base=base_address(request, state),
        without_login=not state.settings.needs_login,
    )
    headers = {"cache-control": "private, max-age=300", "content-disposition": 'inline; filename="due.ics"'}
    return Response(text, media_type="text/calendar; charset=utf-8", headers=headers)
