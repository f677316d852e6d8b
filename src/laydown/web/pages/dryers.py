"""Dryers and flash units: their charts, daily checks, fits, and what gives a plan's curve on one of them."""

from __future__ import annotations

import datetime as dt
import secrets
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import InvalidInput
from laydown.report.display_units import temperature_unit
from laydown.services import dryer_book, dryer_form, dryer_view, dryer_watch, plan_book, probe_fit, probe_words
from laydown.services.dryer_watch import OF_DRYERS
from laydown.services.opening import current_shop
from laydown.web.needs import needs
from laydown.web.render import decimal_of, render, taste_of
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

Above = Annotated[str, Query(max_length=12)]
Logs = Annotated[list[int], Query(max_length=12)]


@router.get("/lab/dryers")
@needs("read")
def machines(request: Request, state: State) -> Response:
    """Show how every dryer and flash unit stands."""
    rows = [
        {
            "name": name,
            "dryer": kinds == OF_DRYERS,
            "watches": [_short(one) for one in dryer_watch.watches(state.store, name)],
        }
        for name, kinds in dryer_watch.machines(state.store)
    ]
    return render(request, "lab_dryers.html", rows=rows, safety=probe_words.SAFETY)


@router.get("/lab/dryers/machine/{name}")
@needs("read")
def machine(request: Request, state: State, name: str) -> Response:
    """Show one machine."""
    return _page(request, state, name)


@router.post("/lab/dryers/machine/{name}/checks")
@needs("enter readings")
def check(request: Request, state: State, who: Who, name: str, form: Form) -> Response:
    """Keep a daily check, correct one, or take one out."""
    fields = {key: text for key in form if isinstance(text := form.get(key), str)}
    number = fields.get("replaces", "")
    replaces = int(number) if number.isdecimal() and len(number) < 10 else None
    try:
        if fields.get("do") == "take out" and replaces is not None:
            dryer_watch.take_out(state.store, replaces, key=fields.get("key", ""), who=who.name)
        else:
            entry = dryer_form.check_from_form(name, fields, taste_of(request).units, dt.datetime.now().astimezone())
            dryer_watch.enter(state.store, entry, key=fields.get("key", ""), who=who.name, replaces=replaces)
    except InvalidInput as error:
        return _page(request, state, name, problem=error, fields=fields)
    return RedirectResponse(f"/lab/dryers/machine/{quote(name, safe='')}", 303)


@router.get("/lab/dryers/machine/{name}/fit")
@needs("read")
def fit(request: Request, state: State, name: str, log: Logs = [], above: Above = "") -> Response:  # noqa: B006 - FastAPI copies it
    """Fit a dryer or flash unit to logs and show it; nothing is written."""
    prefs = taste_of(request).units
    asked = dryer_book.request(state.store, name, log)
    level = dryer_form.above_from(above, prefs, probe_fit.usual_above(asked.machine))
    view = state.desk.ask_once(
        ("fit", name, asked.revision, asked.numbers, level, prefs, decimal_of(request)),
        dryer_view.fit_view,
        lambda: (asked.machine, asked.climate, asked.files, level, prefs, decimal_of(request)),
    )
    return render(request, "lab_dryer_fit.html", name=name, asked=asked, view=view, safety=probe_words.SAFETY)


@router.post("/lab/dryers/machine/{name}/fit")
@needs("change shelves")
def use(request: Request, state: State, who: Who, name: str, form: Form) -> Response:
    """Put the fitted machine on the shelf, so that plans use it."""
    numbers = [int(said) for said in form.getlist("log") if isinstance(said, str) and said.isdecimal()]
    revision = str(form.get("revision", ""))
    if not revision.isdecimal() or len(revision) > 12:
        raise InvalidInput("the form does not say which state of the shelf it shows", where="revision")
    asked = dryer_book.request(state.store, name, numbers)
    prefs = taste_of(request).units
    view = state.desk.ask(dryer_view.fit_view, asked.machine, asked.climate, asked.files, probe_fit.ABOVE, prefs)
    dryer_book.use(state.store, view["document"], revision=int(revision), who=who.name)
    return RedirectResponse(f"/lab/dryers/machine/{quote(name, safe='')}?used=yes", 303)


@router.get("/lab/dryers/machine/{name}/match")
@needs("read")
def match(
    request: Request,
    state: State,
    name: str,
    order: Annotated[int, Query(ge=1, lt=2**31)],
    plan: Annotated[int | None, Query(ge=1, lt=2**31)] = None,
    place: Annotated[int, Query(ge=0, lt=100)] = 0,
) -> Response:
    """Find panel and belt that give a plan's curve on this dryer."""
    prefs = taste_of(request).units
    number = plan if plan is not None else dryer_book.plan_number(state.store, order)
    sheet = plan_book.sheet(state.store, order, number)
    shop = current_shop(state.store)
    texts = plan_book.texts(state.store, sheet.stored)
    view = state.desk.ask(dryer_view.match_plan, *texts, shop, name, place, prefs, decimal_of(request))
    return render(request, "lab_dryer_match.html", name=name, sheet=sheet, view=view, safety=probe_words.SAFETY)


def _page(
    request: Request,
    state: AppState,
    name: str,
    *,
    problem: InvalidInput | None = None,
    fields: dict[str, str] | None = None,
) -> Response:
    prefs = taste_of(request).units
    watches = [
        state.drawing.ask(dryer_view.watch_view, one, prefs, decimal_of(request))
        for one in dryer_watch.watches(state.store, name)
    ]
    is_dryer = name in dryer_book.names(state.store)
    return render(
        request,
        "lab_dryer.html",
        status=200 if problem is None else 422,
        name=name,
        watches=watches,
        is_dryer=is_dryer,
        logs=_logs(state, name, request, flash=not is_dryer),
        orders=dryer_book.planned_orders(state.store) if is_dryer else [],
        problem=problem,
        fields=fields or {},
        new_key=lambda: secrets.token_hex(16),
        unit=temperature_unit(prefs),
        used=request.query_params.get("used") == "yes",
        safety=probe_words.SAFETY,
    )


def _logs(state: AppState, name: str, request: Request, *, flash: bool) -> list[dict[str, Any]]:
    prefs = taste_of(request).units
    return [
        {
            "id": one.id,
            "name": one.name,
            "date": one.conditions.date,
            "told": probe_words.conditions_sentence(one.conditions, prefs, flash=flash),
            "by": one.made_by,
        }
        for one in dryer_book.logs(state.store, name)
    ]


def _short(one: dryer_watch.Watch) -> dict[str, Any]:
    last = one.checks[-1] if one.checks else None
    return {
        "verdict": one.verdict,
        "well": one.well,
        "checked": bool(one.checks),
        "last": last.check.happened_at if last else None,
        "touched": len(one.touched),
    }
