"""Bytes of an instrument's file as text, and its numbers and moments."""

from __future__ import annotations

import datetime as dt
import math
import re

from laydown.documents.sentences import shown_value
from laydown.documents.toml_file import LARGEST
from laydown.errors import InvalidInput

LONGEST_LINE = 200_000
"""Characters; a line of 2000 bands is a tenth of that."""

MOST_LINES = 200_000
"""Of a file; the readings that are read at most have a tenth of that."""

LONGEST_NUMBER = 40

MARKS: tuple[tuple[bytes, str], ...] = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
"""Byte order marks and the coding they tell, the longer ones first."""

_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d{1,3})?\Z", re.ASCII)


def refuse_large(content: bytes, *, where: str) -> None:
    """Raise InvalidInput for an empty file and for one that no instrument writes."""
    if len(content) > LARGEST:
        raise InvalidInput(f"the file is larger than {LARGEST // 1_000_000} MB, the most that is read", where=where)
    if not content.strip():
        raise InvalidInput("the file is empty; a file of readings is needed", where=where)


def decoded(content: bytes, *, where: str) -> tuple[str, str]:
    """Text of a file, and the coding it was in.

    A byte order mark decides; without one the text is UTF-8, or Windows-1252 where it is no UTF-8 (instruments'
    programs write it for °, µ and accents).

    Raises
    ------
    InvalidInput
        When the bytes are no text, there are more than `MOST_LINES` lines, or one is longer than `LONGEST_LINE`.
    """
    coding = next((name for mark, name in MARKS if content.startswith(mark)), "utf-8")
    try:
        text = content.decode(coding)
    except UnicodeDecodeError as error:
        if coding != "utf-8":
            raise InvalidInput(
                f"the file begins as {coding.upper()} but byte {error.start} does not go on so; save it as UTF-8",
                where=where,
            ) from None
        coding = "cp1252"
        text = content.decode(coding, errors="replace")
    if "\x00" in text:
        raise InvalidInput("the file holds zero bytes, so it is no text; save it as text in UTF-8", where=where)
    # Old instruments end lines with CR alone; a form feed ends none.
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if text.count("\n") > MOST_LINES:
        raise InvalidInput(f"the file has more than {MOST_LINES:,} lines, the most that are read", where=where)
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise InvalidInput(
                f"this line has {len(line):,} characters; allowed are up to {LONGEST_LINE:,}",
                where=f"{where}, line {number}",
            )
    return text, coding


def number(text: str, *, what: str, comma: bool = True) -> float:
    """Read a number as instruments write it: a decimal point, or a decimal comma where ``comma`` allows it.

    Raises
    ------
    InvalidInput
        When the text is no finite number.
    """
    cell = text.strip()
    if len(cell) <= LONGEST_NUMBER and _NUMBER.match(cell) and (comma or "," not in cell):
        value = float(cell.replace(",", "."))
        if math.isfinite(value):
            return value
    raise InvalidInput(f"{what} is {shown_value(text)}; a number is needed")


def moment(text: str) -> dt.datetime | None:
    """Read a moment after ISO 8601, with or without a time zone; None for anything else.

    Days written in another order are not guessed at: 3/4/2026 is two days.
    """
    cell = text.strip()
    if len(cell) < len("2026-11-25T08:00") or len(cell) > LONGEST_NUMBER:
        return None
    try:
        return dt.datetime.fromisoformat(cell)
    except ValueError:
        return None


def one_line(text: str) -> str:
    """Text with every run of blanks, also no-break ones, as one blank and without characters that do not print."""
    return " ".join("".join(c if c.isprintable() or c.isspace() else "�" for c in text).split())
