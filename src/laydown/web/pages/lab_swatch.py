"""Swatches: start one, look at it, read it at the bench."""

from __future__ import annotations

import datetime as dt
import secrets
from typing import Annotated, Any

from fastapi import Query
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.domain.measurement import Backing, Geometry, MeasurementMode
from laydown.domain.protocol import Reads
from laydown.domain.quantity import Quantity
from laydown.domain.shop import Preferences
from laydown.domain.swatch import SwatchState
from laydown.errors import InvalidInput, NotFound
from laydown.report.display_units import temperature_unit
from laydown.services import swatch_book, swatch_chart, swatch_readings, swatch_readings_form, swatch_start
from laydown.services.swatch_book import SwatchSheet
from laydown.services.swatch_start import PassWish
from laydown.units import to_micron
from laydown.web.needs import needs
from laydown.web.pages.lab_words import lab_words
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

PASSES = 4
LARGEST = 13_000_000
GRADES = ("5", "4-5", "4", "3-4", "3", "2-3", "2", "1-2", "1")
LIGHTS = ("D65/10", "D50/2", "D65/2", "D50/10", "A/10", "F11/10")


@router.get("/lab/start")
@needs("run the lab")
def offer(
    request: Request,
    state: State,
    test: Annotated[str, Query(max_length=80)] = "",
    order: Annotated[int | None, Query(ge=1, lt=2**31)] = None,
    plan: Annotated[int | None, Query(ge=1, lt=2**31)] = None,
    place: Annotated[str, Query(max_length=80)] = "",
    garment: Annotated[str, Query(max_length=80)] = "",
) -> Response:
    """Offer to start a swatch."""
    fields = {"protocol": test or "oven-bleed", "garment": garment, "place": place, "made": "now"}
    if order is not None:
        fields["order"] = str(order)
    if plan is not None:
        fields["plan"] = str(plan)
    return _start_page(request, state, fields)


@router.post("/lab/start")
@needs("run the lab")
def start(request: Request, state: State, who: Who, form: Form) -> Response:
    """Start a swatch."""
    fields = {name: text for name in form if isinstance(text := form.get(name), str)}
    try:
        sheet = _started(state, fields, who.name, taste_of(request).units)
    except (InvalidInput, NotFound) as error:
        return _start_page(request, state, fields, problem=error)
    return RedirectResponse(f"/lab/swatches/{sheet.stored.number}", 303)


@router.get("/lab/swatches/{number}")
@needs("read")
def swatch(request: Request, state: State, number: int) -> Response:
    """Show a swatch."""
    return _swatch_page(request, state, number)


@router.post("/lab/swatches/{number}")
@needs("enter readings")
def keep(request: Request, state: State, who: Who, number: int, form: Form) -> Response:
    """Say when it was made, note something, drop it or take it up again."""
    fields = {name: text for name in form if isinstance(text := form.get(name), str)}
    try:
        _kept(state, number, fields, who.name, taste_of(request).units)
    except InvalidInput as error:
        return _swatch_page(request, state, number, problem=error)
    back = "read" if fields.get("back") == "read" else "swatches"
    return RedirectResponse(f"/lab/{back}/{number}", 303)


@router.get("/lab/read")
@needs("read")
def find(state: State, number: Annotated[str, Query(max_length=20)] = "") -> Response:
    """Find a swatch by the number on its label."""
    if not number.strip():
        return RedirectResponse("/lab/swatches", 303)
    if not number.strip().isdecimal():
        raise NotFound("swatch", number, ())
    swatch_book.sheet(state.store, int(number))
    return RedirectResponse(f"/lab/read/{int(number)}", 303)


@router.get("/lab/read/{number}")
@needs("read")
def bench(request: Request, state: State, number: int) -> Response:
    """Show a swatch at the bench, in big type."""
    return _bench_page(request, state, number)


@router.post("/lab/read/{number}", max_body_size=LARGEST)
@needs("enter readings")
def enter(request: Request, state: State, who: Who, number: int, form: Form) -> Response:
    """Keep a reading, or a step that is done, from a form."""
    fields = {name: text for name in form if isinstance(text := form.get(name), str)}
    now = dt.datetime.now(dt.UTC)
    try:
        if fields.get("step", ""):
            step = int(fields["step"]) if fields["step"].isdecimal() else -1
            done = fields.get("done") == "yes"
            key = fields.get("key", "")
            swatch_readings.tick(state.store, number, key=key, step=step, done=done, happened_at=now, who=who.name)
        else:
            _read(request, state, number, form, fields, now, who.name)
    except InvalidInput as error:
        return _bench_page(request, state, number, problem=error, fields=fields)
    back = "swatches" if fields.get("back") == "swatch" else "read"
    return RedirectResponse(f"/lab/{back}/{number}", 303)


@router.get("/lab/photos/{sha256}")
@needs("read")
def photo(state: State, sha256: str) -> Response:
    """Give a photo of a swatch."""
    content, kind = swatch_readings.photo(state.store, sha256)
    return Response(content, media_type=kind, headers={"cache-control": "private, max-age=31536000, immutable"})


def _read(
    request: Request, state: AppState, number: int, form: FormData, fields: dict[str, str], now: dt.datetime, who: str
) -> None:
    try:
        reads = Reads(fields.get("reads", ""))
    except ValueError:
        raise InvalidInput("choose what is read", where="reads") from None
    sent = form.get("photo")
    if reads is Reads.PHOTO and isinstance(sent, UploadFile):
        fields["photo"] = swatch_readings.add_photo(state.store, sent.file.read(), who=who)
    said = fields.get("taken_at", "").strip()
    corrects = fields.get("corrects", "").strip()
    prefs = taste_of(request).units
    swatch_readings.add(
        state.store,
        number,
        key=fields.get("key", ""),
        reads=reads,
        value=swatch_readings_form.value_of_fields(reads, fields, prefs, name=f"swatch {number}"),
        taken_at=moment_of(said, "taken_at") if said else now,
        who=who,
        operator=fields.get("operator", ""),
        part=fields.get("part", ""),
        area=fields.get("area", ""),
        corrects=int(corrects) if corrects.isdecimal() else None,
        note=fields.get("note", ""),
    )


def _started(state: AppState, fields: dict[str, str], who: str, prefs: Preferences) -> SwatchSheet:
    made = None
    if fields.get("made") == "now":
        made = dt.datetime.now(dt.UTC)
    elif fields.get("made") == "then":
        made = moment_of(fields.get("made_at", ""), "made_at")
    common: dict[str, Any] = {
        "protocol": fields.get("protocol", ""),
        "key": fields.get("key", ""),
        "who": who,
        "made_at": made,
        "note": fields.get("note", "").strip(),
    }
    if fields.get("order"):
        order, plan = (fields.get(name, "") for name in ("order", "plan"))
        if not (order.isdecimal() and plan.isdecimal()):
            raise InvalidInput("order and plan are numbers", where="plan")
        return swatch_start.start_from_plan(
            state.store,
            int(order),
            int(plan),
            place=fields.get("place", ""),
            lot=fields.get("lot", ""),
            inked_area=swatch_readings_form.area_of(fields.get("inked_area", ""), prefs, "inked_area"),
            **common,
        )[0]
    passes = []
    for count in range(PASSES):
        ink = fields.get(f"ink{count}", "")
        if ink:
            hits = fields.get(f"hits{count}", "1")
            if hits not in {"1", "2", "3", "4", "5", "6"}:
                raise InvalidInput("1 to 6 hits are allowed", where=f"hits{count}")
            screen, flash = fields.get(f"screen{count}", ""), fields.get(f"flash{count}") == "yes"
            passes.append(PassWish(ink=ink, screen=screen, hits=int(hits), flash=flash))
    return swatch_start.start_from_cloth(
        state.store,
        garment=fields.get("garment", "").strip(),
        ink=fields.get("ink", "").strip(),
        lot=fields.get("lot", ""),
        passes=passes,
        dryer=fields.get("dryer", "") if passes else "",
        panel=swatch_readings_form.kelvin_of(fields.get("panel", ""), prefs, "panel"),
        belt=swatch_readings_form.belt_of(fields.get("belt", ""), prefs, "belt"),
        inked_area=swatch_readings_form.area_of(fields.get("inked_area", ""), prefs, "inked_area"),
        film_thickness=swatch_readings_form.film_of(fields.get("film", ""), fields.get("film_error", ""), "film"),
        **common,
    )[0]


def _kept(state: AppState, number: int, fields: dict[str, str], who: str, prefs: Preferences) -> None:
    revision = fields.get("revision", "")
    if not revision.isdecimal():
        raise InvalidInput("the form does not say which state of the swatch it started from", where="revision")
    changes: dict[str, Any] = {}
    do = fields.get("do", "keep")
    if do == "made":
        changes["made_at"] = dt.datetime.now(dt.UTC)
    elif do == "drop":
        changes["state"] = SwatchState.DROPPED
    elif do == "take up":
        there = swatch_book.sheet(state.store, number).swatch
        changes["state"] = SwatchState.MADE if there.made_at else SwatchState.PLANNED
    else:
        if fields.get("made_at", "").strip():
            changes["made_at"] = moment_of(fields["made_at"], "made_at")
        changes |= {"note": fields.get("note", "").strip(), "lot": fields.get("lot", "").strip()}
        if "inked_area" in fields:
            changes["inked_area"] = swatch_readings_form.area_of(fields["inked_area"], prefs, "inked_area")
        if "film" in fields:
            error = fields.get("film_error", "")
            changes["film_thickness"] = swatch_readings_form.film_of(fields["film"], error, "film")
    swatch_book.keep(state.store, number, revision=int(revision), who=who, **changes)


def moment_of(said: str, where: str) -> dt.datetime:
    """Moment that somebody chose, at the shop's own clock.

    Raises
    ------
    InvalidInput
        When it is none.
    """
    try:
        return dt.datetime.fromisoformat(said.strip()).astimezone()
    except (ValueError, OverflowError, OSError):
        raise InvalidInput("choose day and time, such as 2026-12-01 14:30", where=where) from None


def _start_page(
    request: Request, state: AppState, fields: dict[str, str], *, problem: InvalidInput | NotFound | None = None
) -> Response:
    shop = swatch_start.choices(state.store)
    if not fields.get("garment") and "ink" not in fields and shop.garments:
        fields["garment"] = shop.garments[0].name
    chosen = next((one for one in shop.garments if one.name == fields.get("garment")), None)
    usual = swatch_start.usual_passes(shop, chosen)
    if "ink0" not in fields and problem is None:
        for count, one in enumerate(usual):
            fields |= {f"{name}{count}": str(one[name]) for name in ("ink", "screen", "hits")}
            fields[f"flash{count}"] = "yes" if one["flash"] else ""
    about = None
    if fields.get("order", "").isdecimal():
        about = swatch_start.order_of(state.store, int(fields["order"]))
    prefs = taste_of(request).units
    return render(
        request,
        "lab_start.html",
        status=422 if problem else 200,
        shop_of_lab=shop,
        tests=swatch_start.tests(state.store),
        fields=fields,
        about=about,
        passes=range(PASSES),
        key=fields.get("key") or secrets.token_hex(16),
        problem=problem,
        unit=temperature_unit(prefs),
        belt_unit="ft/min" if prefs.length == "inch" else "m/min",
        area_unit=area_unit(prefs),
    )


def _swatch_page(request: Request, state: AppState, number: int, *, problem: InvalidInput | None = None) -> Response:
    prefs = taste_of(request).units
    sheet = swatch_book.sheet(state.store, number)
    drawing, band, marks = swatch_chart.chart(state.store, sheet)
    return render(
        request,
        "lab_swatch.html",
        status=422 if problem else 200,
        sheet=sheet,
        chart=drawing,
        chart_band=band,
        chart_marks=marks,
        area_unit=area_unit(prefs),
        area=swatch_readings_form.area_number(sheet.swatch.inked_area, prefs),
        film=film_fields(sheet.swatch.film_thickness),
        fields_of=lambda reading: swatch_readings_form.fields_of_value(reading, prefs),
        last_of=lambda reading: swatch_readings_form.conditions_of(reading.value),
        now=dt.datetime.now(dt.UTC),
        standing={one.number for one in swatch_book.standing_readings(sheet)},
        problem=problem,
        new_key=lambda: secrets.token_hex(16),
        **lab_words(prefs),
        **fields_of_reading(prefs),
    )


def _bench_page(
    request: Request,
    state: AppState,
    number: int,
    *,
    problem: InvalidInput | None = None,
    fields: dict[str, str] | None = None,
) -> Response:
    prefs = taste_of(request).units
    sheet = swatch_book.sheet(state.store, number)
    now = dt.datetime.now(dt.UTC)
    kinds = list(dict.fromkeys((one.wanted.reads, one.wanted.part) for one in sheet.due))
    waits = {
        (one.wanted.reads, one.wanted.part): one
        for one in reversed(sheet.due)
        if not one.done and one.state(now) in {"now", "overdue", "soon"}
    }
    return render(
        request,
        "lab_read.html",
        status=422 if problem else 200,
        sheet=sheet,
        kinds=sorted(kinds, key=lambda kind: kind not in waits),
        waits=waits,
        now=now,
        standing={one.number for one in swatch_book.standing_readings(sheet)},
        areas=swatch_readings_form.areas_of(sheet.swatch),
        last=swatch_readings_form.last_conditions(sheet),
        problem=problem,
        fields=fields or {},
        new_key=lambda: secrets.token_hex(16),
        **lab_words(prefs),
        **fields_of_reading(prefs),
    )


def area_unit(prefs: Preferences) -> str:
    """Unit of an inked area."""
    return "in²" if prefs.length == "inch" else "cm²"


def film_fields(film: Quantity | None) -> tuple[str, str]:
    """Film thickness and how far off it may be, as fields hold them [µm]."""
    if film is None:
        return "", ""
    return f"{to_micron(film.value):.6g}", f"{to_micron(film.high - film.value):.6g}"


def fields_of_reading(prefs: Preferences) -> dict[str, Any]:
    """What the fields of a reading offer, for a template."""
    return {
        "grades": GRADES,
        "lights": LIGHTS,
        "modes": [one.value for one in MeasurementMode],
        "geometries": [one.value for one in Geometry],
        "backings": [one.value for one in Backing],
        "unit": temperature_unit(prefs),
    }
