"""Write the tests in docs/lab/protocols.md anew from the data that come along.

Run as ``.venv/bin/python tools/docs/protocol_tables.py``. A test fails when the page and the data disagree.
"""

from __future__ import annotations

import re
from pathlib import Path

from laydown import units
from laydown.documents.protocol_file import shipped_protocols
from laydown.domain.protocol import DueReading, Protocol, Step

PAGE = Path(__file__).parents[2] / "docs" / "lab" / "protocols.md"
MARK = re.compile(r"<!-- tests -->\n.*?<!-- end -->", re.DOTALL)


def renewed(page: str) -> str:
    """Page with everything between its marks written from the data."""
    if len(MARK.findall(page)) != 1:
        raise SystemExit(f"the mark <!-- tests --> must stand in {PAGE} once")
    return MARK.sub(lambda _: f"<!-- tests -->\n{tests()}<!-- end -->", page)


def tests() -> str:
    """Table of all tests, and a section of each."""
    lines = ["| test | name | tells of | work | read after | known |", "|---|---|---|---|---|---|"]
    for one in shipped_protocols():
        times = ", ".join(dict.fromkeys(_long(due.after) for due in sorted(one.readings, key=lambda due: due.after)))
        row = (one.title, f"`{one.name}`", one.subject.value, _long(one.work), times, one.grade.value)
        lines.append(f"| {' | '.join(row)} |")
    for one in shipped_protocols():
        lines += _section(one)
    return "\n".join(lines) + "\n"


def _section(one: Protocol) -> list[str]:
    lines = ["", f"### {one.title}", "", one.purpose, ""]
    lines += [f"Needed: {'; '.join(one.materials)}.", ""]
    lines += [f"{place}. {_step(step)}" for place, step in enumerate(one.steps, start=1)]
    lines += ["", f"Read: {'; '.join(_due(due) for due in one.readings)}.", ""]
    lines += [f"Passes: {one.limit.text}." if one.limit else "It measures and does not judge.", ""]
    lines += [*(f"> {caution}" for caution in one.cautions), *([""] if one.cautions else [])]
    return [*lines, f"Source: {one.source}. Known: {one.grade.value}."]


def _step(step: Step) -> str:
    told = []
    if step.temperature is not None:
        told.append(f"{units.to_celsius(step.temperature):.0f} °C")
    if step.duration:
        told.append(_long(step.duration))
    if step.humidity is not None:
        told.append(f"{units.to_percent(step.humidity):.0f} % humidity")
    if step.pressure is not None:
        told.append(f"{units.to_kilopascal(step.pressure):g} kPa")
    part = f"*{step.part}:* " if step.part else ""
    return f"{part}{step.text}" + (f" ({', '.join(told)})" if told else "")


def _due(due: DueReading) -> str:
    part = f" of the {due.part}" if due.part else ""
    times = f", {due.times} times" if due.times > 1 else ""
    return f"{due.reads.value}{part} after {_long(due.after)}{times}"


def _long(seconds: float) -> str:
    for unit, word in ((units.DAY, "d"), (units.HOUR, "h"), (units.MINUTE, "min")):
        if seconds >= unit and (seconds % unit == 0 or unit is units.MINUTE):
            return f"{seconds / unit:g} {word}"
    return f"{seconds:g} s"


if __name__ == "__main__":
    PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
