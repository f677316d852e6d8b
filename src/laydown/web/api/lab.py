"""The lab: tests, swatches, readings, what is due, what cloths say."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from fastapi import File, Path, Query, Response, UploadFile
from starlette.requests import Request

from laydown.documents.protocol_file import protocol_table
from laydown.services import (
    cloth_fit,
    proposals,
    repeatability,
    swatch_book,
    swatch_labels,
    swatch_readings,
    swatch_readings_form,
    swatch_start,
)
from laydown.services.swatch_book import SwatchState
from laydown.services.swatch_readings_form import gauged
from laydown.services.swatch_start import PassWish
from laydown.web.api.lab_records import (
    ClothOut,
    DueOut,
    FindingOut,
    FitIn,
    JobOut,
    PhotoOut,
    ProposalOut,
    ReadingIn,
    ReadingOut,
    RepeatabilityOut,
    StepIn,
    StepOut,
    SwatchChange,
    SwatchIn,
    SwatchOut,
    TermOut,
    due_out,
    reading_out,
    swatch_out,
)
from laydown.web.base_address import base_address
from laydown.web.needs import needs
from laydown.web.render import taste_of
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("lab")

Number = Annotated[int, Path(ge=0, lt=2**31)]
LARGEST_PHOTO = 12_500_000


@router.get("/lab/protocols", response_model=list[dict[str, Any]])
@needs("read")
def protocols(state: State) -> list[dict[str, Any]]:
    """List the tests that may be run, in the keys of their files."""
    return [protocol_table(one) for one in swatch_start.tests(state.store)]


@router.get("/lab/swatches", response_model=list[SwatchOut])
@needs("read")
def swatches(
    state: State,
    text: Annotated[str, Query(max_length=200)] = "",
    how: Annotated[SwatchState | None, Query(description="How far they are.")] = None,
    limit: Annotated[int, Query(ge=1, le=500)] = 100,
) -> list[SwatchOut]:
    """List swatches, the newest first."""
    found = swatch_book.find(state.store, states=(how.value,) if how else (), text=text, limit=limit)
    return [swatch_out(one) for one in found]


@router.post(
    "/lab/swatches",
    response_model=SwatchOut,
    status_code=201,
    responses=problems_of(400, 404, 409) | {200: {"model": SwatchOut, "description": "It was started before."}},
)
@needs("run the lab")
def start(state: State, who: Who, answer: Response, new: SwatchIn) -> SwatchOut:
    """Start a swatch; 200 instead of 201 when it was started before."""
    common: dict[str, Any] = {"protocol": new.protocol, "key": new.key, "who": who.name, "note": new.note.strip()}
    if new.order is not None and new.plan is not None:
        sheet, is_new = swatch_start.start_from_plan(
            state.store,
            new.order,
            new.plan,
            place=new.place,
            lot=new.lot or None,
            made_at=new.made_at,
            inked_area=new.inked_area_m2,
            **common,
        )
    else:
        sheet, is_new = swatch_start.start_from_cloth(
            state.store,
            garment=new.garment,
            ink=new.ink,
            lot=new.lot,
            passes=[PassWish(**one.model_dump()) for one in new.passes],
            dryer=new.dryer,
            panel=new.panel_k,
            belt=new.belt_m_per_s,
            flash_seconds=new.flash_s,
            made_at=new.made_at,
            inked_area=new.inked_area_m2,
            film_thickness=None if new.film_m is None else gauged(new.film_m, new.film_error_m),
            **common,
        )
    answer.status_code = 201 if is_new else 200
    return swatch_out(sheet)


@router.get("/lab/swatches/{number}", response_model=SwatchOut, responses=problems_of(404))
@needs("read")
def swatch(state: State, number: Number) -> SwatchOut:
    """Read a swatch."""
    return swatch_out(swatch_book.sheet(state.store, number))


@router.patch("/lab/swatches/{number}", response_model=SwatchOut, responses=problems_of(400, 404, 409))
@needs("enter readings")
def change(state: State, who: Who, number: Number, wanted: SwatchChange) -> SwatchOut:
    """Say when a swatch was made, how large its inked area is, note something, drop it or take it up again."""
    plain = {"made_at", "lot", "note", "state"}
    changes = {name: value for name, value in wanted.model_dump(include=plain).items() if value is not None}
    if wanted.inked_area_m2 is not None:
        changes["inked_area"] = wanted.inked_area_m2
    if wanted.film_m is not None:
        changes["film_thickness"] = gauged(wanted.film_m, wanted.film_error_m)
    return swatch_out(swatch_book.keep(state.store, number, revision=wanted.revision, who=who.name, **changes))


@router.post(
    "/lab/swatches/{number}/readings",
    response_model=ReadingOut,
    status_code=201,
    responses=problems_of(400, 404, 409) | {200: {"model": ReadingOut, "description": "It was kept before."}},
)
@needs("enter readings")
def enter(request: Request, state: State, who: Who, answer: Response, number: Number, new: ReadingIn) -> ReadingOut:
    """Keep a reading; 200 instead of 201 when it was kept before."""
    name = f"swatch {number}"
    if new.value is not None:
        value = swatch_readings_form.value_of_document(new.reads, new.value, name=name)
    else:
        prefs = taste_of(request).units
        value = swatch_readings_form.value_of_fields(new.reads, new.fields or {}, prefs, name=name)
    kept, is_new = swatch_readings.add(
        state.store,
        number,
        key=new.key,
        reads=new.reads,
        value=value,
        taken_at=new.taken_at,
        who=who.name,
        operator=new.operator,
        part=new.part,
        area=new.area,
        corrects=new.corrects,
        note=new.note,
    )
    answer.status_code = 201 if is_new else 200
    return reading_out(kept)


@router.post("/lab/swatches/{number}/steps", response_model=StepOut, responses=problems_of(400, 404, 409))
@needs("enter readings")
def tick(state: State, who: Who, number: Number, new: StepIn) -> StepOut:
    """Keep that a step is done, or open again."""
    made = swatch_readings.tick(
        state.store,
        number,
        key=new.key,
        step=new.step,
        done=new.done,
        happened_at=new.happened_at,
        who=who.name,
    )
    return StepOut(new=made)


@router.post("/lab/photos", response_model=PhotoOut, responses=problems_of(400, 413), max_body_size=LARGEST_PHOTO)
@needs("enter readings")
def photo(
    state: State, who: Who, file: Annotated[UploadFile, File(description="JPEG, PNG or WebP of up to 12 MB.")]
) -> PhotoOut:
    """Keep a photo, to be named by a reading."""
    return PhotoOut(sha256=swatch_readings.add_photo(state.store, file.file.read(), who=who.name))


@router.get("/lab/due", response_model=list[DueOut])
@needs("read")
def due(state: State) -> list[DueOut]:
    """List the readings that open swatches ask for, in the order in which they are due."""
    found = swatch_book.find(state.store, states=swatch_book.OPEN, limit=1000)
    rows = [row for sheet in found for row in due_out(sheet) if row.state != "done"]
    return sorted(rows, key=lambda row: (row.at is None, row.at or dt.datetime.max.replace(tzinfo=dt.UTC), row.swatch))


@router.get("/lab/proposals", response_model=list[ProposalOut])
@needs("read")
def proposed(state: State) -> list[ProposalOut]:
    """List the tests that pending orders ask for, the one that is expected to save most first."""
    return [
        ProposalOut(
            protocol=one.protocol.name,
            title=one.protocol.title,
            garment=one.garment,
            lot=one.lot,
            worth=one.worth,
            cost=one.cost,
            currency=one.currency,
            running=list(one.running),
            in_time=one.in_time,
            terms=[TermOut(**{name: getattr(term, name) for name in TermOut.model_fields}) for term in one.terms],
        )
        for one in proposals.proposals(state.store, dt.date.today())  # noqa: DTZ011 - the day at the shop
    ]


@router.get(
    "/lab/labels.pdf",
    responses=problems_of(404) | {200: {"content": {"application/pdf": {}}, "description": "The labels."}},
    response_class=Response,
)
@needs("read")
def labels(
    request: Request,
    state: State,
    swatch: Annotated[list[int], Query(min_length=1, max_length=240, description="Numbers of swatches.")],
    sheet: Annotated[str, Query(max_length=20, description="a4, letter or a size such as 50x30.")] = "a4",
    first: Annotated[int, Query(ge=1, le=24)] = 1,
) -> Response:
    """Give labels as PDF."""
    pdf = swatch_labels.labels(state.store, swatch, sheet=sheet, base=base_address(request, state), first=first)
    return Response(pdf, media_type="application/pdf")


@router.get("/lab/cloths", response_model=list[ClothOut])
@needs("read")
def cloths(state: State) -> list[ClothOut]:
    """List cloth lots that were tested."""
    return [
        ClothOut(
            garment=one.garment,
            lot=one.lot,
            swatches=one.swatches,
            readings=one.readings,
            fitted_at=one.finding.fitted_at if one.finding else None,
            stale=one.stale,
        )
        for one in cloth_fit.cloths(state.store)
    ]


@router.get("/lab/finding", response_model=FindingOut, responses=problems_of(404))
@needs("read")
def finding(
    state: State,
    garment: Annotated[str, Query(min_length=1, max_length=80)],
    lot: Annotated[str, Query(max_length=80)] = "",
) -> FindingOut:
    """Read what the newest fit of a cloth lot found."""
    sheet = cloth_fit.sheet(state.store, garment, lot)
    return FindingOut(
        garment=garment,
        lot=lot,
        fitted_at=sheet.finding.fitted_at if sheet.finding else None,
        rests_on=list(sheet.finding.rests_on) if sheet.finding else [],
        stale=sheet.stale,
        report=dict(sheet.report) if sheet.report else None,
    )


@router.post("/lab/fit", response_model=JobOut, status_code=202, responses=problems_of(400, 404))
@needs("run the lab")
def fit(state: State, who: Who, wanted: FitIn) -> JobOut:
    """Ask for a fit of a cloth lot; it is long work."""
    job = cloth_fit.ask(state.store, wanted.garment, wanted.lot, who=who.name)
    return JobOut(id=job.id, state=job.state)


@router.get("/lab/repeatability", response_model=list[RepeatabilityOut])
@needs("read")
def repeats(state: State) -> list[RepeatabilityOut]:
    """Read how far repeats lie apart."""
    return [
        RepeatabilityOut(**{name: getattr(one, name) for name in RepeatabilityOut.model_fields})
        for one in repeatability.repeatability(state.store)
    ]
