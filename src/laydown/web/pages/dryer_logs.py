"""Probe logs: import one with a look before, see what it says, put it aside."""

from __future__ import annotations

import base64
import binascii
import datetime as dt
import secrets
import zlib
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Query
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.domain.probe_check import CheckKind
from laydown.domain.probe_log import Lane, Spot
from laydown.errors import InvalidInput, NotFound
from laydown.report.display_units import temperature_number, temperature_unit
from laydown.services import dryer_book, dryer_form, dryer_view, probe_fit, probe_words, shelf_editing
from laydown.services.dryer_book import LARGEST
from laydown.services.probe_words import check_unit
from laydown.web.needs import needs
from laydown.web.render import decimal_of, render, taste_of
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

HELD = 12_000_000


@router.get("/lab/dryers/import")
@needs("run the lab")
def choose(request: Request, state: State, dryer: Annotated[str, Query(max_length=80)] = "") -> Response:
    """Ask for a logger's file."""
    return _ask(request, state, {"dryer": dryer})


@router.post("/lab/dryers/import", max_body_size=HELD)
@needs("run the lab")
def look(request: Request, state: State, who: Who, form: Form) -> Response:
    """Show what is understood of a file; when asked to, keep it."""
    fields = {name: text for name in form if isinstance(text := form.get(name), str) and name != "held"}
    prefs = taste_of(request).units
    try:
        content, name = _content(form)
        machine = dryer_book.machine(state.store, fields.get("dryer", "").strip())
        conditions = dryer_form.conditions_from_form(fields, prefs, machine)
    except (InvalidInput, NotFound) as error:
        return _ask(request, state, fields, problem=error)
    problem: InvalidInput | NotFound | None = None
    seen = None
    try:
        mapping = dryer_form.mapping_from_form(fields)
        seen = dryer_book.preview(state.store, content, name, mapping=mapping)
        if fields.get("do") == "keep" and seen.problem is None:
            kept, _ = dryer_book.keep(
                state.store,
                content,
                name,
                conditions,
                key=fields.get("key", ""),
                who=who.name,
                mapping=seen.mapping,
                replaces=int(fields["replaces"]) if fields.get("replaces", "").isdecimal() else None,
            )
            return RedirectResponse(f"/lab/dryers/log/{kept.id}", 303)
        problem = seen.problem
    except (InvalidInput, NotFound) as error:
        problem = error
        if seen is None:
            try:
                seen = dryer_book.preview(state.store, content, name)
            except InvalidInput:
                return _ask(request, state, fields, problem=error)
    return _preview(request, seen, content, name, fields, problem)


@router.get("/lab/dryers/log/{number}")
@needs("read")
def log(request: Request, state: State, number: int, above: Annotated[str, Query(max_length=12)] = "") -> Response:
    """Show what a log says."""
    prefs = taste_of(request).units
    kept, _ = dryer_book.file_of(state.store, number)
    problem: InvalidInput | NotFound | None = None
    flash = dict(dryer_book.machine_names(state.store)).get(kept.conditions.dryer, False)
    usual = probe_fit.ABOVE_FLASH if flash else probe_fit.ABOVE
    try:
        level = dryer_form.above_from(above, prefs, usual)
    except InvalidInput as error:
        problem, level = error, usual
    view = None
    try:
        machine, file = dryer_book.one_log(state.store, number)
        view = state.drawing.ask(dryer_view.reading_view, machine, file, level, prefs, decimal_of(request))
    except (InvalidInput, NotFound) as error:
        problem = error
    return render(
        request,
        "lab_probe_log.html",
        status=200 if problem is None else 422,
        kept=kept,
        told_line=probe_words.conditions_sentence(kept.conditions, prefs, flash=flash),
        view=view,
        problem=problem,
        above=f"{temperature_number(level, prefs):.0f}",
        unit=temperature_unit(prefs),
        new_key=lambda: secrets.token_hex(16),
        safety=probe_words.SAFETY,
    )


@router.get("/lab/dryers/log/{number}/file")
@needs("read")
def file(state: State, number: int) -> Response:
    """Give the logger's file as it came."""
    _, content = dryer_book.file_of(state.store, number)
    headers = {"content-disposition": f'attachment; filename="probe-log-{number}.csv"'}
    return Response(content, media_type="application/octet-stream", headers=headers)


@router.post("/lab/dryers/log/{number}/aside")
@needs("run the lab")
def aside(state: State, who: Who, number: int, form: Form) -> Response:
    """Take a log out of use."""
    kept, _ = dryer_book.file_of(state.store, number)
    dryer_book.put_aside(state.store, number, key=str(form.get("key", "")), who=who.name)
    return RedirectResponse(f"/lab/dryers/machine/{quote(kept.conditions.dryer, safe='')}", 303)


def _ask(
    request: Request, state: AppState, fields: dict[str, str], *, problem: InvalidInput | NotFound | None = None
) -> Response:
    return render(
        request,
        "lab_probe_import.html",
        status=200 if problem is None else 422,
        problem=problem,
        fields={"date": dt.date.today().isoformat()} | fields,  # noqa: DTZ011 - the day at the shop
        **_choices(request, state),
    )


def _preview(
    request: Request,
    seen: dryer_book.ProbePreview,
    content: bytes,
    name: str,
    fields: dict[str, str],
    problem: InvalidInput | NotFound | None,
) -> Response:
    uses = {one.column: one for one in seen.mapping.channels}
    return render(
        request,
        "lab_probe_preview.html",
        status=200 if problem is None else 422,
        seen=seen,
        uses=uses,
        name=name,
        # Held by the page between the two steps, so that the server keeps nothing of what is not wanted.
        held=base64.b64encode(zlib.compress(content)).decode(),
        spots=[(f"{lane}|{spot}", f"{probe_words.LANES[lane]}, {spot}") for lane in Lane for spot in Spot],
        fields=fields,
        problem=problem,
        new_key=lambda: secrets.token_hex(16),
        safety=probe_words.SAFETY,
    )


def _choices(request: Request, state: AppState) -> dict[str, Any]:
    prefs = taste_of(request).units
    return {
        "machines": dryer_book.machine_names(state.store),
        "garments": [one.name for one in shelf_editing.items(state.store, "garments")],
        "unit": temperature_unit(prefs),
        "belt_unit": check_unit(CheckKind.BELT, prefs),
        "safety": probe_words.SAFETY,
        "most": f"{LARGEST // 1_000_000} MB",
    }


def _content(form: FormData) -> tuple[bytes, str]:
    held, name = form.get("held"), str(form.get("name", "probe log"))[:200]
    if isinstance(held, str) and held:
        try:
            content = zlib.decompressobj().decompress(base64.b64decode(held, validate=True), LARGEST + 1)
        except (binascii.Error, zlib.error, ValueError):
            raise InvalidInput("the page has lost its file; choose it again", where="file") from None
        return content, name
    sent = form.get("file")
    if sent is None or isinstance(sent, str) or not sent.filename:
        raise InvalidInput("no file was chosen", where="file")
    return sent.file.read(LARGEST + 1), sent.filename[:200]
