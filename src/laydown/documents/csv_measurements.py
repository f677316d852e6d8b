"""Measurements of a table of text with any delimiter: one row a sample, or one row a wavelength.

Nothing is laid down for such files, so the mapping is guessed by the headings and told for a look before it is kept.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from laydown.documents.measurement_columns import Columns, band_of, columns_of, role_of
from laydown.documents.measurement_file import Asked, MeasurementFile, file_of_parts
from laydown.documents.measurement_rows import Row, part_of_rows
from laydown.documents.measurement_text import LONGEST_NUMBER, number
from laydown.documents.measurement_words import FIELDS, condition_of
from laydown.domain.measurement import LONGEST_NM, SHORTEST_NM
from laydown.errors import InvalidInput

DELIMITERS = (("\t", "tab"), (";", "semicolon"), ("|", "bar"), (",", "comma"), (" ", "blanks"))
"""Delimiters, the likelier first: one that never stands inside a number before the comma."""

MOST_LINES_BEFORE_HEAD = 60
"""Lines that instruments write before their table."""

WAVELENGTH_WORDS = frozenset({"WAVELENGTH", "WAVELENGTHNM", "NM", "LAMBDA", "Λ", "WL", "WAVE"})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Head:
    """Head of a table: delimiter, line, headings, and pairs of word and value that stand before it."""

    delimiter: str
    line: int
    titles: tuple[str, ...]
    before: tuple[tuple[str, str], ...]


def read_csv_measurements(text: str, asked: Asked, *, name: str, coding: str) -> MeasurementFile:
    """Measurements of a table of text.

    Raises
    ------
    InvalidInput
        When no line has headings of a colour or of wavelengths, or a row is bad.
    """
    lines = [(number, raw) for number, raw in enumerate(text.split("\n"), start=1) if _counts(raw)]
    head = _head(lines, name=name)
    delimiter = dict(DELIMITERS)[head.delimiter]
    rows = [
        Row(line=at, cells=_cells(raw, head.delimiter, where=f"{name}, line {at}"))
        for at, raw in lines
        if at > head.line
    ]
    if _standing(head.titles):
        columns, rows = _turned(head, rows, name=name)
        shape = f"one row a wavelength, parted by {delimiter}, {coding}"
    else:
        try:
            columns = columns_of(head.titles)
        except InvalidInput as error:
            raise InvalidInput(error.what, where=f"{name}, line {head.line}") from None
        rows = [_fitted(row, len(head.titles)) for row in rows]
        shape = f"one row a sample, parted by {delimiter}, {coding}"
    said = {field: value for field, value in head.before if value}
    part = part_of_rows(columns, rows, asked, file=name, said=said, comma=head.delimiter != ",")
    warnings = list(part.warnings)
    nobody = [one for one in part.measurements if one.lab is not None and not one.conditions.condition]
    if nobody:
        warnings.append("nobody said illuminant and observer of L*, a*, b*")
    return file_of_parts(name, "CSV", shape, (replace(part, warnings=tuple(warnings)),))


def _counts(raw: str) -> bool:
    return bool(raw.strip(" \t;,|")) and not raw.lstrip().startswith("#")


def _cells(raw: str, delimiter: str, *, where: str) -> tuple[str, ...]:
    if delimiter == " ":
        return tuple(raw.split())
    try:
        return tuple(cell.strip() for cell in next(csv.reader([raw], delimiter=delimiter, strict=True)))
    except csv.Error as error:
        raise InvalidInput(f"this line cannot be parted into cells ({error})", where=where) from None


def _fitted(row: Row, width: int) -> Row:
    """Row without the empty cells that a trailing delimiter leaves behind the last column."""
    cells = row.cells
    while len(cells) > width and not cells[-1]:
        cells = cells[:-1]
    return Row(line=row.line, cells=cells)


def _head(lines: Sequence[tuple[int, str]], *, name: str) -> _Head:
    best: tuple[tuple[int, int], _Head] | None = None
    for delimiter, _ in DELIMITERS:
        before: list[tuple[str, str]] = []
        for place, (at, raw) in enumerate(lines[:MOST_LINES_BEFORE_HEAD]):
            if delimiter != " " and delimiter not in raw and band_of(raw.strip())[0] == 0:
                before += _said_before(raw, delimiter)
                continue
            try:
                titles = _cells(raw, delimiter, where="")
            except InvalidInput:
                continue
            while titles and not titles[-1]:
                titles = titles[:-1]
            if _worth(titles):
                # A delimiter that parts the rows as it parts the head is the right one.
                fits = sum(_parts_alike(raw, delimiter, len(titles)) for _, raw in lines[place + 1 : place + 21])
                if best is None or (fits, _worth(titles)) > best[0]:
                    head = _Head(delimiter=delimiter, line=at, titles=titles, before=tuple(before))
                    best = ((fits, _worth(titles)), head)
                break
            before += _said_before(raw, delimiter)
    if best is None:
        raise InvalidInput(
            "no line has headings such as 'L*', 'a*', 'b*', 'X', 'Y', 'Z' or wavelengths from 400 to 700, and the file "
            "is neither CGATS (BEGIN_DATA_FORMAT) nor CxF (XML)",
            where=name,
        )
    return best[1]


def _parts_alike(raw: str, delimiter: str, width: int) -> bool:
    try:
        return len(_fitted(Row(line=1, cells=_cells(raw, delimiter, where="")), width).cells) == width
    except InvalidInput:
        return False


def _worth(titles: Sequence[str]) -> int:
    """How many headings are of a colour or a wavelength; 0 when they make neither."""
    if _standing(titles):
        return len(titles)
    if sum(_is_number(title) for title in titles) and not all(band_of(t)[0] for t in titles if _is_number(t)):
        return 0
    bands = sum(band_of(title)[0] > 0 for title in titles)
    roles = {role_of(title) for title in titles}
    triple = any(set(kind) <= roles for kind in ("Lab", "LCh", "XYZ"))
    if bands < 2 and not triple:
        return 0
    return bands + len(roles - {""})


def _standing(titles: Sequence[str]) -> bool:
    """Whether the first heading is of wavelengths, so that each row is one."""
    return len(titles) >= 2 and re.sub(r"[\s_()\[\].]", "", titles[0].upper()) in WAVELENGTH_WORDS


def _is_number(cell: str) -> bool:
    try:
        number(cell, what="")
    except InvalidInput:
        return False
    return True


def _said_before(raw: str, delimiter: str) -> list[tuple[str, str]]:
    """Condition that a line before the head says: ``Illuminant: D65`` or ``Observer;10°``."""
    for mark in (":", "=", delimiter):
        word, found, value = raw.partition(mark)
        role = role_of(word) if found else ""
        if role in FIELDS:
            return [(role, condition_of(role, value.strip(' ";,|\t')))]
    return []


def _turned(head: _Head, rows: Sequence[Row], *, name: str) -> tuple[Columns, list[Row]]:
    """Columns and rows of a table that has one row a wavelength and one column a sample."""
    wavelengths: list[str] = []
    comma = head.delimiter != ","
    for row in rows:
        where = f"{name}, line {row.line}"
        fitted = _fitted(row, len(head.titles))
        if len(fitted.cells) != len(head.titles):
            raise InvalidInput(f"{len(fitted.cells)} cells, but there are {len(head.titles)} columns", where=where)
        try:
            nm = number(row.cells[0], what="the wavelength", comma=comma)
        except InvalidInput as error:
            raise InvalidInput(error.what, where=where) from None
        if not SHORTEST_NM <= nm <= LONGEST_NM:
            raise InvalidInput(
                f"the wavelength is {row.cells[0][:LONGEST_NUMBER]}; allowed is {SHORTEST_NM:g} to {LONGEST_NM:g} nm",
                where=where,
            )
        wavelengths.append(f"{nm:.10g}")
    try:
        columns = columns_of(["sample name", *wavelengths])
    except InvalidInput as error:
        raise InvalidInput(error.what, where=name) from None
    samples = [
        Row(line=head.line, cells=(title or f"column {place}", *(row.cells[place] for row in rows)))
        for place, title in enumerate(head.titles[1:], start=1)
    ]
    return columns, samples
