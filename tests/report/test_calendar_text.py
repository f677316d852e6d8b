"""A calendar by RFC 5545, read by a parser that knows nothing of its writer."""

import datetime as dt
import re

from hypothesis import given
from hypothesis import strategies as st

from laydown.report.calendar_text import Entry, calendar_text, escaped, folded

NOON = dt.datetime(2026, 12, 1, 12, tzinfo=dt.timezone(dt.timedelta(hours=1)))
WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=200)


def entry(**changes):
    said = {"uid": "swatch-1@laydown", "starts": NOON, "ends": NOON + dt.timedelta(minutes=15), "stamped": NOON}
    return Entry(**(said | {"summary": "Read swatch 1"} | changes))


def parsed(text):
    """Components of a calendar: name, properties as a list of (name, parameters, value), and parts within."""
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    for line in text.split("\r\n"):
        assert len(line.encode()) <= 75
    lines = re.sub("\r\n[ \t]", "", text).split("\r\n")[:-1]
    stack = [("", [], [])]
    for line in lines:
        match = re.fullmatch(r'([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:,]*))*):(.*)', line, re.DOTALL)
        assert match, line
        name, parameters, value = match.groups()
        if name == "BEGIN":
            stack.append((value, [], []))
        elif name == "END":
            done = stack.pop()
            assert done[0] == value
            stack[-1][2].append(done)
        else:
            stack[-1][1].append((name, parameters, value))
    assert len(stack) == 1
    return stack[0][2]


def values(component):
    return {name: value for name, _, value in component[1]}


def unescaped(value):
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value)


def test_a_calendar_has_what_the_standard_asks_for():
    ((name, properties, events),) = parsed(calendar_text("Saltmarsh: tests", [entry(), entry(uid="2@laydown")]))

    assert name == "VCALENDAR"
    told = {key: value for key, _, value in properties}
    assert (told["VERSION"], "PRODID" in told) == ("2.0", True)
    for event in events:
        assert event[0] == "VEVENT"
        found = values(event)
        for needed in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"):
            assert needed in found
        for moment in ("DTSTAMP", "DTSTART", "DTEND"):
            assert re.fullmatch(r"\d{8}T\d{6}Z", found[moment])
        assert found["DTSTART"] == "20261201T110000Z"
        (alarm,) = event[2]
        assert values(alarm)["ACTION"] == "DISPLAY"
    assert len({values(event)["UID"] for event in events}) == 2


@given(WORDS, st.lists(WORDS, max_size=3))
def test_any_words_come_through_folding_and_escaping(summary, lines):
    from laydown.report.plain_text import printable

    text = calendar_text("x", [entry(summary=summary, description="\n".join(lines), alarm=False)])
    found = values(parsed(text)[0][2][0])
    assert unescaped(found["SUMMARY"]) == "\n".join(printable(line) for line in summary.splitlines())
    told = "\n".join(printable(line) for line in "\n".join(lines).splitlines())
    assert unescaped(found.get("DESCRIPTION", "")) == told


def test_lines_are_folded_by_octets_and_never_within_a_letter():
    line = "SUMMARY:" + "é🖌" * 60
    pieces = folded(line).split("\r\n ")

    assert "".join(pieces) == line
    assert all(len(piece.encode()) <= 75 - (place > 0) for place, piece in enumerate(pieces))


def test_commas_semicolons_backslashes_and_line_ends_are_escaped():
    assert escaped("a, b; c\\d\ne") == "a\\, b\\; c\\\\d\\ne"
