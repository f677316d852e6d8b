"""A plan: what is recommended and why, what if, two side by side, and what to take to the workshop."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Annotated, Any

from fastapi import Form as FormField
from fastapi import Query
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.domain.shop import Preferences
from laydown.errors import InvalidInput, NotFound
from laydown.services import dryer_book, dryer_watch, plan_book
from laydown.services.jobs import FINAL
from laydown.services.plan_book import FILMS, PICTURES, PlanSheet, StoredPlan
from laydown.services.plan_book_change import changed_plan, forecast_change, view_and_forms
from laydown.services.plan_book_compare import side_by_side
from laydown.services.plan_book_explain import explained
from laydown.services.plan_book_ticket import ticket_of
from laydown.services.plan_book_view import outline_view, own_ids
from laydown.web.base_address import tablet_address
from laydown.web.needs import needs
from laydown.web.pages.jobs import told
from laydown.web.render import Taste, decimal_of, render, taste_of
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

SORTS = (("", "as weighed"), ("stage", "by stage"), ("cost", "by cost"), ("stack", "by name"))
MOST_ROWS = 100
"""Stacks that were not taken, on one page; a search or another order shows others."""

NOT_CHANGES = ("csrf", "print", "reason", "part")


@router.get("/orders/{order_id}/plans/{number}")
@needs("read")
def plan(
    request: Request,
    state: State,
    order_id: int,
    number: int,
    q: Annotated[str, Query(max_length=200)] = "",
    sort: Annotated[str, Query(max_length=10)] = "",
    day: Annotated[str, Query(max_length=6)] = "",
    others: Annotated[int, Query(ge=-1, le=99)] = -1,
) -> Response:
    """Show a plan; with ``others``, only the stacks of that print that were not taken."""
    if others >= 0:
        stored = plan_book.sheet(state.store, order_id, number).stored
        prints = view_of(state, stored, taste_of(request))["prints"]
        if others >= len(prints):
            raise NotFound("print", str(others), map(str, range(len(prints))))
        rows = _sorted(prints[others]["losers"], q, sort)
        return render(request, "parts/losers.html", rows=rows, place=prints[others]["place"])
    return _page(request, state, plan_book.sheet(state.store, order_id, number), q=q, sort=sort, day=day)


@router.post("/orders/{order_id}/plans/{number}/what-if")
@needs("read")
def what_if(request: Request, state: State, order_id: int, number: int, form: Form) -> Response:
    """Forecast a changed print beside the plan's."""
    sheet = plan_book.sheet(state.store, order_id, number)
    index, fields = _wishes(form)
    problem, found = None, None
    try:
        found = _forecast(state, sheet, taste_of(request), index, fields)
    except (InvalidInput, NotFound) as error:
        problem = error
    status = 200 if problem is None else 422
    if form.get("part"):
        context = {"found": found, "problem": problem}
        return render(request, "parts/what_if.html", status=status, **context)
    return _page(request, state, sheet, status=status, index=index, fields=fields, found=found, problem=problem)


@router.post("/orders/{order_id}/plans/{number}/keep")
@needs("plan")
def keep(request: Request, state: State, who: Who, order_id: int, number: int, form: Form) -> Response:
    """Keep a changed plan as a version of its own."""
    sheet = plan_book.sheet(state.store, order_id, number)
    index, fields = _wishes(form)
    taste = taste_of(request)
    try:
        _check_index(state, sheet, taste, index)
        reason = plan_book.needed_reason(str(form.get("reason", "")))
        text, words = state.desk.ask(
            changed_plan, *plan_book.texts(state.store, sheet.stored), taste.units, index, fields, number
        )
        kept = plan_book.keep_changed(state.store, order_id, number, text, words, fields, reason=reason, who=who.name)
    except (InvalidInput, NotFound) as error:
        return _page(request, state, sheet, status=422, index=index, fields=fields, found=None, problem=error)
    return RedirectResponse(f"/orders/{order_id}/plans/{kept.number}", 303)


@router.post("/orders/{order_id}/plans/{number}/work")
@needs("plan")
def work(
    state: State, who: Who, order_id: int, number: int, kind: Annotated[str, FormField(max_length=20)] = ""
) -> Response:
    """Ask for pictures or films."""
    plan_book.ask_for(state.store, kind, order_id, number, who=who.name)
    return RedirectResponse(f"/orders/{order_id}/plans/{number}#{kind}", 303)


@router.get("/orders/{order_id}/plans/{number}/pictures/{sha256}.png")
@needs("read")
def picture(state: State, order_id: int, number: int, sha256: str) -> Response:
    """Give a picture of a print."""
    content = plan_book.result_file(state.store, PICTURES, order_id, number, sha256)
    return Response(content, media_type="image/png", headers={"cache-control": "private, max-age=31536000, immutable"})


@router.get("/orders/{order_id}/plans/{number}/films.zip")
@needs("read")
def films(state: State, order_id: int, number: int) -> Response:
    """Give the films."""
    sheet = plan_book.sheet(state.store, order_id, number)
    if sheet.films is None or sheet.films.state != "done":
        raise NotFound("file", "films.zip", ())
    content = plan_book.result_file(state.store, FILMS, order_id, number, str(sheet.films.result["sha256"]))
    return _download(content, "application/zip", f"films-{order_id}-{number}.zip")


@router.get("/orders/{order_id}/plans/{number}/plan.json")
@needs("read")
def as_json(state: State, order_id: int, number: int) -> Response:
    """Give the plan as JSON."""
    text, _ = plan_book.texts(state.store, plan_book.sheet(state.store, order_id, number).stored)
    return _download(text.encode(), "application/json", f"plan-{order_id}-{number}.json")


@router.get("/orders/{order_id}/plans/{number}/ticket.pdf")
@needs("read")
def ticket(request: Request, state: State, order_id: int, number: int) -> Response:
    """Give the ticket; its code holds the address of the page at the press."""
    content = ticket_bytes(request, state, plan_book.sheet(state.store, order_id, number))
    return _download(content, "application/pdf", f"ticket-{order_id}-{number}.pdf", inline=True)


@router.get("/orders/{order_id}/plans/{number}/explain")
@needs("read")
def explain(
    request: Request, state: State, order_id: int, number: int, path: Annotated[str, Query(max_length=300)] = ""
) -> Response:
    """Tell where a number of a plan comes from."""
    sheet = plan_book.sheet(state.store, order_id, number)
    found, problem = None, ""
    try:
        found = _explained(state, sheet.stored, path.strip())
    except InvalidInput as error:
        problem = error.what
    context = {"order": sheet.order, "number": number, "path": path, "found": found, "problem": problem}
    return render(request, "explain.html", status=422 if problem else 200, **context)


@router.get("/orders/{order_id}/compare")
@needs("read")
def compare(
    request: Request,
    state: State,
    order_id: int,
    a: Annotated[int, Query(ge=1, lt=2**31)],
    b: Annotated[int, Query(ge=1, lt=2**31)],
) -> Response:
    """Show two plans side by side."""
    taste = taste_of(request)
    sheets = [plan_book.sheet(state.store, order_id, number) for number in (a, b)]
    views = [_outline_of(state, sheet.stored, taste) for sheet in sheets]
    return render(
        request, "compare.html", sheets=sheets, parts=side_by_side(*views), order=sheets[0].order, own_ids=own_ids
    )


def view_of(state: AppState, plan: StoredPlan, taste: Taste) -> dict[str, Any]:
    """View of a plan; made once."""
    return _view_and_forms(state, plan, taste)[0]


def _explained(state: AppState, plan: StoredPlan, path: str) -> dict[str, Any]:
    key = (plan.plan_sha256, plan.shop_sha256, path)
    return state.drawing.ask_once(key, explained, lambda: (*plan_book.texts(state.store, plan), path))


def _outline_of(state: AppState, plan: StoredPlan, taste: Taste) -> dict[str, Any]:
    how = (taste.units, taste.decimal)
    key = (plan.plan_sha256, plan.shop_sha256, *how)
    return state.drawing.ask_once(key, outline_view, lambda: (*plan_book.texts(state.store, plan), *how))


def _view_and_forms(
    state: AppState, plan: StoredPlan, taste: Taste
) -> tuple[dict[str, Any], list[dict[str, Any] | None]]:
    how = (taste.units, taste.decimal)
    key = (plan.plan_sha256, plan.shop_sha256, *how)
    return state.drawing.ask_once(key, view_and_forms, lambda: (*plan_book.texts(state.store, plan), *how))


def ticket_bytes(request: Request, state: AppState, sheet: PlanSheet) -> bytes:
    """Ticket of a plan, with the address of its order's page at the press; made once."""
    prefs, decimal = taste_of(request).units, decimal_of(request)
    base = tablet_address(request, state)
    address = f"{base}/press/{sheet.order.id}" if base else None
    key = (sheet.stored.plan_sha256, sheet.stored.shop_sha256, prefs, decimal, address)
    with tempfile.TemporaryDirectory(prefix="laydown-ticket-") as place:

        def fetch() -> tuple[str, str, Preferences, str, str | None, str]:
            folder = plan_book.write_art(state.store, sheet.order.id, sheet.stored.order_version, Path(place))
            return (*plan_book.texts(state.store, sheet.stored), prefs, str(folder), address, decimal)

        return state.printing.ask_once(key, ticket_of, fetch)


def _forecast(state: AppState, sheet: PlanSheet, taste: Taste, index: int, fields: dict[str, str]) -> dict[str, Any]:
    _check_index(state, sheet, taste, index)
    plan = sheet.stored
    key = (plan.plan_sha256, plan.shop_sha256, taste.units, taste.decimal, index, *sorted(fields.items()))

    def fetch() -> tuple[str, str, Preferences, int, dict[str, str], str]:
        return (*plan_book.texts(state.store, plan), taste.units, index, fields, taste.decimal)

    return state.desk.ask_once(key, forecast_change, fetch)


def _check_index(state: AppState, sheet: PlanSheet, taste: Taste, index: int) -> None:
    if not 0 <= index < len(view_of(state, sheet.stored, taste)["prints"]):
        raise NotFound("print", str(index), ())


def _wishes(form: FormData) -> tuple[int, dict[str, str]]:
    fields = {name: text for name in form if isinstance(text := form.get(name), str) and name not in NOT_CHANGES}
    index = str(form.get("print", "0"))
    return int(index) if index.isdecimal() and len(index) < 3 else 0, fields


def _page(
    request: Request,
    state: AppState,
    sheet: PlanSheet,
    *,
    status: int = 200,
    q: str = "",
    sort: str = "",
    day: str = "",
    index: int = -1,
    fields: dict[str, str] | None = None,
    found: dict[str, Any] | None = None,
    problem: InvalidInput | NotFound | None = None,
) -> Response:
    view, forms = _view_and_forms(state, sheet.stored, taste_of(request))
    pictures = sheet.pictures.result if sheet.pictures is not None and sheet.pictures.state == "done" else {}
    heated = [one["name"] for print_ in view["prints"] for one in print_.get("machines", ())]
    return render(
        request,
        "plan.html",
        status=status,
        sheet=sheet,
        view=view,
        standings=dryer_watch.standings(state.store, heated),
        dryers=dryer_book.names(state.store),
        forms=forms,
        has_code=bool(tablet_address(request, state)),
        losers=[_sorted(print_["losers"], q, sort) for print_ in view["prints"]],
        pictures=[plan_book.days_of(pictures, place) for place in range(len(view["prints"]))],
        work={job.kind: told(job) for job in (sheet.pictures, sheet.films) if job is not None and job.state != "done"},
        working=any(job is not None and job.state not in FINAL for job in (sheet.pictures, sheet.films)),
        q=q,
        sort=sort,
        sorts=SORTS,
        day=day,
        index=index,
        fields=fields or {},
        found=found,
        problem=problem,
    )


def _sorted(rows: list[dict[str, Any]], q: str, sort: str) -> dict[str, Any]:
    words = q.casefold().split()
    found = [row for row in rows if all(word in " ".join(map(str, row.values())).casefold() for word in words)]
    if sort == "cost":
        found.sort(key=lambda row: float(row["cost_value"] or "inf"))
    elif sort in {"stage", "stack"}:
        found.sort(key=lambda row: str(row[sort]))
    return {"shown": found[:MOST_ROWS], "number": len(found)}


def _download(content: bytes, kind: str, name: str, *, inline: bool = False) -> Response:
    way = "inline" if inline else "attachment"
    return Response(content, media_type=kind, headers={"content-disposition": f'{way}; filename="{name}"'})
