"""Logs of thermocouples: a logger's file as a record, and what was understood of it."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass

from laydown.documents.probe_log_cells import Cell, clock_seconds, kind_of, number, past_midnight
from laydown.documents.probe_log_mapping import check_mapping, guess_mapping
from laydown.documents.probe_log_sheet import DELIMITER_WORDS, ProbeSheet, probe_sheet
from laydown.documents.sentences import shown_value, told_at
from laydown.domain.probe_log import ColumnUse, DegreeUnit, ProbeChannel, ProbeLog, ProbeMapping
from laydown.errors import InvalidInput
from laydown.units import MINUTE, from_celsius, from_fahrenheit

_MILLISECONDS = re.compile(r"\bms\b|millisec", re.IGNORECASE)
_MINUTES = re.compile(r"\bmin(utes?)?\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbePreview:
    """What was understood of a file, before it is kept.

    Attributes
    ----------
    layout : str
        What files of the same logger share; mappings are remembered by it.
    heads : tuple of str
        Every column.
    sample : tuple of (int, tuple of str)
        Line and cells of the first rows.
    mapping : ProbeMapping
    told : tuple of str
        Sentences: what was taken as what, and what was passed over.
    log : ProbeLog or None
        None when the file cannot be read with this mapping; ``problem`` then says why.
    """

    layout: str
    heads: tuple[str, ...]
    sample: tuple[tuple[int, tuple[str, ...]], ...]
    mapping: ProbeMapping
    told: tuple[str, ...]
    log: ProbeLog | None
    problem: InvalidInput | None


def read_probe_log(content: bytes, *, where: str, mapping: ProbeMapping | None = None) -> ProbeLog:
    """Log of a file.

    Parameters
    ----------
    content : bytes
    where : str
        Name of the file, for sentences.
    mapping : ProbeMapping or None
        None: guessed.

    Raises
    ------
    InvalidInput
        With file and line, when something in it cannot be read.
    """
    sheet = probe_sheet(content, where=where)
    return log_of(sheet, mapping or guess_mapping(sheet)[0])


def preview_probe_log(content: bytes, *, where: str, mapping: ProbeMapping | None = None) -> ProbePreview:
    """Show what is understood of a file.

    Raises
    ------
    InvalidInput
        When not even its columns can be made out.
    """
    sheet = probe_sheet(content, where=where)
    guessed, why = (mapping, ()) if mapping is not None else guess_mapping(sheet)
    told = [
        f"{len(sheet.rows)} rows of readings, columns parted by {DELIMITER_WORDS[sheet.delimiter]}, decimal "
        f"{'comma' if sheet.decimal == ',' else 'point'}"
        + ("" if sheet.headed else ", no line that names the columns"),
        *why,
    ]
    log, problem = None, None
    try:
        log = log_of(sheet, guessed)
    except InvalidInput as error:
        problem = error
    if log is not None:
        told += _gaps(sheet, log)
    for line, text in sheet.passed_over[:5]:
        told.append(f"line {line} is passed over: {text}")
    return ProbePreview(
        layout=sheet.layout,
        heads=sheet.heads,
        sample=sheet.rows[:8],
        mapping=guessed,
        told=tuple(told),
        log=log,
        problem=problem,
    )


def log_of(sheet: ProbeSheet, mapping: ProbeMapping) -> ProbeLog:
    """Log of a file that is cut into cells.

    Raises
    ------
    InvalidInput
        With file and line.
    """
    check_mapping(sheet, mapping)
    times = _times(sheet, mapping.time_column)
    channels = tuple(_channel(sheet, use, mapping.unit, times) for use in mapping.channels)
    with told_at(sheet.where):
        return ProbeLog(channels=channels)


def _channel(sheet: ProbeSheet, use: ColumnUse, unit: DegreeUnit, times: list[float | None]) -> ProbeChannel:
    convert = from_celsius if unit is DegreeUnit.CELSIUS else from_fahrenheit
    kept: list[tuple[float, float]] = []
    for (line, cells), seconds in zip(sheet.rows, times, strict=True):
        cell = cells[use.column] if use.column < len(cells) else ""
        if kind_of(cell) is Cell.MISSING:
            continue
        value = number(cell)
        where = f"{sheet.where}, line {line}"
        if value is None:
            raise InvalidInput(
                f"{use.name!r} reads {shown_value(cell)}, which is no temperature; a number or nothing is needed",
                where=where,
            )
        if seconds is None:
            raise InvalidInput(f"{use.name!r} has a reading, but the row has no time", where=where)
        kelvin = convert(value)
        if not 200.0 <= kelvin <= 1600.0:
            raise InvalidInput(
                f"{use.name!r} reads {shown_value(cell)}, which no thermocouple in a dryer does; allowed are -73 to "
                "1326 °C (-100 to 2420 °F), and nothing where none was read",
                where=where,
            )
        kept.append((seconds, kelvin))
    with told_at(sheet.where):
        return ProbeChannel(
            name=use.name,
            lane=use.lane,
            spot=use.spot,
            times=tuple(t for t, _ in kept),
            temperatures=tuple(k for _, k in kept),
        )


def _times(sheet: ProbeSheet, column: int) -> list[float | None]:
    """Seconds from the first row; None where a row has no time. Rows that share a time are spread over its length."""
    head = sheet.heads[column]
    factor = 1e-3 if _MILLISECONDS.search(head) else MINUTE if _MINUTES.search(head) else 1.0
    found: list[float | None] = []
    before: float | None = None
    for (line, _), cell in zip(sheet.rows, sheet.column(column), strict=True):
        kind = kind_of(cell)
        if kind is Cell.MISSING:
            found.append(None)
            continue
        value = clock_seconds(cell) if kind is Cell.CLOCK else number(cell)
        where = f"{sheet.where}, line {line}"
        if value is None:
            raise InvalidInput(
                f"the time reads {shown_value(cell)}; seconds such as 12.5 or a clock time such as 14:03:05 is needed",
                where=where,
            )
        if kind is not Cell.CLOCK:
            value *= factor
        elif before is not None:
            value = past_midnight(value, before)
        if before is not None and value < before:
            raise InvalidInput(
                f"the time {shown_value(cell)} lies before that of the row above; times rise", where=where
            )
        before = value
        found.append(value)
    return _spread(found, where=sheet.where)


def _spread(times: list[float | None], *, where: str) -> list[float | None]:
    known = [t for t in times if t is not None]
    distinct = sorted(set(known))
    if len(distinct) < 2:
        raise InvalidInput("the time does not move on; at least two times are needed", where=where)
    start = distinct[0]
    step = dict(zip(distinct, [b - a for a, b in itertools.pairwise(distinct)], strict=False))
    step[distinct[-1]] = distinct[-1] - distinct[-2]
    count: dict[float, int] = {}
    for t in known:
        count[t] = count.get(t, 0) + 1
    seen: dict[float, int] = {}

    def moved(t: float) -> float:
        place = seen.get(t, 0)
        seen[t] = place + 1
        return t - start + step[t] * place / count[t]

    return [None if t is None else moved(t) for t in times]


def _gaps(sheet: ProbeSheet, log: ProbeLog) -> list[str]:
    told = []
    for channel in log.channels:
        missing = len(sheet.rows) - len(channel.times)
        if missing:
            told.append(f"{channel.name!r} has no reading in {missing} of {len(sheet.rows)} rows")
    return told
