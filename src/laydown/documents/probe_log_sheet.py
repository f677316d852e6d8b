"""Rows and columns of a thermocouple logger's file, in whatever way it parts them."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass

from laydown.documents.measurement_text import decoded, refuse_large
from laydown.documents.probe_log_cells import Cell, decimal_sign, kind_of
from laydown.documents.sentences import shown_value
from laydown.errors import InvalidInput

DELIMITERS = ("\t", ";", "|", ",")
DELIMITER_WORDS = {"\t": "tabs", ";": "semicolons", "|": "bars", ",": "commas"}
COMMENTS = ("#", "%", "//", "!")
MOST_COLUMNS = 200
MOST_ROWS = 200_000
TRIED = 400
"""Lines that decide on the delimiter."""

_READ = frozenset({Cell.NUMBER, Cell.CLOCK})
_UNITS = frozenset(
    {
        "", "s", "sec", "secs", "seconds", "ms", "min", "minutes", "h", "hh:mm:ss", "mm:ss", "hh:mm:ss.0",
        "c", "f", "°c", "°f", "ºc", "ºf", "degc", "degf", "deg c", "deg f", "celsius", "fahrenheit",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeSheet:
    """A file cut into cells.

    Attributes
    ----------
    where : str
        Name of the file, for sentences.
    delimiter, decimal : str
        ``decimal`` is ``.`` or ``,``.
    heads : tuple of str
        Name of each column, its unit behind it; ``column 1`` and so on in a file without a head.
    headed : bool
        Whether the file names its columns.
    rows : tuple of (int, tuple of str)
        Line and cells of every row of readings.
    preamble : tuple of str
        Lines before the head, and comments.
    passed_over : tuple of (int, str)
        Line and text of what stands among the readings and is none.
    """

    where: str
    delimiter: str
    decimal: str
    heads: tuple[str, ...]
    headed: bool
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    preamble: tuple[str, ...]
    passed_over: tuple[tuple[int, str], ...]

    @property
    def layout(self) -> str:
        """What files of the same logger share: delimiter and heads."""
        heads = "|".join(" ".join(head.lower().split()) for head in self.heads) if self.headed else ""
        return f"{DELIMITER_WORDS[self.delimiter]}, {len(self.heads)} columns: {heads}"[:1000]

    def column(self, index: int) -> list[str]:
        """Cells of a column; empty where a row is too short."""
        return [cells[index] if index < len(cells) else "" for _, cells in self.rows]


def probe_sheet(content: bytes, *, where: str) -> ProbeSheet:
    """Cut a logger's file into cells.

    Parameters
    ----------
    content : bytes
        UTF-8, UTF-16 with a byte order mark, or Windows-1252.
    where : str
        Name of the file, for sentences.

    Raises
    ------
    InvalidInput
        When it is empty, too large, no text, or holds no rows of at least a time and a temperature.
    """
    refuse_large(content, where=where)
    text, _ = decoded(content, where=where)
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    comments = [line for _, line in lines if line.lstrip().startswith(COMMENTS)]
    lines = [(number, line) for number, line in lines if not line.lstrip().startswith(COMMENTS)]
    delimiter = _delimiter([line for _, line in lines], where=where)
    cut = [(number, _cells(line, delimiter)) for number, line in lines]
    first = _first_reading([cells for _, cells in cut])
    rows = [(number, cells) for number, cells in cut[first:] if _has_reading(cells)]
    if len(rows) > MOST_ROWS:
        raise InvalidInput(f"{len(rows)} rows of readings; allowed are up to {MOST_ROWS}", where=where)
    columns = max(len(cells) for _, cells in rows)
    if columns > MOST_COLUMNS:
        raise InvalidInput(f"{columns} columns; allowed are up to {MOST_COLUMNS}", where=where)
    heads, used = _heads(cut[:first], columns)
    named = tuple(heads) if heads else tuple(f"column {number}" for number in range(1, columns + 1))
    return ProbeSheet(
        where=where,
        delimiter=delimiter,
        decimal=_decimal(rows),
        heads=named,
        headed=bool(heads),
        rows=tuple(rows),
        preamble=(*comments, *(delimiter.join(cells) for _, cells in cut[: first - used])),
        passed_over=tuple(
            (number, shown_value(delimiter.join(cells)))
            for number, cells in cut[first:]
            if not _has_reading(cells) and tuple(cells) != tuple(cut[first - 1][1] if first else ())
        ),
    )


def _cells(line: str, delimiter: str) -> tuple[str, ...]:
    try:
        cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(delimiter)
    cells = [" ".join(cell.split()) for cell in cells]
    while cells and not cells[-1]:
        cells.pop()
    return tuple(cells)


def _delimiter(lines: Sequence[str], *, where: str) -> str:
    """Whichever parts the most lines into cells that can all be read."""
    tried = lines[:TRIED]
    scores = {}
    for delimiter in DELIMITERS:
        rows = [_cells(line, delimiter) for line in tried if delimiter in line]
        scores[delimiter] = sum(1.0 - 0.9 * _share_of_text(cells) for cells in rows if _is_reading(cells))
    # A comma may part decimals, the others part columns only: one of them that fits is it, however often commas do too.
    best = max(DELIMITERS[:-1], key=lambda delimiter: scores[delimiter])
    if scores[best] < 1.5 and scores[","] > scores[best]:
        best = ","
    if scores[best] <= 0 or not any(_is_reading(_cells(line, best)) for line in lines):
        raise InvalidInput(
            "no rows with a time and a temperature were found; allowed are columns parted by tabs, semicolons, bars or "
            "commas, with times in seconds or as a clock shows them",
            where=where,
        )
    return best


def _is_reading(cells: Sequence[str]) -> bool:
    kinds = [kind_of(cell) for cell in cells]
    read = sum(kind in _READ for kind in kinds)
    return read >= 2 and read > sum(kind is Cell.TEXT for kind in kinds)


def _first_reading(rows: Sequence[Sequence[str]]) -> int:
    """Where the readings begin: a line above them that holds two numbers by chance is not followed by others."""
    found = [i for i, cells in enumerate(rows) if _is_reading(cells)]
    for i in found:
        if i + 1 in found or i + 2 in found:
            return i
    return found[0]


def _has_reading(cells: Sequence[str]) -> bool:
    return any(kind_of(cell) in _READ for cell in cells)


def _share_of_text(cells: Sequence[str]) -> float:
    return sum(kind_of(cell) is Cell.TEXT for cell in cells) / max(len(cells), 1)


def _heads(before: Sequence[tuple[int, tuple[str, ...]]], columns: int) -> tuple[list[str], int]:
    """Names of the columns, and how many lines they take: the line above the readings, with a line of units or not."""
    if not before:
        return [], 0
    last = before[-1][1]
    units: tuple[str, ...] = ()
    used = 1
    if len(before) > 1 and all(cell.lower().strip("[]() ") in _UNITS for cell in last):
        units, last, used = last, before[-2][1], 2
    if sum(bool(cell) for cell in last) < 2:
        return [], 0
    heads = [
        " ".join(f"{last[i] if i < len(last) else ''} {units[i] if i < len(units) else ''}".split())[:60]
        or f"column {i + 1}"
        for i in range(max(columns, len(last)))
    ]
    return heads[:MOST_COLUMNS], used


def _decimal(rows: Sequence[tuple[int, tuple[str, ...]]]) -> str:
    signs = [decimal_sign(cell) for _, cells in rows for cell in cells if kind_of(cell) is Cell.NUMBER]
    return "," if signs.count(",") > signs.count(".") else "."
