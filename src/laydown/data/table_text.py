"""A table in long form: one value a row, every value with its unit, interval, source and place."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from laydown.data.catalogue import QuantityKind, Source
from laydown.data.unit_names import UNITS
from laydown.domain.quantity import Quantity
from laydown.errors import InvalidInput

COLUMNS = ("name", "quantity", "value", "unit", "low", "high", "source", "place")
HEADER = ",".join(COLUMNS)

_TO_SI = {unit.name: unit.to_si for unit in UNITS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Numbers and words of one table, by name and quantity."""

    numbers: dict[str, dict[str, Quantity]] = field(default_factory=dict)
    words: dict[str, dict[str, str]] = field(default_factory=dict)


def is_long_form(text: str) -> bool:
    """Whether a CSV text has the columns of the long form."""
    return any(row == HEADER for row in map(str.strip, text.splitlines()[:40]))


def parse_table(text: str, *, where: str, sources: Mapping[str, Source], kinds: Mapping[str, QuantityKind]) -> Table:
    """Read a table in long form.

    Parameters
    ----------
    text : str
        CSV with the columns of `COLUMNS`; lines that begin with ``#`` are comments. ``low`` and ``high`` are the
        90 % interval and are both given or both empty (then the interval is the value itself).
        A row whose quantity is a word has no unit and no interval.
    where : str
        Name of the file, for error messages.
    sources : mapping of str to Source
    kinds : mapping of str to QuantityKind

    Returns
    -------
    Table
        Numbers in SI units; the grade is that of the row's source; `Quantity.source` reads ``key: place``.

    Raises
    ------
    InvalidInput
        When a row has the wrong number of fields, an unknown quantity, source or word, a unit that does not fit,
        no finite number, a number out of bounds or outside its interval, no place, or stands twice.
    """
    table = Table()
    rows = _rows(text, where=where)
    line, header = next(rows, (1, []))
    if tuple(header) != COLUMNS:
        raise InvalidInput(f"the first line must read {HEADER!r}", where=f"{where}, line {line}")
    for line, fields in rows:
        place = f"{where}, line {line}"
        if len(fields) != len(COLUMNS):
            raise InvalidInput(f"{len(fields)} fields; a row has {len(COLUMNS)} ({HEADER})", where=place)
        row = dict(zip(COLUMNS, fields, strict=True))
        for column in ("name", "place"):
            if not row[column]:
                raise InvalidInput(f"the {column} is missing", where=place)
        kind = kinds.get(row["quantity"])
        if kind is None:
            raise InvalidInput(
                f"the quantity {row['quantity']!r} is unknown; quantities.toml lists what is allowed", where=place
            )
        source = sources.get(row["source"])
        if source is None:
            raise InvalidInput(
                f"the source {row['source']!r} is unknown; sources.toml lists what is allowed", where=place
            )
        name, quantity = row["name"], row["quantity"]
        if quantity in table.numbers.get(name, {}) or quantity in table.words.get(name, {}):
            raise InvalidInput(f"{quantity} of {name} stands twice; each value may stand once", where=place)
        if kind.words:
            table.words.setdefault(name, {})[quantity] = _word(row, kind, where=place)
        else:
            table.numbers.setdefault(name, {})[quantity] = _number(row, kind, source, where=place)
    return table


def _rows(text: str, *, where: str) -> Iterator[tuple[int, list[str]]]:
    for line, raw in enumerate(text.splitlines(), start=1):
        if raw.strip() and not raw.startswith("#"):
            try:
                fields = next(csv.reader([raw], strict=True))
            except csv.Error as error:
                raise InvalidInput(f"this is no CSV: {error}", where=f"{where}, line {line}") from None
            yield line, [item.strip() for item in fields]


def _word(row: dict[str, str], kind: QuantityKind, *, where: str) -> str:
    if row["value"] not in kind.words:
        raise InvalidInput(
            f"{kind.name} is {row['value']!r}; allowed are {', '.join(map(repr, kind.words))}", where=where
        )
    if row["unit"] or row["low"] or row["high"]:
        raise InvalidInput(f"{kind.name} is a word; it has no unit and no interval", where=where)
    return row["value"]


def _number(row: dict[str, str], kind: QuantityKind, source: Source, *, where: str) -> Quantity:
    if row["unit"] not in kind.units:
        raise InvalidInput(
            f"the unit {row['unit']!r} does not fit {kind.name}; allowed are {', '.join(kind.units)}", where=where
        )
    if bool(row["low"]) != bool(row["high"]):
        raise InvalidInput("low and high must both be given or both be empty", where=where)
    numbers = {}
    for column in ("value", "low", "high"):
        numbers[column] = _float(row[column] or row["value"], column, where=where)
        numbers[column] = _TO_SI[row["unit"]](numbers[column])
        # A last digit lost in the conversion must not push a value off its own bound.
        slack = 1e-12 * max(abs(kind.low), abs(kind.high))
        if not kind.low - slack <= numbers[column] <= kind.high + slack:
            raise InvalidInput(
                f"{kind.name} of {row['name']}: {column} is {numbers[column]:g} {kind.unit}; "
                f"allowed is {kind.low:g} to {kind.high:g} {kind.unit}",
                where=where,
            )
    if not numbers["low"] <= numbers["value"] <= numbers["high"]:
        raise InvalidInput(
            f"{kind.name} of {row['name']}: the value {row['value']} lies outside its own interval "
            f"{row['low']} to {row['high']}; low <= value <= high must hold",
            where=where,
        )
    return Quantity(**numbers, grade=source.grade, source=f"{source.key}: {row['place']}")


def _float(text: str, column: str, *, where: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise InvalidInput(f"{column} is {text!r}; it must be a finite number", where=where)
    return number
