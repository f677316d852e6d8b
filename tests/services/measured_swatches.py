"""Swatches that were weighed, drawn down or read as a strip, for tests of what a shop measures of itself."""

from __future__ import annotations

import datetime as dt
import uuid

import numpy as np

from laydown.domain.measurement import ColourMeasurement, Conditions, Geometry, Spectrum
from laydown.domain.protocol import Reads
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.swatch import SwatchState
from laydown.services import swatch_book, swatch_readings, swatch_start
from laydown.services.job_worker import do_job
from laydown.services.swatch_start import PassWish
from laydown.store import jobs
from laydown.store.shop_exchange import load_shop

NOW = dt.datetime.now(dt.UTC) - dt.timedelta(hours=6)
INK, SCREEN, AREA = "Chalk Cotton White", "43-80 block", 0.04
OTHER = "61-64 general"
RED = "Beacon Red"


def shop_of(store):
    with store.read() as tx:
        return load_shop(tx)


def started(store, protocol, **changes):
    sheet, _ = swatch_start.start_from_cloth(
        store, protocol=protocol, key=uuid.uuid4().hex, who="Lea", made_at=NOW, **changes
    )
    return sheet.stored.number


def read(store, number, reads, value, *, part="", area="", minutes=0.0, corrects=None):
    row, _ = swatch_readings.add(
        store, number, key=uuid.uuid4().hex, reads=reads, value=value, who="Lea", part=part, area=area,
        corrects=corrects, taken_at=NOW + dt.timedelta(minutes=minutes),
    )  # fmt: skip
    return row.number


def weighing(store, gains, *, area=AREA, before=0.2, named=True):
    """Swatch of pieces that took up so many grams, and the numbers of its readings."""
    number = started(
        store, "weighing", garment="Quayside tee black", passes=[PassWish(ink=INK, screen=SCREEN)], inked_area=area
    )
    taken = []
    for piece, gain in enumerate(gains, start=1):
        name = str(piece) if named else ""
        taken.append(read(store, number, Reads.MASS, before, part="before", area=name, minutes=piece))
        taken.append(read(store, number, Reads.MASS, before + gain / 1e3, part="after", area=name, minutes=10 + piece))
    return number, taken


def gain_at(shop, transfer):
    """Grams that a print of `AREA` takes up at a transfer."""
    mesh = shop.screen(SCREEN).mesh
    return 1e3 * transfer * mesh.theoretical_volume.value * shop.ink(INK).density.value * AREA


def work(store):
    """Do what waits, as a worker does; tells what was made."""
    done = []
    while True:
        with store.write(who="worker") as tx:
            job = jobs.claim(tx, "worker of the tests")
        if job is None:
            return done
        do_job(store, job)
        with store.read() as tx:
            done.append(jobs.get(tx, job.id))


def spectrum(values, geometry=Geometry.D8_INCLUDED):
    return ColourMeasurement(
        name="film",
        spectrum=Spectrum(start_nm=380, step_nm=10, values=tuple(float(v) for v in values)),
        conditions=Conditions(geometry=geometry),
    )


def drawdown(
    store, *, ink=INK, black=0.3, white=0.8, gauge=3e-5, masses=None, area=None, geometry=Geometry.D8_INCLUDED
):
    film = None
    if gauge is not None:
        film = Quantity(value=gauge, low=0.95 * gauge, high=1.05 * gauge, grade=Grade.MEASURED, source="film gauge")
    number = started(store, "drawdown", ink=ink, film_thickness=film, inked_area=area)
    for part, mass in zip(("bare card", "wet card"), masses or (), strict=False):
        read(store, number, Reads.MASS, mass, part=part)
    for part, levels in (("bare card", (0.05, 0.85)), ("film", (black, white))):
        for over, level in zip(("over black", "over white"), levels, strict=True):
            value = spectrum(np.full(36, level), geometry)
            read(store, number, Reads.COLOUR, value, part=part, area=over, minutes=60)
    return number


def strip(store, tones, *, screen=SCREEN):
    number = started(store, "tone-strip", garment="Quayside tee black", passes=[PassWish(ink=INK, screen=screen)])
    for film, printed in tones:
        read(store, number, Reads.TONE, printed / 100, part="strip", area=f"{film} %", minutes=60)
    return number


def dropped(store, number):
    sheet = swatch_book.sheet(store, number)
    swatch_book.keep(store, number, revision=sheet.stored.revision, who="Lea", state=SwatchState.DROPPED)
