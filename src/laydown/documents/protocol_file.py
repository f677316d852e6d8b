"""Tests as files, one file a test: ``oven-bleed.toml``; those of the package and a shop's own alike."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from laydown.documents.entry import Entry, groups, key_facts, number, number_keys
from laydown.documents.garment_file import Text
from laydown.documents.sentences import nearest, place, told_at, validated
from laydown.documents.toml_file import read_toml, toml_from_text
from laydown.documents.toml_text import toml_text
from laydown.documents.unit_keys import file_unit, written
from laydown.domain.protocol import DueReading, PassLimit, Protocol, Reads, Step, Subject
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput, NotFound

Sentence = Annotated[str, Field(min_length=1, max_length=500)]
Line = Annotated[str, Field(min_length=1, max_length=500, pattern=r"^[^\r\n]*$")]
Part = Annotated[str, Field(max_length=80)]

FOLDER = "protocols"
"""Folder of a shop that holds its own tests, a file each; it may be missing."""

KEY = "test"
"""Table that a file of a test consists of."""

MOST = 100
"""Files of tests that a shop's folder may hold."""

_HELD = "What it is held at; without it: as the room is."
_LONG = "How long."
_AFTER = "When it is read, since the swatch left the dryer or was drawn down."
_WORK = "Time that somebody works at it."


class StepEntry(Entry):
    """A step, in the order of the work."""

    text: Sentence = Field(description="What is done, as one says it to somebody at the bench.")
    part: Part = Field(default="", description="Part of the swatch that it is done to; empty: all of it.")
    temperature_c: float | None = number(_HELD, unit="°C", least=-40, most=299, stands_for="temperature")
    temperature_f: float | None = number(_HELD, unit="°F", least=-40, most=570, stands_for="temperature")
    duration_s: float | None = number(_LONG, unit="s", least=0, most=34_560_000, stands_for="duration")
    duration_min: float | None = number(_LONG, unit="min", least=0, most=576_000, stands_for="duration")
    duration_h: float | None = number(_LONG, unit="h", least=0, most=9600, stands_for="duration")
    humidity_percent: float | None = number("Relative humidity.", unit="%", least=0, most=100, stands_for="humidity")
    pressure_kpa: float | None = number("Pressure.", unit="kPa", least=0, most=10_000, stands_for="pressure")


class ReadingEntry(Entry):
    """A reading that the test asks for."""

    reads: Annotated[Reads, Field(strict=False)] = Field(description="What is read.")
    part: Part = Field(default="", description="Part of the swatch, as a step names it; empty: all of it.")
    after_s: float | None = number(_AFTER, unit="s", least=0, most=34_560_000, stands_for="after", needed=True)
    after_min: float | None = number(_AFTER, unit="min", least=0, most=576_000, stands_for="after")
    after_h: float | None = number(_AFTER, unit="h", least=0, most=9600, stands_for="after")
    after_d: float | None = number(_AFTER, unit="d", least=0, most=400, stands_for="after")
    times: int = number("How often, the instrument lifted in between.", default=1, least=1, most=100)


class ProtocolEntry(Entry):
    """A test as a file describes it."""

    name: Text = Field(description="Short name of small letters, digits and dashes, by which it is found.")
    title: Text = Field(description="What people call it.")
    subject: Annotated[Subject, Field(strict=False)] = Field(description="What it tells about.")
    purpose: Sentence = Field(description="What it is for.")
    materials: list[Line] = Field(default=[], max_length=30, description="What is needed.")
    cautions: list[Line] = Field(default=[], max_length=20, description="What can hurt, and what keeps from it.")
    work_s: float | None = number(_WORK, unit="s", least=0, most=604_800, stands_for="work", needed=True)
    work_min: float | None = number(_WORK, unit="min", least=0, most=10_080, stands_for="work")
    limit: Annotated[str, Field(max_length=500)] = Field(
        default="", description="What passes, in words; empty where the test measures and does not judge."
    )
    limit_reads: Annotated[Reads | None, Field(strict=False)] = Field(
        default=None, description="Which kind of reading the limit is for."
    )
    limit_least: float | None = number(
        "Least that passes: a grade, a colour difference, a share of one, kelvin or kilograms.", least=-1e6, most=1e6
    )
    limit_most: float | None = number("Most that passes, as the least.", least=-1e6, most=1e6)
    step: list[StepEntry] = Field(min_length=1, max_length=40, description="Steps in the order of the work.")
    reading: list[ReadingEntry] = Field(min_length=1, max_length=40, description="What is read, and when.")
    source: Sentence = Field(description="Where the test is from.")
    grade: Annotated[Grade, Field(strict=False)] = Field(description="How far that is known.")

    @model_validator(mode="after")
    def _whole_limit(self) -> Self:
        bounds = self.limit_reads is not None or self.limit_least is not None or self.limit_most is not None
        if bounds and not (self.limit.strip() and self.limit_reads is not None):
            raise ValueError("a limit needs its words ('limit') and what it is for ('limit_reads')")
        if self.limit.strip() and self.limit_reads is None:
            raise ValueError("'limit_reads' is missing; it says which kind of reading the limit is for")
        return self


def protocol_from(
    entry: ProtocolEntry,
    *,
    where: str,
    at: tuple[str | int, ...] = (),
    folder: Path | None = None,  # noqa: ARG001 - one signature for all shelves
) -> Protocol:
    """Test of an entry (which names no file, so ``folder`` is not looked at)."""
    with told_at(place(where, at, name=entry.name)):
        limit = None
        if entry.limit_reads is not None:
            limit = PassLimit(
                reads=entry.limit_reads,
                text=entry.limit,
                least=None if entry.limit_least is None else float(entry.limit_least),
                most=None if entry.limit_most is None else float(entry.limit_most),
            )
        return Protocol(
            name=entry.name,
            title=entry.title,
            subject=entry.subject,
            purpose=entry.purpose,
            materials=tuple(entry.materials),
            steps=tuple(
                Step(
                    text=one.text,
                    part=one.part,
                    **one.read_numbers("temperature", "duration", "humidity", "pressure"),
                )
                for one in entry.step
            ),
            readings=tuple(
                DueReading(reads=one.reads, part=one.part, times=one.times, **one.read_numbers("after"))
                for one in entry.reading
            ),
            limit=limit,
            cautions=tuple(entry.cautions),
            source=entry.source,
            grade=entry.grade,
            **entry.read_numbers("work"),
        )


def protocol_table(protocol: Protocol) -> dict[str, Any]:
    """Table that writes a test down; `protocol_from` reads the same test from it."""
    table: dict[str, Any] = {"name": protocol.name, "title": protocol.title, "subject": str(protocol.subject)}
    table |= {"purpose": protocol.purpose, "materials": list(protocol.materials), "cautions": list(protocol.cautions)}
    table |= _shortest(ProtocolEntry, "work", protocol.work)
    limit = protocol.limit
    if limit is not None:
        table |= {"limit": limit.text, "limit_reads": str(limit.reads)}
        table |= {} if limit.least is None else {"limit_least": limit.least}
        table |= {} if limit.most is None else {"limit_most": limit.most}
    table |= {"source": protocol.source, "grade": str(protocol.grade)}
    table |= {"step": [_step_table(one) for one in protocol.steps]}
    return table | {"reading": [_reading_table(one) for one in protocol.readings]}


def protocol_text(protocol: Protocol) -> str:
    """TOML of a test's file."""
    return f"# {protocol.title.splitlines()[0]}.\n" + toml_text({KEY: protocol_table(protocol)}, blocks=_BLOCKS)


def read_protocol_text(text: str, *, where: str) -> Protocol:
    """Test of a file's text.

    Raises
    ------
    InvalidInput
        When it is no TOML or describes no test; the sentence says what and where.
    """
    return _protocol(toml_from_text(text, where=where), where=where)


def read_protocols(folder: Path) -> tuple[Protocol, ...]:
    """Tests of a folder, by file name; none when it is missing.

    Raises
    ------
    InvalidInput
        When a file describes no test, or two describe the same.
    """
    if not folder.is_dir():
        return ()
    paths = protocol_files(folder)
    if len(paths) > MOST:
        raise InvalidInput(f"{len(paths)} files of tests; allowed are up to {MOST}", where=str(folder))
    tests = ((_protocol(read_toml(path, purpose="a test"), where=str(path)), str(path)) for path in paths)
    return tuple(sorted(_distinct(tests), key=lambda one: one.name))


def protocol_files(folder: Path) -> tuple[Path, ...]:
    """Files of tests in a folder."""
    return tuple(sorted(path for path in folder.glob("*.toml") if not path.name.startswith(".")))


def forget_other_protocols(folder: Path, kept: Iterable[str]) -> None:
    """Remove the files of tests that a shop's folder is not to hold any longer.

    Parameters
    ----------
    folder : Path
        Of the shop.
    kept : iterable of str
        Names of files within it that were written just now, such as ``protocols/hot-van.toml``.
    """
    names = set(kept)
    for path in protocol_files(folder / FOLDER):
        if f"{FOLDER}/{path.name}" not in names:
            path.unlink(missing_ok=True)


@lru_cache(maxsize=1)
def shipped_protocols() -> tuple[Protocol, ...]:
    """Tests that come with the package, in reading order."""
    folder = files("laydown.data") / "protocols"
    names = sorted(one.name for one in folder.iterdir() if one.name.endswith(".toml"))
    found = [read_protocol_text((folder / name).read_text(encoding="utf-8"), where=name) for name in names]
    order = list(Subject)
    return tuple(sorted(found, key=lambda one: order.index(one.subject)))


def protocols_with(own: Iterable[Protocol]) -> tuple[Protocol, ...]:
    """Tests that a shop may run: the shipped ones, its own in their place where the name is the same, then the rest."""
    mine = {one.name: one for one in own}
    shipped = shipped_protocols()
    names = {one.name for one in shipped}
    return (
        *(mine.get(one.name, one) for one in shipped),
        *(one for one in mine.values() if one.name not in names),
    )


def protocol_named(name: str, own: Iterable[Protocol] = ()) -> Protocol:
    """Test by its name.

    Raises
    ------
    NotFound
        When neither the package nor the shop has it.
    """
    known = protocols_with(own)
    for one in known:
        if one.name == name:
            return one
    raise NotFound("test", name, (one.name for one in known))


_BLOCKS = ("step", "reading")


def _protocol(document: dict[str, Any], *, where: str) -> Protocol:
    for other in document:
        if other != KEY:
            raise InvalidInput(
                f"this key is unknown; {nearest(other, (KEY,))}, written [{KEY}]", where=f"{where}, {other}"
            )
    table = document.get(KEY)
    if not isinstance(table, dict):
        raise InvalidInput(f"a file of a test holds one [{KEY}] table with its steps and readings", where=where)
    name = table.get("name")
    told = name[:80] if isinstance(name, str) else ""
    return protocol_from(validated(ProtocolEntry, table, where=where, at=(KEY,), name=told), where=where, at=(KEY,))


def _distinct(found: Iterable[tuple[Protocol, str]]) -> tuple[Protocol, ...]:
    seen: dict[str, Protocol] = {}
    for protocol, where in found:
        if protocol.name in seen:
            raise InvalidInput(f"the test {protocol.name!r} stands in two files; names must differ", where=where)
        seen[protocol.name] = protocol
    return tuple(seen.values())


def _step_table(step: Step) -> dict[str, Any]:
    table: dict[str, Any] = {"text": step.text} | ({"part": step.part} if step.part else {})
    table |= _shortest(StepEntry, "temperature", step.temperature)
    table |= _shortest(StepEntry, "duration", step.duration)
    table |= number_keys(StepEntry, "humidity", step.humidity)
    return table | number_keys(StepEntry, "pressure", step.pressure)


def _reading_table(due: DueReading) -> dict[str, Any]:
    table: dict[str, Any] = {"reads": str(due.reads)} | ({"part": due.part} if due.part else {})
    return table | _shortest(ReadingEntry, "after", due.after) | {"times": due.times}


def _shortest(model: type[Entry], attribute: str, si: float | None) -> dict[str, Any]:
    """Key and number of the largest unit that says a number exactly and shortly."""
    if si is None:
        return {}
    best = number_keys(model, attribute, si)
    for key in groups(model)[attribute]:
        value, exact = written(si, file_unit(key_facts(model.model_fields[key])["unit"]))
        if exact and len(f"{value:g}") <= len(f"{next(iter(best.values())):g}") and float(f"{value:g}") == value:
            best = {key: value}
    return best
