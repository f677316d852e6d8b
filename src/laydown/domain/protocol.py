"""Tests that a shop runs on swatches: what is done, what is read and when, and what is let through."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.quantity import Grade
from laydown.domain.validity import named, share, within
from laydown.errors import InvalidInput


class Subject(StrEnum):
    """What a test tells about."""

    BLEED = "bleed"
    GHOSTING = "ghosting"
    LAYDOWN = "laydown"
    INK_OPTICS = "ink optics"
    TONE = "tone"
    CURE = "cure"
    WASH = "wash"
    RUBBING = "rubbing"
    STRETCH = "stretch"
    ADHESION = "adhesion"
    FLASH = "flash"
    DRYER = "dryer"


class Reads(StrEnum):
    """What is read off a swatch."""

    COLOUR = "colour"
    STAINING = "staining grade"
    CHANGE = "change grade"
    MASS = "mass"
    TEMPERATURE = "temperature"
    TONE = "tone"
    VERDICT = "pass or fail"
    PHOTO = "photo"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a protocol.

    Attributes
    ----------
    text : str
        What is done, as one says it to somebody at the bench.
    part : str
        Part of the swatch that it is done to, for example ``warm half``; empty: all of it.
    temperature : float or None
        What the part is held at [K]; None: as the room is.
    duration : float or None
        How long [s].
    humidity : float or None
        Relative humidity, as a share of one.
    pressure : float or None
        [Pa].
    """

    text: str
    part: str = ""
    temperature: float | None = None
    duration: float | None = None
    humidity: float | None = None
    pressure: float | None = None

    def __post_init__(self) -> None:
        if not self.text.strip():
            raise InvalidInput("a step of a test needs its text")
        if self.temperature is not None:
            within("temperature of a step", self.temperature, 233.0, 573.0, "K")
        if self.duration is not None:
            within("duration of a step", self.duration, 0.0, 400 * 86400.0, "s")
        if self.humidity is not None:
            share("humidity of a step", self.humidity)
        if self.pressure is not None:
            within("pressure of a step", self.pressure, 0.0, 1e7, "Pa")


@dataclass(frozen=True, slots=True, kw_only=True)
class DueReading:
    """A reading that a protocol asks for.

    Attributes
    ----------
    reads : Reads
    after : float
        Since the swatch left the dryer, or was drawn down [s].
    part : str
        Part of the swatch; empty: all of it.
    times : int
        How often it is repeated, each time after lifting and putting the instrument down again.
    """

    reads: Reads
    after: float
    part: str = ""
    times: int = 1

    def __post_init__(self) -> None:
        within("time of a reading", self.after, 0.0, 400 * 86400.0, "s")
        within("times of a reading", self.times, 1, 100, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class PassLimit:
    """What a swatch has to reach.

    Attributes
    ----------
    reads : Reads
    least, most : float or None
        In SI units, or grades; None: no bound on that side. A verdict needs neither.
    text : str
        The limit in words.
    """

    reads: Reads
    text: str
    least: float | None = None
    most: float | None = None

    def __post_init__(self) -> None:
        if not self.text.strip():
            raise InvalidInput("a pass limit needs its words")
        if self.least is not None and self.most is not None and self.least > self.most:
            raise InvalidInput(f"a pass limit from {self.least:g} to {self.most:g} lets nothing through")


@dataclass(frozen=True, slots=True, kw_only=True)
class Protocol:
    """A test as data; a shop may write its own.

    Attributes
    ----------
    name : str
        Short name without spaces, by which it is found: ``oven-bleed``.
    title : str
        What people call it.
    work, wait : float
        Time somebody works at it, and time until its last reading [s].
    limit : PassLimit or None
        None where the test measures and does not judge.
    source : str
        Where it comes from; ``grade`` says how far that is known.
    """

    name: str
    title: str
    subject: Subject
    purpose: str
    materials: tuple[str, ...]
    steps: tuple[Step, ...]
    readings: tuple[DueReading, ...]
    limit: PassLimit | None
    cautions: tuple[str, ...]
    work: float
    source: str
    grade: Grade

    def __post_init__(self) -> None:
        named("a test", self.name)
        if not self.name.replace("-", "").isalnum() or not self.name.isascii() or self.name != self.name.lower():
            raise InvalidInput(f"{self.name!r} is no name of a test; it has small letters, digits and dashes")
        if not self.title.strip():
            raise InvalidInput(f"the test {self.name} needs a title")
        if not self.steps:
            raise InvalidInput(f"the test {self.name} has no step; it needs at least one")
        if not self.readings:
            raise InvalidInput(f"the test {self.name} reads nothing; it needs at least one reading")
        within(f"work of {self.name}", self.work, 0.0, 7 * 86400.0, "s")
        parts = {step.part for step in self.steps}
        for due in self.readings:
            if due.part and due.part not in parts:
                raise InvalidInput(f"the test {self.name} reads the {due.part}, which none of its steps names")

    @property
    def wait(self) -> float:
        """Time until the last reading [s]."""
        return max(due.after for due in self.readings)
