"""Cells of a thermocouple logger's file: numbers, times, and what stands where nothing was read."""

from __future__ import annotations

import re
from enum import Enum

from laydown.units import DAY, HOUR, MINUTE

LONGEST_CELL = 60
"""Characters; a longer cell is text."""

MISSING = frozenset(
    {
        "", "-", "--", "---", "----", "n/a", "na", "nan", "#n/a", "null", "none", "ol", "o.l.", "over", "open",
        "err", "error", "fault", "?", "*", "***", "----.-", "--.-",
    }
)  # fmt: skip
"""What loggers write where a thermocouple gave nothing; capitals do not matter."""

_NUMBER = re.compile(
    r"([+-]?(?:\d{1,15}(?:[.,]\d{0,15})?|[.,]\d{1,15})(?:[eE][+-]?\d{1,2})?)\s*(?:°|º|deg\.?)?\s*([cCfFsS]?)\Z"
)
_DATE = r"(?:\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{4}/\d{1,2}/\d{1,2})"
_ONLY_DATE = re.compile(rf"{_DATE}\Z")
_CLOCK = re.compile(
    rf"(?:{_DATE}[T ]\s*)?(?:(\d{{1,3}}):)?(\d{{1,3}}):(\d{{1,2}}(?:[.,]\d{{1,9}})?)"
    r"\s*([aApP]\.?[mM]\.?)?(?:Z|[+-]\d\d:?\d\d)?\Z"
)


class Cell(Enum):
    """What a cell looks like."""

    NUMBER = "number"
    CLOCK = "clock"
    DATE = "date"
    MISSING = "missing"
    TEXT = "text"


def kind_of(cell: str) -> Cell:
    """Tell what a cell looks like."""
    text = cell.strip()
    if text.lower() in MISSING:
        return Cell.MISSING
    if len(text) > LONGEST_CELL or (not text.isascii() and not re.search(r"[°º]", text)):
        return Cell.TEXT
    if _NUMBER.match(text):
        return Cell.NUMBER
    if _ONLY_DATE.match(text):
        return Cell.DATE
    return Cell.CLOCK if _CLOCK.match(text) else Cell.TEXT


def decimal_sign(cell: str) -> str:
    """Decimal sign of a number, ``.`` or ``,``; empty where it has none."""
    return next((sign for sign in ",." if sign in cell), "")


def number(cell: str) -> float | None:
    """Value of a number, with either decimal sign and with or without a unit behind it; None when it is none."""
    found = _NUMBER.match(cell.strip())
    return float(found.group(1).replace(",", ".")) if found else None


def unit_letter(cell: str) -> str:
    """``C`` or ``F`` where it stands behind the number, else empty."""
    found = _NUMBER.match(cell.strip())
    letter = found.group(2).upper() if found else ""
    return letter if letter in {"C", "F"} else ""


def clock_seconds(cell: str) -> float | None:
    """Seconds since midnight of a clock time, or since the start of a stopwatch's; None when it is neither.

    ``14:03:05``, ``2:03:05.5 PM``, ``2026-11-25 14:03:05``, ``03:05`` (minutes and seconds). The date is left out:
    a run through a dryer lasts minutes.
    """
    found = _CLOCK.match(cell.strip())
    if not found:
        return None
    hours, minutes, seconds, half = found.groups()
    hour = int(hours or 0)
    if half and hours:
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    second = float(seconds.replace(",", "."))
    if second >= MINUTE or (hours and int(minutes) >= 60):
        return None
    return hour * HOUR + int(minutes) * MINUTE + second


def past_midnight(seconds: float, before: float) -> float:
    """Clock time after another one, with whole days added where midnight lies between."""
    while seconds < before - DAY / 2:
        seconds += DAY
    return seconds
