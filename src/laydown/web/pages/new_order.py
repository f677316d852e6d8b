"""A new order: drop the art, name the garment, quantity, date; or paste an order file."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import InvalidInput, NotFound
from laydown.services import jobs, opening, order_book
from laydown.services.art_look import look_at
from laydown.services.first_steps import first_steps
from laydown.services.order_book_form import DYES, PLACES, PRINTS, STRUCTURES, art_name, field_of, order_text_of
from laydown.web.needs import needs
from laydown.web.pages.orders import LARGEST_UPLOAD, close_uploads
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

_SHA = re.compile(r"[0-9a-f]{64}\Z")


@router.get("/orders/new")
@needs("plan")
def new(request: Request, state: State) -> Response:
    """Show the empty form."""
    due = dt.date.today() + dt.timedelta(days=14)  # noqa: DTZ011 - the day at the shop
    return _form(request, state, {"due": due.isoformat(), "quantity": ""}, {})


@router.post("/orders/new", max_body_size=LARGEST_UPLOAD)
@needs("plan")
def take_in(request: Request, state: State, who: Who, form: Form) -> Response:
    """Take the order in, and plan it."""
    fields = {name: text for name in form if isinstance(text := form.get(name), str)}
    kept: dict[int, tuple[str, str]] = {}
    try:
        kept = _art(state, form, who.name)
        if fields.get("way") == "file":
            text = fields.get("text", "").replace("\r\n", "\n")
        else:
            names = {number: name for number, (name, _) in kept.items()}
            text = order_text_of(fields, opening.current_shop(state.store), taste_of(request).units, art=names)
        order = order_book.take_in(state.store, text, art=dict(kept.values()), who=who.name)
    except (InvalidInput, NotFound) as error:
        return _form(request, state, fields, kept or _kept(form), problem=error)
    finally:
        close_uploads(form)
    if fields.get("then") == "later":
        return RedirectResponse(f"/orders/{order.id}", 303)
    job = jobs.ask_for_plan(state.store, order.id, who=who.name)
    return RedirectResponse(f"/jobs/{job.id}", 303)


@router.post("/orders/new/art", max_body_size=LARGEST_UPLOAD)
@needs("plan")
def look(request: Request, state: State, who: Who, form: Form) -> Response:
    """Look at art as soon as it is dropped: keep it and say what it is, or say at once that it cannot be read."""
    said = str(form.get("print", "0"))
    number = int(said) if said.isdecimal() and int(said[:2]) < PRINTS else 0
    file = form.get("file")
    try:
        if not isinstance(file, UploadFile) or not file.filename:
            return render(request, "parts/art_look.html", status=422, problem=InvalidInput("no file was sent"))
        told = look_at(file.file, file.filename)
        sha256 = order_book.keep_art(state.store, file.file, who=who.name)
        name = art_name(file.filename, number).removeprefix("art/")
        context: dict[str, Any] = {"number": number, "name": name, "sha256": sha256, "told": told}
        return render(request, "parts/art_look.html", problem=None, **context)
    except InvalidInput as error:
        return render(request, "parts/art_look.html", status=422, problem=error)
    finally:
        close_uploads(form)


def _art(state: AppState, form: FormData, who: str) -> dict[int, tuple[str, str]]:
    """Keep what was sent: name and SHA-256 by the number of the print; what was kept before stays."""
    kept = _kept(form)
    for number in range(PRINTS):
        file = form.get(f"p{number}_art")
        if isinstance(file, UploadFile) and file.filename:
            name = art_name(file.filename, number)
            try:
                look_at(file.file, file.filename)
                kept[number] = (name, order_book.keep_art(state.store, file.file, who=who))
            except InvalidInput as error:
                raise InvalidInput(error.what, where=f"p{number}_art") from None
    if form.get("way") == "file":
        for place, file in enumerate(form.getlist("files")):
            if isinstance(file, UploadFile) and file.filename:
                sha = order_book.keep_art(state.store, file.file, who=who)
                plain = art_name(file.filename, 0).removeprefix("art/1-")
                kept[PRINTS + 2 * place] = (plain, sha)
                kept[PRINTS + 2 * place + 1] = (f"art/{plain}", sha)
    return kept


def _kept(form: FormData) -> dict[int, tuple[str, str]]:
    kept: dict[int, tuple[str, str]] = {}
    for number in range(PRINTS):
        name, sha = str(form.get(f"p{number}_art_name", "")), str(form.get(f"p{number}_art_sha", ""))
        if name and _SHA.match(sha) and not form.get(f"p{number}_art_drop"):
            kept[number] = (art_name(name.partition("-")[2] or name, number), sha)
    return kept


def _form(
    request: Request,
    state: AppState,
    fields: dict[str, str],
    kept: dict[int, tuple[str, str]],
    problem: InvalidInput | NotFound | None = None,
) -> Response:
    shop = opening.current_shop(state.store)
    what = "" if problem is None else problem.what if isinstance(problem, InvalidInput) else str(problem)
    way = fields.get("way", "form")
    context: dict[str, Any] = {
        "fields": fields,
        "kept": kept,
        "way": way,
        "what": what,
        "wrong": field_of(problem.where, what) if problem is not None and way == "form" else "",
        "where": problem.where if problem is not None else "",
        "garments": [(one.name, str(one.content)) for one in shop.garments],
        "inks": [one.name for one in shop.inks if str(one.kind) in {"white", "colour"}],
        "structures": STRUCTURES,
        "dyes": DYES,
        "places_of_print": PLACES,
        "prints": range(PRINTS),
        "missing": [one for one in first_steps(state.store) if one.needed and not one.done and one.shelf],
    }
    return render(request, "new_order.html", status=200 if problem is None else 422, **context)
