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
from laydown.lab.bleed_fit import DISCREPANCY, FITTED, OVEN, SwatchRecord
from laydown.lab.evidence import gather
from laydown.lab.likelihood import usual_noise
from laydown.lab.swatch_model import SwatchModel
from laydown.models.sampling import SampleSet, corner_set, spread_over
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

THREE = (("", 1 * HOUR), ("warm half", 17 * HOUR), ("cool half", 17 * HOUR))
"""Part and time of the three readings of an oven test."""

LATER = (*THREE, ("cool half", 7 * DAY), ("cool half", 21 * DAY))


def lab_shop(**changes: Any) -> Shop:
    fields: dict[str, Any] = {
        "name": "Test Shop",
        "garments": (tested_cloth(),),
        "inks": (white(), blocking_white()),
        "screens": (screen(),),
        "presses": (press(),),
        "dryers": (dryer(),),
        "costs": costs(),
        "climate": CLIMATE,
    }
    return Shop(**(fields | changes))


def tested_cloth(**changes: Any) -> Garment:
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


def truth_samples(truth: dict[str, float]) -> SampleSet:
    """One sample with the named directions off their best estimates."""
    return corner_set(({k: v for k, v in truth.items() if k not in {OVEN, DISCREPANCY}},))


def modelled_record(
    shop: Shop,
    garment: Garment,
    truth: dict[str, float],
    *,
    when: tuple[tuple[str, float], ...] = THREE,
    graded: tuple[tuple[str, float], ...] = (),
    number: int = 1,
    stack: Stack | None = None,
    rng: np.random.Generator | None = None,
    **changes: Any,
) -> SwatchRecord:
    """Record of a swatch as the model gives it for a truth, with the noise of the likelihood where there is an rng."""
    one = swatch(garment, number, stack, **changes)
    blank = tuple(colour_reading(100 * number + i, p, t, (90, 0, 0), of=number) for i, (p, t) in enumerate(when))
    blank += tuple(grade_reading(100 * number + 50 + i, p, t, 4.0, of=number) for i, (p, t) in enumerate(graded))
    record = record_of(one, blank)
    (evidence,) = gather(shop, garment, (record,)).swatches
    oven = 2.0 / 1.6448536 * truth.get(OVEN, 0.0)
    predicted = SwatchModel(shop, garment, one).predict(evidence, truth_samples(truth), np.array([oven]))
    lab, clean = predicted.colour[0], predicted.clean[0]
    grades = predicted.grade[0]
    if rng is not None:
        noise = usual_noise()
        size = float(spread_over(noise.discrepancy, np.array([truth.get(DISCREPANCY, 0.0)]))[0])
        shared = rng.standard_normal() * np.sqrt(noise.shared)
        own = rng.standard_normal((len(lab), 1)) * np.sqrt(1 - noise.shared)
        lab = lab + size * (shared + own) * (lab - clean)
        lab = lab + noise.offset * rng.standard_normal(3) + noise.reading * rng.standard_normal(lab.shape)
        spread = np.hypot(noise.grade, size * np.clip(5 - grades, 0, 1.45))
        grades = grades + spread * rng.standard_normal(grades.shape)
    read = [
        colour_reading(r.number, r.part, t, lab[i], of=number)
        for i, ((_, t), r) in enumerate(zip(when, blank, strict=False))
    ]
    rounded = np.clip(np.floor(2 * grades + 0.5) / 2, 1, 5)
    read += [replace(r, value=GreyScaleGrade(value=float(g))) for r, g in zip(blank[len(when) :], rounded, strict=True)]
    return record_of(one, tuple(read))


def drawn_truth(rng: np.random.Generator) -> dict[str, float]:
    """Truth drawn from the prior, in all directions of the fit."""
    return dict(zip(FITTED, rng.standard_normal(len(FITTED)), strict=True))
