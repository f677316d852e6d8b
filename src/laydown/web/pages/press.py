"""At the press: one order in big type, and what the crew enters."""

from __future__ import annotations

import datetime as dt
import secrets
from typing import Annotated

from fastapi import Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import InvalidInput
from laydown.report.display_units import temperature_unit
from laydown.services import press_book
from laydown.web.needs import needs
from laydown.web.pages.plan import view_of
from laydown.web.refusal import Refusal
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()


@router.get("/press")
@needs("read")
def find(state: State, order: Annotated[str, Query(max_length=80)] = "") -> Response:
    """Find an order by its number."""
    return RedirectResponse(f"/press/{press_book.find_order(state.store, order)}", 303)


@router.get("/press/worker.js")
@needs("open")
def worker(state: State) -> Response:
    """Give the script that lets pages at the press open without a network; its address says for which pages it is."""
    found = state.assets.find(state.assets.version, "js/press_worker.js")
    assert found is not None
    return Response(found[0], media_type=found[1], headers={"cache-control": "no-cache"})


@router.get("/press/{order_id}")
@needs("read")
def press(request: Request, state: State, order_id: int) -> Response:
    """Show an order at the press."""
    return _page(request, state, order_id)


@router.post("/press/{order_id}/entries")
@needs("enter at the press")
def enter(request: Request, state: State, who: Who, order_id: int, form: Form) -> Response:
    """Keep what the crew entered."""
    fields = {name: text for name in form if isinstance(text := form.get(name), str)}
    kind = fields.get("kind", "")
    try:
        document = press_book.document_of(kind, fields, taste_of(request).units)
        press_book.add(
            state.store,
            order_id,
            key=fields.get("key", ""),
            kind=kind,
            document=document,
            happened_at=dt.datetime.now(dt.UTC),
            who=who.name,
        )
    except InvalidInput as error:
        return _page(request, state, order_id, problem=error, kind=kind, fields=fields)
    if not fields.get("key"):  # pragma: no cover - the store refuses an empty key
        raise Refusal(422, "the entry has no key")
    return RedirectResponse(f"/press/{order_id}", 303)


def _page(
    request: Request,
    state: AppState,
    order_id: int,
    *,
    problem: InvalidInput | None = None,
    kind: str = "",
    fields: dict[str, str] | None = None,
) -> Response:
    sheet = press_book.sheet(state.store, order_id)
    taste = taste_of(request)
    prefs = taste.units
    view = None
    if sheet.plan is not None:
        view = view_of(state, sheet.plan, taste)
    return render(
        request,
        "press.html",
        status=200 if problem is None else 422,
        sheet=sheet,
        view=view,
        steps=press_book.steps_of(view) if view is not None else [],
        entries=[
            (one, press_book.words_of(one, prefs), one.key in sheet.withdrawn)
            for one in sheet.entries
            if one.kind != "withdrawal"
        ][:60],
        causes=press_book.CAUSES,
        unit=temperature_unit(prefs),
        new_key=lambda: secrets.token_hex(16),
        problem=problem,
        kind=kind,
        fields=fields or {},
    )
