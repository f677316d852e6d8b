"""Dryers and flash units: daily checks, probe logs, fits, and what gives a plan's curve."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from fastapi import Path, Query, Response
from pydantic import AwareDatetime, BaseModel, Field

from laydown import units
from laydown.documents.probe_log_mapping import MappingEntry, mapping_from
from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.domain.probe_log import ProbeConditions
from laydown.services import dryer_answers, dryer_book, dryer_watch, plan_book, probe_fit, probe_machines
from laydown.services.dryer_watch import Watch
from laydown.services.opening import current_shop
from laydown.web.needs import needs
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("dryers")

Name = Annotated[str, Path(max_length=80)]
Number = Annotated[int, Path(ge=0, lt=2**31)]
Kind = Literal["panel", "peak", "belt", "flash"]
Key = Annotated[str, Field(min_length=8, max_length=80, description="Made once by whoever sends it; a UUID does.")]


class CheckIn(BaseModel):
    """A daily check to keep."""

    key: Key
    kind: Kind
    value: float = Field(description="Temperatures in °C, belts in m/min.")
    happened_at: AwareDatetime
    note: str = Field(default="", max_length=2000)
    anew: bool = Field(default=False, description="Reckon limits anew from here: after maintenance.")
    replaces: Annotated[int, Field(ge=1, lt=2**31)] | None = Field(default=None, description="Check that it corrects.")


class CheckOut(BaseModel):
    """A check that is kept."""

    id: int
    value: float
    happened_at: dt.datetime
    note: str
    anew: bool
    made_by: str
    out_of_control: bool


class TouchedOut(BaseModel):
    """An order that was printed since the last good check."""

    order: int
    name: str
    pieces: int
    sure: bool = Field(description="Whether its plan names this machine.")


class WatchOut(BaseModel):
    """A chart of one thing that is checked of a machine."""

    machine: str
    kind: Kind
    unit: str
    verdict: str
    well: bool
    told: list[str] = Field(description="Every broken run rule, the newest first.")
    centre: float | None
    low: float | None
    high: float | None
    last_good: dt.datetime | None
    touched: list[TouchedOut]
    checks: list[CheckOut]


class LogIn(BaseModel):
    """A logger's file to keep."""

    key: Key
    name: str = Field(min_length=1, max_length=200, description="Of the file.")
    text: str = Field(max_length=5_000_000, description="What stands in the file.")
    garment: str = Field(max_length=80, description="What lay on the belt, by its name on the shelf.")
    date: dt.date
    panel_c: float | None = Field(default=None, ge=10, le=1200, description="Needed of a dryer.")
    belt_m_per_min: float | None = Field(default=None, gt=0, le=100)
    flash_s: float | None = Field(default=None, ge=1, le=120, description="How long a flash unit flashed, as set.")
    film_um: float = Field(default=0.0, ge=0, le=2000)
    note: str = Field(default="", max_length=2000)
    mapping: MappingEntry | None = Field(default=None, description="Which column is what; without it guessed.")


class LogOut(BaseModel):
    """A log that is kept."""

    id: int
    name: str
    date: dt.date
    panel_c: float
    belt_m_per_min: float | None
    flash_s: float | None
    garment: str
    film_um: float
    note: str
    made_by: str


class UseIn(BaseModel):
    """Which logs the machine of the shelf is fitted to."""

    logs: list[Annotated[int, Field(ge=1, lt=2**31)]] = Field(max_length=12)
    revision: int = Field(ge=0, lt=2**31, description="State of the machine that the fit started from.")


class Reading(BaseModel):
    """What a log says."""

    above_c: float
    plausible: bool
    doubts: list[str]
    belt_m_per_min: float | None
    belt_low_m_per_min: float | None
    belt_high_m_per_min: float | None
    channels: list[dict[str, Any]] = Field(description="Peak, time above, rise and cooling of every wire.")


class FitOut(BaseModel):
    """A dryer or flash unit fitted to logs."""

    revision: int = Field(description="State of the machine on the shelf that it was fitted from.")
    logs: list[int]
    rms_k: float
    numbers: list[dict[str, Any]] = Field(description="Every number before and after, with its 90 % interval.")
    conflicts: list[str] = Field(description="Where logs and shelf, or logs among each other, do not agree.")
    cannot_tell: list[str]
    dryer: dict[str, Any] = Field(
        description="In the keys and units of dryers.toml; a flash unit in those of presses.toml."
    )


class MatchOut(BaseModel):
    """Panel and belt that give a plan's curve."""

    dryer: str
    panel_c: float
    belt_m_per_min: float
    peak_c: float
    asked_peak_c: float
    seconds_above: float
    asked_seconds_above: float
    above_c: float
    met: bool
    misses: list[str]


@router.get("/dryers", response_model=list[WatchOut])
@needs("read")
def machines(state: State) -> list[WatchOut]:
    """Read how every dryer and flash unit stands."""
    names = [name for name, _ in dryer_watch.machines(state.store)]
    return [told(one) for name in names for one in dryer_watch.watches(state.store, name)]


@router.get("/dryers/{name}/checks/{kind}", response_model=WatchOut, responses=problems_of(404))
@needs("read")
def checks(state: State, name: Name, kind: Kind) -> WatchOut:
    """Read a chart of a machine."""
    return told(dryer_watch.watch(state.store, name, CheckKind(kind)))


@router.post(
    "/dryers/{name}/checks",
    response_model=WatchOut,
    status_code=201,
    responses=problems_of(400, 404, 409) | {200: {"model": WatchOut, "description": "It was kept before."}},
)
@needs("enter readings")
def enter(state: State, who: Who, answer: Response, name: Name, new: CheckIn) -> WatchOut:
    """Keep a daily check; 200 instead of 201 when it was kept before."""
    kind = CheckKind(new.kind)
    check = ProbeCheck(
        machine=name,
        kind=kind,
        value=units.from_metre_per_minute(new.value) if kind is CheckKind.BELT else units.from_celsius(new.value),
        happened_at=new.happened_at,
        note=new.note,
        anew=new.anew,
    )
    _, is_new = dryer_watch.enter(state.store, check, key=new.key, who=who.name, replaces=new.replaces)
    answer.status_code = 201 if is_new else 200
    return told(dryer_watch.watch(state.store, name, kind))


@router.get("/dryers/{name}/logs", response_model=list[LogOut], responses=problems_of(404))
@needs("read")
def logs(state: State, name: Name) -> list[LogOut]:
    """Read which logs of a dryer or flash unit are kept, the newest first."""
    return [log_told(one) for one in dryer_book.logs(state.store, name)]


@router.post(
    "/dryers/{name}/logs",
    response_model=LogOut,
    status_code=201,
    responses=problems_of(400, 404, 409, 413) | {200: {"model": LogOut, "description": "It was kept before."}},
    max_body_size=12_000_000,
)
@needs("run the lab")
def keep(state: State, who: Who, answer: Response, name: Name, new: LogIn) -> LogOut:
    """Keep a logger's file; 200 instead of 201 when it was kept before."""
    setting = None if new.panel_c is None else units.from_celsius(new.panel_c)
    conditions = ProbeConditions(
        dryer=name,
        garment=new.garment,
        date=new.date,
        setting=probe_machines.setting_of(dryer_book.machine(state.store, name), setting),
        speed=None if new.belt_m_per_min is None else units.from_metre_per_minute(new.belt_m_per_min),
        film=units.from_micron(new.film_um),
        flash_seconds=new.flash_s,
        note=new.note,
    )
    mapping = None if new.mapping is None else mapping_from(new.mapping.model_dump(mode="json"))
    content = new.text.encode("utf-8", "replace")
    kept, is_new = dryer_book.keep(
        state.store, content, new.name, conditions, key=new.key, who=who.name, mapping=mapping
    )
    answer.status_code = 201 if is_new else 200
    return log_told(kept)


@router.get("/probe-logs/{number}", response_model=Reading, responses=problems_of(404))
@needs("read")
def read(state: State, number: Number, above_c: Annotated[float, Query(ge=0, le=320)] = 160.0) -> Reading:
    """Read what a log says."""
    machine, file = dryer_book.one_log(state.store, number)
    found = state.drawing.ask(dryer_answers.reading_answer, machine, file, units.from_celsius(above_c))
    return Reading.model_validate(found)


@router.get("/dryers/{name}/fit", response_model=FitOut, responses=problems_of(404))
@needs("read")
def fit(state: State, name: Name, log: Annotated[list[int], Query(max_length=12)] = []) -> FitOut:  # noqa: B006 - FastAPI copies it
    """Fit a dryer or flash unit to kept logs (the newest when none is named); nothing is written."""
    asked = dryer_book.request(state.store, name, log)
    found = state.desk.ask(dryer_answers.fit_answer, asked.machine, asked.climate, asked.files, probe_fit.ABOVE)
    return FitOut.model_validate(found | {"revision": asked.revision, "logs": list(asked.numbers)})


@router.put("/dryers/{name}/fit", response_model=FitOut, responses=problems_of(400, 404, 409))
@needs("change shelves")
def use(state: State, who: Who, name: Name, new: UseIn) -> FitOut:
    """Fit a dryer or flash unit to kept logs and put it on the shelf; plans use it from then on."""
    asked = dryer_book.request(state.store, name, new.logs)
    found = state.desk.ask(dryer_answers.fit_answer, asked.machine, asked.climate, asked.files, probe_fit.ABOVE)
    kept = dryer_book.use(state.store, found["dryer"], revision=new.revision, who=who.name)
    return FitOut.model_validate(found | {"revision": kept.revision, "logs": list(asked.numbers)})


@router.get("/dryers/{name}/match", response_model=MatchOut, responses=problems_of(404))
@needs("read")
def match(
    state: State,
    name: Name,
    order: Annotated[int, Query(ge=1, lt=2**31)],
    place: Annotated[int, Query(ge=0, lt=100)] = 0,
) -> MatchOut:
    """Find panel and belt that give the curve of an order's plan on this dryer."""
    number = dryer_book.plan_number(state.store, order)
    texts = plan_book.texts(state.store, plan_book.sheet(state.store, order, number).stored)
    shop = current_shop(state.store)
    return MatchOut.model_validate(state.desk.ask(dryer_answers.match_answer, *texts, shop, name, place))


def told(one: Watch) -> WatchOut:
    """Chart as it is published."""
    belt = one.kind is CheckKind.BELT

    def number(value: float) -> float:
        return round(units.to_metre_per_minute(value) if belt else units.to_celsius(value), 6)

    limits = one.chart.limits
    return WatchOut(
        machine=one.machine,
        kind=one.kind.value,
        unit="m/min" if belt else "°C",
        verdict=one.verdict,
        well=one.well,
        told=list(one.told),
        centre=number(limits.centre) if limits else None,
        low=number(limits.low) if limits else None,
        high=number(limits.high) if limits else None,
        last_good=one.last_good,
        touched=[TouchedOut(order=o.id, name=o.name, pieces=o.pieces, sure=o.sure) for o in one.touched],
        checks=[
            CheckOut(
                id=kept.id,
                value=number(kept.check.value),
                happened_at=kept.check.happened_at,
                note=kept.check.note,
                anew=kept.check.anew,
                made_by=kept.made_by,
                out_of_control=place in one.chart.bad,
            )
            for place, kept in enumerate(one.checks)
        ],
    )


def log_told(one: dryer_book.StoredProbeLog) -> LogOut:
    """Log as it is published."""
    said = one.conditions
    return LogOut(
        id=one.id,
        name=one.name,
        date=said.date,
        panel_c=round(units.to_celsius(said.setting), 6),
        belt_m_per_min=None if said.speed is None else round(units.to_metre_per_minute(said.speed), 9),
        garment=said.garment,
        flash_s=said.flash_seconds,
        film_um=round(units.to_micron(said.film), 6),
        note=said.note,
        made_by=one.made_by,
    )
