"""Calendars by RFC 5545: lines folded at 75 octets, CRLF, escaped text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from laydown.report.plain_text import printable

_LONGEST = 75
"""Octets of a line without its end (RFC 5545, 3.1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """Something that is due.

    Attributes
    ----------
    uid : str
        The same for the same thing as long as there is a calendar.
    starts, ends : datetime
        With their time zone.
    stamped : datetime
        When what it says was last changed.
    alarm : bool
        Whether the calendar program is to remind of it when it starts.
    """

    uid: str
    starts: dt.datetime
    ends: dt.datetime
    stamped: dt.datetime
    summary: str
    description: str = ""
    location: str = ""
    url: str = ""
    sequence: int = 0
    alarm: bool = True


def calendar_text(name: str, entries: Iterable[Entry]) -> str:
    """Text of a calendar.

    Parameters
    ----------
    name : str
        What calendar programs call it.

    Returns
    -------
    str
        With CRLF at the end of every line.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//laydown//lab//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"X-WR-CALNAME:{escaped(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:PT1H",
        "X-PUBLISHED-TTL:PT1H",
    ]
    for one in entries:
        lines += _event(one)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def escaped(text: str) -> str:
    """Text as a value of type TEXT (RFC 5545, 3.3.11)."""
    told = "\n".join(printable(line) for line in text.splitlines())
    return told.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def folded(line: str) -> str:
    """Line in pieces of at most 75 octets, never within a letter; the pieces after the first begin with a blank."""
    pieces: list[bytes] = [b""]
    for letter in line:
        octets = letter.encode()
        if len(pieces[-1]) + len(octets) > _LONGEST:
            pieces.append(b" ")
        pieces[-1] += octets
    return b"\r\n".join(pieces).decode()


def _event(one: Entry) -> list[str]:
    lines = [
        "BEGIN:VEVENT",
        f"UID:{one.uid}",
        f"DTSTAMP:{_moment(one.stamped)}",
        f"LAST-MODIFIED:{_moment(one.stamped)}",
        f"SEQUENCE:{one.sequence}",
        f"DTSTART:{_moment(one.starts)}",
        f"DTEND:{_moment(one.ends)}",
        f"SUMMARY:{escaped(one.summary)}",
        "TRANSP:TRANSPARENT",
    ]
    if one.description:
        lines.append(f"DESCRIPTION:{escaped(one.description)}")
    if one.location:
        lines.append(f"LOCATION:{escaped(one.location)}")
    if one.url:
        lines.append(f"URL:{one.url}")
    if one.alarm:
        words = escaped(one.summary)
        lines += ["BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{words}", "TRIGGER:PT0S", "END:VALARM"]
    return [*lines, "END:VEVENT"]


def _moment(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
