"""Bleed swatches of the small shop: their protocol, and readings as the model itself would give them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import numpy as np

from laydown.domain.garment import Garment, History
from laydown.domain.measurement import ColourMeasurement, Conditions, GreyScaleGrade
from laydown.domain.protocol import DueReading, Protocol, Reads, Step, Subject
from laydown.domain.quantity import Grade
from laydown.domain.reading import Reading
from laydown.domain.shop import Shop
from laydown.domain.stack import Stack
from laydown.domain.swatch import PressRun, Swatch, SwatchState
from laydown.lab.evidence import SwatchRecord
from laydown.lab.likelihood import Noise
from laydown.lab.problem import FITTED
from laydown.lab.simulated import Truth, simulated_record
from laydown.units import DAY, HOUR, MINUTE, from_celsius
from small_shop import CLIMATE, blocking_white, costs, dryer, flashed_twice, polyester, press, screen, white

MADE = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)

OVEN_TEST = Protocol(
    name="oven-bleed",
    title="Oven bleed test",
    subject=Subject.BLEED,
    purpose="how much dye comes into the print within weeks",
    materials=("an oven that holds 52 °C",),
    steps=(
        Step(text="print, flash and cure the swatch as the plan says"),
        Step(text="cut it in two and keep one half cool", part="cool half"),
        Step(text="hold the other half", part="warm half", temperature=from_celsius(52), duration=15 * HOUR),
    ),
    readings=(
        DueReading(reads=Reads.COLOUR, after=0.5 * HOUR),
        DueReading(reads=Reads.COLOUR, after=17 * HOUR, part="warm half"),
        DueReading(reads=Reads.COLOUR, after=17 * HOUR, part="cool half"),
    ),
    limit=None,
    cautions=("hot oven",),
    work=20 * MINUTE,
    source="ink maker's page",
    grade=Grade.MAKER,
)

LONG_TEST = replace(
    OVEN_TEST,
    name="oven-bleed-long",
    readings=(
        *OVEN_TEST.readings,
        DueReading(reads=Reads.COLOUR, after=7 * DAY, part="cool half"),
        DueReading(reads=Reads.COLOUR, after=21 * DAY, part="cool half"),
    ),
)
"""The oven test, whose cool half is kept and read again."""


SHORT_TEST = replace(
    OVEN_TEST,
    name="bleed-in-a-week",
    steps=OVEN_TEST.steps[:1],
    readings=(
        DueReading(reads=Reads.COLOUR, after=1 * HOUR),
        DueReading(reads=Reads.COLOUR, after=7 * DAY),
        DueReading(reads=Reads.STAINING, after=7 * DAY),
    ),
)
"""A print that is looked at when it is new and after a week: two colours and a grade, and quick to compute."""


def lab_shop(**changes: Any) -> Shop:
    fields: dict[str, Any] = {
        "name": "Test Shop",
        "garments": (lab_cloth(),),
        "inks": (white(), blocking_white()),
        "screens": (screen(),),
        "presses": (press(),),
        "dryers": (dryer(),),
        "costs": costs(),
        "climate": CLIMATE,
    }
    return Shop(**(fields | changes))


def lab_cloth(**changes: Any) -> Garment:
    return polyester(**({"name": "red tee", "lot": "A", "history": History.NEVER_PRINTED} | changes))


def swatch(garment: Garment, number: int = 1, stack: Stack | None = None, **changes: Any) -> Swatch:
    fields: dict[str, Any] = {
        "protocol": OVEN_TEST.name,
        "number": number,
        "garment": garment.name,
        "lot": garment.lot,
        "stack": stack or flashed_twice(blocking_white()),
        "run": PressRun(dryer="Tunnel", panel_setting=from_celsius(310), belt_speed=0.1, flash_seconds=8.0),
        "made_at": MADE,
        "state": SwatchState.MADE,
    }
    return Swatch(**(fields | changes))


def colour_reading(number: int, part: str, after: float, lab: Any, *, of: int = 1) -> Reading:
    value = ColourMeasurement(
        name="white",
        lab=tuple(float(x) for x in lab),
        conditions=Conditions(illuminant="D65", observer="10"),
    )
    return Reading(
        swatch=of,
        number=number,
        reads=Reads.COLOUR,
        value=value,
        taken_at=MADE + dt.timedelta(seconds=after),
        operator="ann",
        part=part,
    )


def grade_reading(number: int, part: str, after: float, grade: float, *, of: int = 1) -> Reading:
    return Reading(
        swatch=of,
        number=number,
        reads=Reads.STAINING,
        value=GreyScaleGrade(value=grade),
        taken_at=MADE + dt.timedelta(seconds=after),
        operator="ann",
        part=part,
    )


def record_of(one: Swatch, readings: tuple[Reading, ...], protocol: Protocol = OVEN_TEST) -> SwatchRecord:
    return SwatchRecord(swatch=one, protocol=protocol, readings=readings)


def simulated(
    shop: Shop,
    garment: Garment,
    truth: dict[str, float],
    *,
    rng: np.random.Generator | None = None,
    protocol: Protocol = OVEN_TEST,
    number: int = 1,
    stack: Stack | None = None,
    noise: Noise | None = None,
    **changes: Any,
) -> SwatchRecord:
    """Swatch of a garment whose truth is known, read as the protocol asks."""
    one = swatch(garment, number, stack, **changes)
    known, first = Truth(positions=truth), 100 * number
    return simulated_record(shop, garment, one, protocol, known, rng=rng, noise=noise, first_number=first)


def drawn_truth(rng: np.random.Generator) -> dict[str, float]:
    """Truth drawn from the prior, in all directions of the fit."""
    return dict(zip(FITTED, rng.standard_normal(len(FITTED)), strict=True))
