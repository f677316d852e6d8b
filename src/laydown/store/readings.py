"""Readings: only ever added to; a correction names the reading that it takes the place of."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, func, select

from laydown.documents.reading_value import value_document, value_from
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import files, swatches
from laydown.store.schema import readings
from laydown.store.transaction import Transaction, json_text, sent_key, storable

LARGEST = 100_000
"""Characters of a reading; a spectrum of 2000 values is shorter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredReading:
    """A reading that is kept.

    Attributes
    ----------
    reading : Reading
        With its number.
    key : str
        Made by the page or program that sent it; a reading that is sent twice is kept once.
    file_sha256 : str or None
        File that it was read from, or the photo itself.
    """

    reading: Reading
    key: str
    file_sha256: str | None
    received_at: dt.datetime
    made_by: str

    @property
    def number(self) -> int:
        """Number of the reading."""
        return self.reading.number


def add(tx: Transaction, reading: Reading, *, key: str, file_sha256: str | None = None) -> tuple[StoredReading, bool]:
    """Keep a reading, unless it was kept before.

    Parameters
    ----------
    reading : Reading
        Its number is given here.
    key : str
        Eight to 80 characters, made once a reading by whoever sends it.
    file_sha256 : str, optional
        File it was read from; a photo's is its value.

    Returns
    -------
    StoredReading, bool
        The reading as it is kept, and whether it is new.

    Raises
    ------
    NotFound
        When there is no such swatch or file.
    InvalidInput
        When it cannot be kept, or corrects a reading of another swatch or kind.
    Conflict
        When another reading has this key, or the one that it corrects was corrected already.
    """
    sent_key(key)
    row = columns_of(reading, file_sha256)
    present = find(tx, key)
    if present is not None:
        # Sent again, it may say a later moment or another hand; what was read is the same.
        told = columns_of(present.reading, present.file_sha256)
        if any(told[name] != value for name, value in row.items() if name not in {"taken_at", "operator"}):
            raise Conflict("another reading has this key", kind="reading", name=key, present=present)
        return present, False
    swatches.get(tx, reading.swatch)
    if row["file_sha256"] is not None and files.find(tx, row["file_sha256"]) is None:
        raise NotFound("file", str(row["file_sha256"])[:12], ())
    if reading.corrects is not None:
        _check_correction(tx, reading)
    tx.log("add", "reading", key, after=row | {"taken_at": reading.taken_at.isoformat()})
    made = tx.run(readings.insert().values(**row, key=key, received_at=tx.now, made_by=tx.who))
    given = made.inserted_primary_key
    if given is None:  # pragma: no cover - both databases return it
        raise RuntimeError("the reading got no number")
    return get(tx, int(given[0])), True


def get(tx: Transaction, number: int) -> StoredReading:
    """Reading by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(readings).where(readings.c.id == number)).first()
    if row is None:
        raise NotFound("reading", str(number), ())
    return _stored(row)


def find(tx: Transaction, key: str) -> StoredReading | None:
    """Reading by its key, or None."""
    row = tx.run(select(readings).where(readings.c.key == key)).first()
    return _stored(row) if row is not None else None


def of_swatches(tx: Transaction, numbers: Iterable[int]) -> dict[int, tuple[StoredReading, ...]]:
    """Every reading of some swatches, corrected ones too, in the order in which they came in."""
    wanted = tuple(numbers)
    found: dict[int, list[StoredReading]] = {number: [] for number in wanted}
    if wanted:
        for row in tx.run(select(readings).where(readings.c.swatch_id.in_(wanted)).order_by(readings.c.id)):
            found[row.swatch_id].append(_stored(row))
    return {number: tuple(rows) for number, rows in found.items()}


def of_swatch(tx: Transaction, number: int) -> tuple[StoredReading, ...]:
    """Every reading of a swatch."""
    return of_swatches(tx, (number,))[number]


def is_photo(tx: Transaction, sha256: str) -> bool:
    """Whether a file is a photo that is a reading."""
    asked = select(readings.c.id).where(readings.c.file_sha256 == sha256, readings.c.reads == str(Reads.PHOTO))
    return tx.run(asked.limit(1)).first() is not None


def document_of(reading: Reading) -> dict[str, Any]:
    """JSON of a reading's value (`laydown.documents.reading_value.ValueEntry`)."""
    return value_document(reading.value, reading.reads)


def newest_number(tx: Transaction, numbers: Iterable[int]) -> int:
    """Highest number of a reading of some swatches; 0 when there is none."""
    found = tx.run(select(func.max(readings.c.id)).where(readings.c.swatch_id.in_(tuple(numbers)))).scalar()
    return int(found or 0)


def _check_correction(tx: Transaction, reading: Reading) -> None:
    old = tx.run(select(readings).where(readings.c.id == reading.corrects)).first()
    if old is None or old.swatch_id != reading.swatch:
        raise InvalidInput(
            f"swatch {reading.swatch} has no reading {reading.corrects} that could be corrected", where="corrects"
        )
    if old.reads != str(reading.reads):
        raise InvalidInput(
            f"reading {reading.corrects} is of {old.reads}; a correction of it is too, not of {reading.reads.value}",
            where="corrects",
        )
    later = tx.run(select(readings).where(readings.c.corrects == reading.corrects)).first()
    if later is not None:
        raise Conflict(
            f"reading {reading.corrects} was corrected by {later.made_by} already, by reading {later.id}; "
            "correct that one",
            kind="reading",
            name=str(reading.corrects),
            present=_stored(later),
        )


def columns_of(reading: Reading, file_sha256: str | None) -> dict[str, Any]:
    """Columns of a reading's row that are its own."""
    text = json_text(value_document(reading.value, reading.reads))
    if len(text) > LARGEST:
        raise InvalidInput(f"the reading is longer than {LARGEST} characters, the most that is kept", where="value")
    photo = reading.value if reading.reads is Reads.PHOTO else None
    return {
        "swatch_id": reading.swatch,
        "reads": str(reading.reads),
        "part": storable("the part", reading.part, most=80),
        "area": storable("the area", reading.area, most=80),
        "document": text,
        "taken_at": reading.taken_at.astimezone(dt.UTC),
        "operator": storable("the operator", reading.operator, most=80),
        "corrects": reading.corrects,
        "note": storable("the note", reading.note, most=2000),
        "file_sha256": photo or file_sha256,
    }


def _stored(row: Row[Any]) -> StoredReading:
    reads = Reads(row.reads)
    return StoredReading(
        reading=Reading(
            swatch=row.swatch_id,
            reads=reads,
            value=value_from(json.loads(row.document), reads, where=f"reading {row.id}"),
            taken_at=row.taken_at,
            operator=row.operator,
            number=row.id,
            part=row.part,
            area=row.area,
            corrects=row.corrects,
            note=row.note,
        ),
        key=row.key,
        file_sha256=row.file_sha256,
        received_at=row.received_at,
        made_by=row.made_by,
    )
