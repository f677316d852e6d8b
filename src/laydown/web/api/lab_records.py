"""What the lab's part of the JSON interface takes and gives."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from pydantic import AwareDatetime, BaseModel, Field

from laydown.documents.reading_value import ValueEntry, value_document
from laydown.domain.protocol import Reads
from laydown.services.swatch_book import StoredReading, SwatchSheet, SwatchState

Key = Annotated[str, Field(min_length=8, max_length=80, description="Made once by whoever sends it; a UUID does.")]
Name = Annotated[str, Field(max_length=80)]


class PassIn(BaseModel):
    """A pass to print: ink and screen by their shelf names."""

    ink: Name
    screen: Name
    hits: int = Field(default=1, ge=1, le=6)
    flash: bool = False


class SwatchIn(BaseModel):
    """A swatch to start: of a plan's print (`order`, `plan`), of a cloth (`garment`), or a drawdown (`ink`)."""

    key: Key
    protocol: Name = Field(description="Name of the test.")
    order: int | None = Field(default=None, ge=0, lt=2**31)
    plan: int | None = Field(default=None, ge=1, lt=2**31)
    place: Name = Field(default="", description="Print of the order; empty: the first with a stack.")
    garment: Name = ""
    ink: Name = ""
    lot: Name = ""
    passes: list[PassIn] = Field(default=[], max_length=6)
    dryer: Name = ""
    panel_k: float | None = Field(default=None, ge=200, le=2000, description="Panel setting.")
    belt_m_per_s: float | None = Field(default=None, gt=0, le=5, description="Belt speed.")
    flash_s: float | None = Field(default=None, ge=0, le=120)
    inked_area_m2: float | None = Field(default=None, ge=1e-5, le=2, description="Area that took ink.")
    film_m: float | None = Field(default=None, ge=1e-6, le=1e-3, description="Cured film of a drawdown by a gauge.")
    film_error_m: float = Field(default=2e-6, ge=0, le=1e-3, description="How far the gauge is off, 9 times of 10.")
    made_at: AwareDatetime | None = Field(default=None, description="When it left the dryer.")
    note: str = Field(default="", max_length=2000)


class DueOut(BaseModel):
    """A reading that a swatch asks for."""

    swatch: int
    reads: str
    part: str
    after_s: float
    at: dt.datetime | None
    times: int
    taken: int
    state: str


class ReadingOut(BaseModel):
    """A reading as it is kept."""

    number: int
    key: str
    swatch: int
    reads: str
    part: str
    area: str
    value: dict[str, Any]
    taken_at: dt.datetime
    operator: str
    corrects: int | None
    corrected_by: int | None = None
    note: str
    received_at: dt.datetime
    made_by: str


class SwatchOut(BaseModel):
    """A swatch."""

    number: int
    key: str
    protocol: str
    title: str
    garment: str
    lot: str
    ink: str
    stack: str
    dryer: str
    state: str
    made_at: dt.datetime | None
    inked_area_m2: float | None
    film_m: float | None
    order: int | None
    plan: int | None
    note: str
    revision: int
    due: list[DueOut]
    readings: list[ReadingOut]


class SwatchChange(BaseModel):
    """What becomes of a swatch; what is left out stays."""

    revision: int = Field(description="State that the change started from.")
    made_at: AwareDatetime | None = None
    lot: Name | None = None
    note: Annotated[str, Field(max_length=2000)] | None = None
    state: SwatchState | None = None
    inked_area_m2: float | None = Field(default=None, ge=1e-5, le=2, description="Area that took ink.")
    film_m: float | None = Field(default=None, ge=1e-6, le=1e-3, description="Cured film of a drawdown by a gauge.")
    film_error_m: float = Field(default=2e-6, ge=0, le=1e-3, description="How far the gauge is off, 9 times of 10.")


class ReadingIn(BaseModel):
    """A reading to keep: `value` in SI units, or `fields` as the page at the bench sends them."""

    key: Key
    reads: Reads
    part: Name = ""
    area: Name = ""
    value: ValueEntry | None = None
    fields: dict[str, str] | None = Field(default=None, description="Texts as somebody typed them, in their units.")
    taken_at: AwareDatetime
    operator: Name = ""
    corrects: int | None = Field(default=None, ge=1, lt=2**31, description="Reading that this one takes the place of.")
    note: str = Field(default="", max_length=2000)


class StepIn(BaseModel):
    """A step that is done, or open again."""

    key: Key
    step: int = Field(ge=0, le=100, description="Counted from 0.")
    done: bool
    happened_at: AwareDatetime


class StepOut(BaseModel):
    """Whether a step was kept now."""

    new: bool


class PhotoOut(BaseModel):
    """A photo that is kept."""

    sha256: str


class TermOut(BaseModel):
    """What one order adds to a proposal."""

    order: int
    plan: int
    name: str
    due: dt.date
    worth: float
    place: str
    stack: str


class ProposalOut(BaseModel):
    """A test that is proposed, with the sum behind it."""

    protocol: str
    title: str
    garment: str
    lot: str
    worth: float
    cost: float
    currency: str
    running: list[int]
    in_time: bool
    terms: list[TermOut]


class ClothOut(BaseModel):
    """A cloth lot that was tested."""

    garment: str
    lot: str
    swatches: int
    readings: int
    fitted_at: dt.datetime | None
    stale: bool


class FindingOut(BaseModel):
    """What the newest fit of a cloth lot found."""

    garment: str
    lot: str
    fitted_at: dt.datetime | None
    rests_on: list[int]
    stale: bool
    report: dict[str, Any] | None


class FitIn(BaseModel):
    """A cloth lot to fit."""

    garment: Annotated[str, Field(min_length=1, max_length=80)]
    lot: Name = ""


class JobOut(BaseModel):
    """Long work that was asked for."""

    id: int
    state: str


class RepeatabilityOut(BaseModel):
    """How far repeats lie apart, in SI units, ΔE* or grades."""

    reads: str
    instrument: str
    operator: str
    groups: int
    readings: int
    freedom: int
    deviation: float
    limit: float


def due_out(sheet: SwatchSheet) -> list[DueOut]:
    """Readings that a swatch asks for, as they are published."""
    now = dt.datetime.now(dt.UTC)
    return [
        DueOut(
            swatch=one.swatch,
            reads=one.wanted.reads.value,
            part=one.wanted.part,
            after_s=one.wanted.after,
            at=one.at,
            times=one.wanted.times,
            taken=len(one.taken),
            state=one.state(now),
        )
        for one in sheet.due
    ]


def swatch_out(sheet: SwatchSheet) -> SwatchOut:
    """Swatch as it is published."""
    swatch, stored = sheet.swatch, sheet.stored
    return SwatchOut(
        number=stored.number,
        key=stored.key,
        protocol=swatch.protocol,
        title=sheet.protocol.title,
        garment=swatch.garment,
        lot=swatch.lot,
        ink=swatch.ink,
        stack=swatch.stack.label if swatch.stack else "",
        dryer=swatch.run.dryer if swatch.run else "",
        state=swatch.state.value,
        made_at=swatch.made_at,
        inked_area_m2=swatch.inked_area,
        film_m=swatch.film_thickness.value if swatch.film_thickness else None,
        order=swatch.order,
        plan=swatch.plan,
        note=swatch.note,
        revision=stored.revision,
        due=due_out(sheet),
        readings=[reading_out(row, sheet.corrected.get(row.number)) for row in sheet.readings],
    )


def reading_out(row: StoredReading, corrected_by: int | None = None) -> ReadingOut:
    """Reading as it is published."""
    one = row.reading
    return ReadingOut(
        number=row.number,
        key=row.key,
        swatch=one.swatch,
        reads=one.reads.value,
        part=one.part,
        area=one.area,
        value=value_document(one.value, one.reads),
        taken_at=one.taken_at,
        operator=one.operator,
        corrects=one.corrects,
        corrected_by=corrected_by,
        note=one.note,
        received_at=row.received_at,
        made_by=row.made_by,
    )
