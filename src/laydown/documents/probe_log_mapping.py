"""Which column of a logger's file is what: guessed from heads and values, kept as JSON."""

from __future__ import annotations

import itertools
import json
import re
from collections.abc import Mapping
from statistics import median_low
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from laydown.documents.probe_log_cells import Cell, clock_seconds, kind_of, number, unit_letter
from laydown.documents.probe_log_sheet import ProbeSheet
from laydown.documents.sentences import validated
from laydown.domain.probe_log import MOST_CHANNELS, ColumnUse, DegreeUnit, Lane, ProbeMapping, Spot
from laydown.errors import InvalidInput

LOOKED_AT = 500
"""Rows that a guess rests on."""

FAHRENHEIT_PEAK, FAHRENHEIT_START = 265.0, 55.0
"""A print peaks at 120 to 200 °C, which is 250 to 390 °F, from a shop's 15 to 45 °C, which is 60 to 110 °F."""

_TIME = re.compile(
    r"\b(time|zeit|elapsed|clock|seconds?|secs?|uhrzeit|timestamp|heure|temps|min|hh:mm:ss|s)\b", re.IGNORECASE
)
_NOT_A_CHANNEL = re.compile(
    r"\b(index|nr|no|num|number|count|sample|event|mark|marker|battery|humidity|rh|speed|belt|setpoint|set point|panel"
    r"|date|id|status|alarm)\b|#|%",
    re.IGNORECASE,
)
_LANES = (
    (Lane.LEFT, re.compile(r"\b(left|links?|l|gauche|near)\b", re.IGNORECASE)),
    (Lane.RIGHT, re.compile(r"\b(right|rechts?|r|droite|far)\b", re.IGNORECASE)),
    (Lane.CENTRE, re.compile(r"\b(cent(re|er)|middle|mitte|m|mid)\b", re.IGNORECASE)),
)
_AIR = re.compile(r"\b(air|ambient|luft|umgebung|room)\b", re.IGNORECASE)
_UNDER = re.compile(r"\b(under|below|beneath|inside|unter|back)\b", re.IGNORECASE)
_CELSIUS = re.compile(r"[°º]\s*c\b|\bdeg\.?\s*c\b|\bcelsius\b|[\[(]\s*c\s*[\])]|[_ ]c$", re.IGNORECASE)
_FAHRENHEIT = re.compile(r"[°º]\s*f\b|\bdeg\.?\s*f\b|\bfahrenheit\b|[\[(]\s*f\s*[\])]|[_ ]f$", re.IGNORECASE)
_UNIT = re.compile(
    r"[\[(]?\s*[°º]\s*[cf]\b\s*[\])]?|[\[(]\s*(?:deg\.?\s*)?[cf]\s*[\])]|\bdeg\.?\s*[cf]\b", re.IGNORECASE
)
_SPREAD = {1: (Lane.CENTRE,), 2: (Lane.LEFT, Lane.RIGHT), 3: (Lane.LEFT, Lane.CENTRE, Lane.RIGHT)}


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ColumnEntry(_Strict):
    """A column with a thermocouple."""

    column: Annotated[int, Field(ge=0, le=199, description="Column, counted from 0.")]
    name: Annotated[str, Field(min_length=1, max_length=80, description="Name of the channel.")]
    lane: Annotated[Lane, Field(description="Where across the belt.")]
    spot: Annotated[Spot, Field(description="What the thermocouple touches.")]


class MappingEntry(_Strict):
    """How a logger's file is laid out."""

    time_column: Annotated[int, Field(ge=0, le=199, description="Column with the time, counted from 0.")]
    channels: Annotated[
        tuple[ColumnEntry, ...],
        Field(min_length=1, max_length=MOST_CHANNELS, description="Columns with a thermocouple each."),
    ]
    unit: Annotated[DegreeUnit, Field(description="C or F.")]


def mapping_text(mapping: ProbeMapping) -> str:
    """JSON of a mapping."""
    return json.dumps(
        {
            "time_column": mapping.time_column,
            "unit": str(mapping.unit),
            "channels": [
                {"column": one.column, "name": one.name, "lane": str(one.lane), "spot": str(one.spot)}
                for one in mapping.channels
            ],
        },
        sort_keys=True,
    )


def mapping_from(document: str | Mapping[str, Any], *, where: str = "mapping") -> ProbeMapping:
    """Mapping of a JSON text or table.

    Raises
    ------
    InvalidInput
        When it is none.
    """
    if isinstance(document, str):
        try:
            document = json.loads(document)
        except (ValueError, RecursionError):
            raise InvalidInput("this is not JSON", where=where) from None
    entry = validated(MappingEntry, document, where=where)
    return ProbeMapping(
        time_column=entry.time_column,
        unit=entry.unit,
        channels=tuple(
            ColumnUse(column=one.column, name=one.name, lane=one.lane, spot=one.spot) for one in entry.channels
        ),
    )


def guess_mapping(sheet: ProbeSheet) -> tuple[ProbeMapping, tuple[str, ...]]:
    """Mapping that a file seems to have, and what it rests on, in words.

    Raises
    ------
    InvalidInput
        When no column can be the time, or none a temperature.
    """
    told: list[str] = []
    time = _time_column(sheet)
    told.append(f"the time is taken from {sheet.heads[time]!r}")
    unit, why = _unit(sheet, time)
    columns = [i for i in range(len(sheet.heads)) if i != time and _holds_temperatures(sheet, i, unit)]
    if not columns:
        raise InvalidInput(
            f"no column but {sheet.heads[time]!r} holds temperatures; a column of readings between -50 and 1300 °C is "
            "needed",
            where=sheet.where,
        )
    if len(columns) > MOST_CHANNELS:
        told.append(f"{len(columns)} columns hold temperatures; the first {MOST_CHANNELS} are taken")
        columns = columns[:MOST_CHANNELS]
    told.append(f"temperatures are in °{unit}, {why}")
    return ProbeMapping(time_column=time, unit=unit, channels=_uses(sheet, columns)), tuple(told)


def check_mapping(sheet: ProbeSheet, mapping: ProbeMapping) -> None:
    """Raise InvalidInput when a mapping names a column that the file does not have."""
    most = max([mapping.time_column, *(one.column for one in mapping.channels)])
    if most >= len(sheet.heads):
        raise InvalidInput(
            f"column {most + 1} is asked for, but the file has {len(sheet.heads)}: {', '.join(sheet.heads)}",
            where=sheet.where,
        )


def _time_column(sheet: ProbeSheet) -> int:
    rising = [i for i in range(len(sheet.heads)) if _rises(sheet.column(i)[:LOOKED_AT])]
    # A column that is called so may hold a slip or two, which are told later with their lines.
    named = [
        i
        for i, head in enumerate(sheet.heads)
        if sheet.headed and _TIME.search(head) and _rises(sheet.column(i)[:LOOKED_AT], known_share=0.5)
    ]
    # A running number rises too; a clock beside it is the better time.
    clocks = [i for i in rising if any(kind_of(cell) is Cell.CLOCK for cell in sheet.column(i)[:LOOKED_AT])]
    unnamed = [i for i in rising if not _NOT_A_CHANNEL.search(sheet.heads[i])]
    for choice in (named, clocks, unnamed):
        if choice:
            return choice[0]
    raise InvalidInput(
        "no column holds times that rise; allowed are seconds (0, 0.5, 1 ...) or clock times (14:03:05)",
        where=sheet.where,
    )


def _rises(cells: list[str], *, known_share: float = 0.8) -> bool:
    values = [_time_value(cell) for cell in cells if kind_of(cell) is not Cell.MISSING]
    known = [value for value in values if value is not None]
    if len(known) < 2 or len(known) < known_share * len(cells):
        return False
    falls = sum(later < earlier for earlier, later in itertools.pairwise(known))
    # A clock falls once, at midnight; a slip in one line is told later, with its line.
    return falls <= 1 + len(known) // 20 and known[-1] != known[0] and len(set(known)) > len(known) // 20


def _time_value(cell: str) -> float | None:
    return clock_seconds(cell) if kind_of(cell) is Cell.CLOCK else number(cell)


def _holds_temperatures(sheet: ProbeSheet, column: int, unit: DegreeUnit) -> bool:
    if _NOT_A_CHANNEL.search(sheet.heads[column]) or _is_time(sheet, column):
        return False
    cells = [cell for cell in sheet.column(column) if kind_of(cell) is not Cell.MISSING]
    values = [value for value in (number(cell) for cell in cells) if value is not None]
    low, high = (-50.0, 1300.0) if unit is DegreeUnit.CELSIUS else (-58.0, 2372.0)
    return len(values) >= 2 and len(values) >= 0.5 * len(cells) and low <= median_low(values) <= high


def _is_time(sheet: ProbeSheet, column: int) -> bool:
    return sheet.headed and bool(_TIME.search(sheet.heads[column])) and _rises(sheet.column(column)[:LOOKED_AT])


def _unit(sheet: ProbeSheet, time: int) -> tuple[DegreeUnit, str]:
    heads = [head for i, head in enumerate(sheet.heads) if i != time]
    for texts, why in ((heads, "as the head says"), (sheet.preamble, "as the lines above the readings say")):
        fahrenheit = sum(bool(_FAHRENHEIT.search(text)) for text in texts)
        celsius = sum(bool(_CELSIUS.search(text)) for text in texts)
        if fahrenheit != celsius:
            return (DegreeUnit.FAHRENHEIT if fahrenheit > celsius else DegreeUnit.CELSIUS), why
    cells = [cell for i in range(len(sheet.heads)) if i != time for cell in sheet.column(i)[:LOOKED_AT]]
    letters = [letter for letter in map(unit_letter, cells) if letter]
    if letters:
        return DegreeUnit(max(set(letters), key=letters.count)), "as it stands behind the numbers"
    likely = []
    for i in range(len(sheet.heads)):
        values = [value for value in map(number, sheet.column(i)) if value is not None]
        if i != time and len(values) >= 2 and not _NOT_A_CHANNEL.search(sheet.heads[i]) and not _is_time(sheet, i):
            likely.append((max(values), min(values)))
    hot = [peak > FAHRENHEIT_PEAK and start > FAHRENHEIT_START for peak, start in likely]
    if likely and sum(hot) > len(hot) / 2:
        return DegreeUnit.FAHRENHEIT, "by their size (no unit is named; check it)"
    return DegreeUnit.CELSIUS, "by their size (no unit is named; check it)"


def _uses(sheet: ProbeSheet, columns: list[int]) -> tuple[ColumnUse, ...]:
    heads = [sheet.heads[i] for i in columns]
    lanes: list[Lane | None] = [
        next((lane for lane, words in _LANES if words.search(head.replace("_", " "))), None) for head in heads
    ]
    spots = [
        Spot.AIR
        if _AIR.search(head.replace("_", " "))
        else Spot.UNDER_PRINT
        if _UNDER.search(head.replace("_", " "))
        else Spot.ON_PRINT
        for head in heads
    ]
    unsaid = [i for i, lane in enumerate(lanes) if lane is None and spots[i] is not Spot.AIR]
    said = any(lanes)
    spread = () if said else _SPREAD.get(len(unsaid), ())
    for place, i in enumerate(unsaid):
        lanes[i] = spread[place] if place < len(spread) else Lane.CENTRE
    names: list[str] = []
    for i, head in enumerate(heads):
        plain = " ".join(_UNIT.sub(" ", head).split()) or head
        names.append(plain if plain not in names else f"{plain} ({columns[i] + 1})")
    return tuple(
        ColumnUse(column=column, name=name, lane=lane or Lane.CENTRE, spot=spot)
        for column, name, lane, spot in zip(columns, names, lanes, spots, strict=True)
    )
