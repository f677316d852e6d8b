"""The structure of a CGATS.17 or ISO 28178 text: tables, each with keywords, names of fields and rows.

Outline read in references of the format; comments, the doubling of quotes, and tables that leave out the format of
the one before are from memory, and the first two were seen in files that another program wrote.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from laydown.documents.measurement_rows import Row
from laydown.documents.sentences import shown_value
from laydown.errors import InvalidInput

MOST_FIELDS = 4000

_TOKEN = re.compile(r'"(?:[^"]|"")*"|[^\s"]\S*')
_FORMAT = re.compile(r"^[ \t]*BEGIN_DATA_FORMAT\b", re.MULTILINE | re.IGNORECASE)
_MARKS = ("BEGIN_DATA_FORMAT", "END_DATA_FORMAT", "BEGIN_DATA", "END_DATA")


@dataclass(frozen=True, slots=True, kw_only=True)
class CgatsTable:
    """One table.

    Attributes
    ----------
    identifier : str
        First line of the table where it is no keyword: ``CGATS.17``, ``ISO28178``, ``CTI3``; empty when absent.
    line : int
        Line of its BEGIN_DATA.
    keywords : tuple of (str, str)
        In capitals, and what they say without quotes, in the order of the file; a keyword may come several times.
    fields : tuple of str
    rows : tuple of Row
    """

    identifier: str
    line: int
    keywords: tuple[tuple[str, str], ...]
    fields: tuple[str, ...]
    rows: tuple[Row, ...]

    def values(self, keyword: str) -> tuple[str, ...]:
        """All that a keyword says."""
        return tuple(value for name, value in self.keywords if name == keyword)

    def stated_count(self, keyword: str, *, where: str) -> int | None:
        """Whole number that a keyword says, None when it is absent.

        Raises
        ------
        InvalidInput
            When it says something else.
        """
        said = self.values(keyword)
        if not said:
            return None
        if not re.fullmatch(r"\d{1,9}", said[-1]):
            raise InvalidInput(f"{keyword} is {shown_value(said[-1])}; a whole number is needed", where=where)
        return int(said[-1])


def is_cgats(text: str) -> bool:
    """Whether a text has the keyword that every CGATS file has."""
    return bool(_FORMAT.search(text))


def cgats_tables(text: str, *, where: str) -> tuple[CgatsTable, ...]:
    """Tables of a text.

    A row of data may be broken over several lines, as long as the pieces make exactly one row. Cells are parted by
    blanks; in a table parted by tabs, names may hold blanks without quotes.

    Parameters
    ----------
    text : str
    where : str
        Name of the file.

    Returns
    -------
    tuple of CgatsTable

    Raises
    ------
    InvalidInput
        When the structure is broken: a section without its end, data without a format, a quote without its end.
    """
    tables: list[CgatsTable] = []
    lines = iter(enumerate(text.split("\n"), start=1))
    keywords: list[tuple[str, str]] = []
    identifier, anything = "", False
    fields: tuple[str, ...] = ()
    fields_of_last: tuple[str, ...] = ()
    for at, raw in lines:
        here = f"{where}, line {at}"
        cells = tokens(raw, where=here)
        if not cells:
            continue
        word = cells[0].upper()
        if word == "BEGIN_DATA_FORMAT":
            fields = _fields(cells[1:], lines, where=where, at=at)
        elif word == "BEGIN_DATA":
            fields = fields or fields_of_last
            if not fields:
                raise InvalidInput("data begin before any BEGIN_DATA_FORMAT named their fields", where=here)
            rows = tuple(_rows(lines, len(fields), where=where, at=at))
            tables.append(
                CgatsTable(identifier=identifier, line=at, keywords=tuple(keywords), fields=fields, rows=rows)
            )
            keywords, identifier, fields_of_last, fields, anything = [], "", fields, (), False
        elif word in _MARKS:
            raise InvalidInput(f"{cells[0]} closes what {word.replace('END', 'BEGIN')} has not opened", where=here)
        elif len(cells) == 1 and not anything and not cells[0].startswith('"'):
            identifier = cells[0]
        else:
            keywords.append((word, " ".join(_unquoted(cell) for cell in cells[1:])))
        anything = True
    if fields:
        raise InvalidInput("the file ends after the names of the fields; BEGIN_DATA is missing", where=where)
    if not tables:
        raise InvalidInput("the file has no table; BEGIN_DATA is missing", where=where)
    return tuple(tables)


def tokens(line: str, *, where: str) -> list[str]:
    """Words and quoted texts of a line, quotes kept, up to a comment.

    Raises
    ------
    InvalidInput
        When a quote has no end.
    """
    found: list[str] = []
    for match in _TOKEN.finditer(line):
        cell = match[0]
        if cell.startswith("#"):
            return found
        found.append(cell)
    # A quote that no token begins with is one without an end.
    rest = _TOKEN.sub("", line)
    if '"' in rest:
        raise InvalidInput("a text in quotes has no end in this line", where=where)
    return found


def _fields(first: list[str], lines: Iterator[tuple[int, str]], *, where: str, at: int) -> tuple[str, ...]:
    fields = [_unquoted(cell) for cell in first]
    for number, raw in lines:
        for cell in tokens(raw, where=f"{where}, line {number}"):
            if cell.upper() == "END_DATA_FORMAT":
                if not fields:
                    raise InvalidInput("the format names no field", where=f"{where}, line {at}")
                if len(fields) > MOST_FIELDS:
                    raise InvalidInput(
                        f"the format names {len(fields)} fields; allowed are up to {MOST_FIELDS}",
                        where=f"{where}, line {at}",
                    )
                return tuple(fields)
            if cell.upper() in _MARKS:
                raise InvalidInput(
                    f"{cell} stands inside the format; END_DATA_FORMAT is missing", where=f"{where}, line {number}"
                )
            fields.append(_unquoted(cell))
    raise InvalidInput("the format has no END_DATA_FORMAT", where=f"{where}, line {at}")


def _rows(lines: Iterator[tuple[int, str]], width: int, *, where: str, at: int) -> Iterator[Row]:
    pending: list[str] = []
    begun = at
    for number, raw in lines:
        cells = tokens(raw, where=f"{where}, line {number}")
        if not cells:
            continue
        word = cells[0].upper()
        if word == "END_DATA" and len(cells) == 1:
            if pending:
                yield Row(line=begun, cells=tuple(map(_unquoted, pending)))
            return
        if word in {"BEGIN_DATA", "BEGIN_DATA_FORMAT"}:
            raise InvalidInput(f"{cells[0]} stands inside data; END_DATA is missing", where=f"{where}, line {number}")
        if len(cells) > width and "\t" in raw:
            # Names with blanks, not quoted, in a table parted by tabs.
            parted = raw.strip("\n").split("\t")
            cells = [cell.strip() for cell in parted] if len(parted) == width else cells
        if len(pending) + len(cells) > width and pending:
            yield Row(line=begun, cells=tuple(map(_unquoted, pending)))
            pending = []
        if not pending:
            begun = number
        pending += cells
        if len(pending) >= width:
            yield Row(line=begun, cells=tuple(map(_unquoted, pending)))
            pending = []
    raise InvalidInput("the file ends within its data; END_DATA is missing", where=f"{where}, line {at}")


def _unquoted(cell: str) -> str:
    if len(cell) >= 2 and cell.startswith('"') and cell.endswith('"'):
        return cell[1:-1].replace('""', '"')
    return cell
