"""Lists of masses and tones as people keep them: one line a weighed piece, a weighed card or a patch of a strip."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from laydown.documents.sentences import nearest
from laydown.domain.protocol import Reads
from laydown.errors import InvalidInput
from laydown.units import from_gram, from_percent

MOST = 2000
"""Readings of one list."""

LARGEST = 200_000
"""Characters of a list."""

HEAVIEST_G = 10_000.0
"""Mass beyond which a cell is a slip [g]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedReading:
    """One cell of a list.

    Attributes
    ----------
    line : int
        Of the file.
    swatch : int
    reads : Reads
    part, area : str
    value : float
        Mass [kg] or tone (share of one).
    taken_at : datetime or None
        With its time zone; None: the list does not say.
    """

    line: int
    swatch: int
    reads: Reads
    part: str
    area: str
    value: float
    taken_at: dt.datetime | None


MASSES = (("before_g", "before"), ("after_g", "after"), ("bare_card_g", "bare card"), ("wet_card_g", "wet card"))
"""Columns of masses [g], and the part of the test that each is of."""

FILM, PRINT = "film_percent", "print_percent"

COLUMNS = ("swatch", "piece", *(column for column, _ in MASSES), FILM, PRINT, "taken_at")


def read_list(name: str, text: str, *, zone: dt.tzinfo | None = None) -> tuple[ListedReading, ...]:
    """Readings of a list in CSV.

    Empty lines and lines that begin with ``#`` are passed over; the first other line names the columns: ``swatch`` with
    ``before_g`` and ``after_g`` (and ``piece``), or ``bare_card_g`` and ``wet_card_g``, or ``film_percent`` and
    ``print_percent``; ``taken_at`` if wanted. Cells are parted by commas, semicolons or tabs; between semicolons and
    tabs numbers may have a decimal comma. An empty cell is no reading.

    Parameters
    ----------
    name : str
        Of the file, for what is said of it.
    zone : tzinfo, optional
        Of moments that name none; None: such moments are refused.

    Returns
    -------
    tuple of ListedReading

    Raises
    ------
    InvalidInput
        In one sentence with file and line, when anything cannot be read; nothing is half read.
    """
    if len(text) > LARGEST:
        raise InvalidInput(f"the list has {len(text)} characters; allowed are up to {LARGEST}", where=name)
    found: list[ListedReading] = []
    header: list[str] = []
    mark = ","
    for line, raw in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        if not raw.strip() or raw.lstrip().startswith("#"):
            continue
        where = f"{name}, line {line}"
        if not header:
            mark = next((one for one in ("\t", ";") if one in raw), ",")
        try:
            cells = [cell.strip() for cell in next(csv.reader([raw], delimiter=mark, strict=True))]
        except csv.Error as error:
            raise InvalidInput(f"this line is not CSV ({error})", where=where) from None
        if not header:
            header = [cell.casefold() for cell in cells]
            _check_header(header, where)
            continue
        if len(cells) != len(header):
            raise InvalidInput(
                f"{len(cells)} cells, but the head of the list has {len(header)}: {', '.join(header)}", where=where
            )
        found += _readings(dict(zip(header, cells, strict=True)), line, where, zone)
        if len(found) > MOST:
            raise InvalidInput(f"the list holds more than {MOST} readings, the most that are taken at once", where=name)
    if not header:
        raise InvalidInput(
            f"the head with the names of the columns is missing; allowed are {', '.join(COLUMNS)}", where=name
        )
    if not found:
        raise InvalidInput("the list holds no reading", where=name)
    return tuple(found)


def _check_header(header: list[str], where: str) -> None:
    for column in header:
        if column not in COLUMNS:
            raise InvalidInput(f"the column {column!r} is unknown; {nearest(column, COLUMNS)}", where=where)
        if header.count(column) > 1:
            raise InvalidInput(f"the column {column!r} stands twice", where=where)
    if "swatch" not in header:
        raise InvalidInput("the column 'swatch' is missing; each line names its swatch by its number", where=where)
    if (FILM in header) != (PRINT in header):
        raise InvalidInput(f"a strip needs both columns, {FILM} and {PRINT}", where=where)
    if PRINT not in header and not any(column in header for column, _ in MASSES):
        raise InvalidInput(
            f"no column holds a reading; columns of readings are {', '.join(column for column, _ in MASSES)}, {PRINT}",
            where=where,
        )


def _readings(row: Mapping[str, str], line: int, where: str, zone: dt.tzinfo | None) -> list[ListedReading]:
    number = row["swatch"]
    if not number.isdecimal() or len(number) > 10 or not 0 < int(number) < 2**31:
        raise InvalidInput(f"{number[:40]!r} is no swatch's number", where=where)
    piece, taken_at = row.get("piece", ""), _moment(row.get("taken_at", ""), where, zone)
    found = []

    def take(reads: Reads, part: str, area: str, value: float) -> None:
        found.append(
            ListedReading(
                line=line, swatch=int(number), reads=reads, part=part, area=area, value=value, taken_at=taken_at
            )
        )

    for column, part in MASSES:
        if row.get(column):
            mass = _number(row[column], column, where, 0.0, HEAVIEST_G)
            take(Reads.MASS, part, piece if part in {"before", "after"} else "", from_gram(mass))
    if row.get(PRINT) or row.get(FILM):
        if not (row.get(PRINT) and row.get(FILM)):
            raise InvalidInput(f"a patch needs both, {FILM} and {PRINT}", where=where)
        film = _number(row[FILM].rstrip(" %"), FILM, where, 0.0, 100.0)
        printed = _number(row[PRINT].rstrip(" %"), PRINT, where, 0.0, 100.0)
        take(Reads.TONE, "strip", f"{film:g} %", from_percent(printed))
    return found


def _number(cell: str, column: str, where: str, low: float, high: float) -> float:
    try:
        value = float(cell.replace(",", "."))
    except ValueError:
        raise InvalidInput(f"{column} is {cell[:40]!r}; a number is needed", where=where) from None
    if not low <= value <= high:
        raise InvalidInput(f"{column} is {cell[:40]}; allowed are {low:g} to {high:g}", where=where)
    return value


def _moment(cell: str, where: str, zone: dt.tzinfo | None) -> dt.datetime | None:
    if not cell:
        return None
    try:
        moment = dt.datetime.fromisoformat(cell)
        if moment.tzinfo is None and zone is not None:
            moment = moment.replace(tzinfo=zone)
        if moment.tzinfo is not None:
            # Kept in universal time, which the first and the last days of the calendar may not reach.
            return moment.astimezone(dt.UTC)
    except (ValueError, OverflowError):
        raise InvalidInput(f"{cell[:40]!r} is no moment; write it as 2026-11-20T14:30", where=where) from None
    raise InvalidInput(f"{cell!r} does not say its time zone", where=where)
