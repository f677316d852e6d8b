"""Readings of swatches: kept once, corrected and never changed; photos; steps that are ticked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from laydown.domain.measurement import ColourMeasurement
from laydown.domain.protocol import Reads, Subject
from laydown.domain.reading import Reading, Value
from laydown.errors import InvalidInput, NotFound
from laydown.services import shop_fits, swatch_book
from laydown.services.cloth_fit import BLEED_READINGS, ask_when_new
from laydown.services.comparable import compared
from laydown.store import files, readings, swatches
from laydown.store.database import Store
from laydown.store.readings import StoredReading
from laydown.store.swatches import StoredSwatch
from laydown.store.transaction import Transaction

LARGEST_PHOTO = 12_000_000
"""Bytes of a photo."""

PICTURES = ((b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG\r\n\x1a\n", "image/png"), (b"RIFF", "image/webp"))
"""How the pictures that are kept begin."""


def add(
    store: Store,
    number: int,
    *,
    key: str,
    reads: Reads,
    value: Value,
    taken_at: dt.datetime,
    who: str,
    operator: str = "",
    part: str = "",
    area: str = "",
    corrects: int | None = None,
    note: str = "",
) -> tuple[StoredReading, bool]:
    """Keep a reading of a swatch; sent twice under the same key, it is kept once.

    Returns
    -------
    StoredReading, bool
        The reading, and whether it is new.

    Raises
    ------
    NotFound
        When there is no such swatch.
    InvalidInput
        When the swatch is not made yet, was dropped, or the reading cannot be.
    Conflict
        When another reading has this key, or the one it corrects was corrected already.
    """
    reading = Reading(
        swatch=number,
        reads=reads,
        value=value,
        taken_at=taken_at,
        operator=operator.strip() or who,
        part=part.strip(),
        area=area.strip(),
        corrects=corrects,
        note=note.strip(),
    )
    with store.write(who=who) as tx:
        kept, new = put(tx, reading, key=key)
        if new:
            swatch_book.settle(tx, number)
            ask_after(tx, swatches.get(tx, number), (reads,))
        return kept, new


def put(tx: Transaction, reading: Reading, *, key: str) -> tuple[StoredReading, bool]:
    """Keep a reading within a transaction, as `add` does; who has put them all lets the swatch settle and be fitted."""
    number, value = reading.swatch, reading.value
    stored = swatches.get(tx, number)
    if readings.find(tx, key) is None:
        if stored.swatch.state.value == "dropped":
            raise InvalidInput(f"swatch {number} was dropped; take it up again before it is read", where="swatch")
        if stored.swatch.made_at is None and not _before_dryer(reading, stored.protocol.subject):
            raise InvalidInput(f"swatch {number} is not made yet; say first when it left the dryer", where="made_at")
        parts = {step.part for step in stored.protocol.steps if step.part}
        if reading.part and reading.part not in parts:
            raise InvalidInput(
                f"the test has no part {reading.part!r}; its parts are {', '.join(sorted(parts)) or 'none'}",
                where="part",
            )
        if reading.taken_at > tx.now + dt.timedelta(hours=1):
            raise InvalidInput("a reading is not taken in the future", where="taken_at")
        if isinstance(value, ColourMeasurement):
            before = tuple(row.reading for row in readings.of_swatch(tx, number))
            compared(before, value, corrects=reading.corrects)
    return readings.add(tx, reading, key=key)


def ask_after(tx: Transaction, stored: StoredSwatch, kinds: Collection[Reads]) -> None:
    """Ask for a fit of what the readings tell of: bleed of the swatch's cloth, or the shop's own screens and inks."""
    if kinds:
        shop_fits.ask_when_new(tx, stored.protocol.subject, stored.swatch.ink)
    telling = any(reads.value in BLEED_READINGS for reads in kinds)
    if telling and stored.protocol.subject is Subject.BLEED and stored.swatch.stack is not None:
        ask_when_new(tx, stored.swatch.garment, stored.swatch.lot)


def add_photo(store: Store, content: bytes, *, who: str) -> str:
    """Keep a photo; returns its SHA-256, which is the value of a reading.

    Raises
    ------
    InvalidInput
        When it is no picture of a kind that is kept, or too large.
    """
    if len(content) > LARGEST_PHOTO:
        raise InvalidInput(f"the photo is larger than {LARGEST_PHOTO // 1_000_000} MB, the most that is kept")
    if picture_kind(content) is None:
        raise InvalidInput("this is no photo that is kept; JPEG, PNG and WebP are", where="photo")
    with store.write(who=who) as tx:
        return files.put(tx, content).sha256


def photo(store: Store, sha256: str) -> tuple[bytes, str]:
    """Photo that is a reading, and its media type.

    Raises
    ------
    NotFound
        When no reading is such a photo.
    """
    with store.read() as tx:
        if not readings.is_photo(tx, sha256):
            raise NotFound("photo", sha256[:12], ())
        content = files.content(tx, sha256)
    return content, picture_kind(content) or "application/octet-stream"


def picture_kind(content: bytes) -> str | None:
    """Media type of a picture by how it begins; None for anything else."""
    for begins, kind in PICTURES:
        if content.startswith(begins) and (kind != "image/webp" or content[8:12] == b"WEBP"):
            return kind
    return None


def tick(store: Store, number: int, *, key: str, step: int, done: bool, happened_at: dt.datetime, who: str) -> bool:
    """Keep that a step of a swatch's test is done, or open again; returns whether it is new."""
    with store.write(who=who) as tx:
        return swatches.tick(tx, number, key=key, step=step, done=done, happened_at=happened_at)


def _before_dryer(reading: Reading, subject: Subject) -> bool:
    if subject is Subject.LAYDOWN and reading.reads is Reads.MASS:
        return True  # ink is weighed wet
    early = {"before", "bare", "bare card", "wet card"}
    kinds = {Reads.MASS, Reads.PHOTO, Reads.COLOUR}
    return reading.reads in kinds and (reading.area in early or reading.part in early)
