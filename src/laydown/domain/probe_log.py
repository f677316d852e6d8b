"""Logs of thermocouples that ran through a dryer, and how a file of them is laid out."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.validity import named, positive, within
from laydown.errors import InvalidInput

MOST_CHANNELS = 6
MOST_READINGS = 200_000
LOWEST_READING, HIGHEST_READING = 200.0, 1600.0
"""What a thermocouple in a dryer can read [K]."""


class Lane(StrEnum):
    """Where across the belt a thermocouple lies, seen in the direction of travel."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


class Spot(StrEnum):
    """What a thermocouple touches."""

    ON_PRINT = "on the print"
    UNDER_PRINT = "under the print"
    AIR = "air"


class DegreeUnit(StrEnum):
    """Unit of the temperatures in a file."""

    CELSIUS = "C"
    FAHRENHEIT = "F"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeChannel:
    """Readings of one thermocouple; each has its own times, as a logger may miss some.

    Attributes
    ----------
    times : tuple of float
        Rising [s], from the first reading of the log.
    temperatures : tuple of float
        [K], as many.
    """

    name: str
    lane: Lane
    spot: Spot
    times: tuple[float, ...]
    temperatures: tuple[float, ...]

    def __post_init__(self) -> None:
        named("a channel", self.name)
        if len(self.times) != len(self.temperatures):
            raise InvalidInput(f"{self.name} has {len(self.times)} times and {len(self.temperatures)} temperatures")
        if len(self.times) < 2:
            raise InvalidInput(f"{self.name} has {len(self.times)} readings; at least 2 are needed")
        if len(self.times) > MOST_READINGS:
            raise InvalidInput(f"{self.name} has {len(self.times)} readings; allowed are up to {MOST_READINGS}")
        if not all(math.isfinite(t) for t in self.times) or any(
            later <= earlier for earlier, later in zip(self.times, self.times[1:], strict=False)
        ):
            raise InvalidInput(f"the times of {self.name} must be numbers that rise")
        for kelvin in self.temperatures:
            within(f"a reading of {self.name}", kelvin, LOWEST_READING, HIGHEST_READING, "K")

    @property
    def peak(self) -> float:
        """Highest reading [K]."""
        return max(self.temperatures)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeLog:
    """One to six thermocouples that ran through a dryer together."""

    channels: tuple[ProbeChannel, ...]

    def __post_init__(self) -> None:
        if not 1 <= len(self.channels) <= MOST_CHANNELS:
            raise InvalidInput(f"the log has {len(self.channels)} channels; allowed are 1 to {MOST_CHANNELS}")
        names = [channel.name for channel in self.channels]
        if len(set(names)) < len(names):
            raise InvalidInput(f"two channels have the same name ({', '.join(names)}); names must differ")

    @property
    def on_garment(self) -> tuple[ProbeChannel, ...]:
        """Channels that touch the print."""
        return tuple(channel for channel in self.channels if channel.spot is not Spot.AIR)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeConditions:
    """How the dryer was set and what lay on its belt while a log was taken.

    Attributes
    ----------
    dryer, garment : str
        Names on the shelves; in the place of a dryer a flash unit's.
    setting : float
        Panel setting [K]; of a flash unit the emitters' temperature as somebody believes it.
    speed : float or None
        Belt speed as dialled [m/s]; None: to be found from the curve.
    film : float
        Ink on the test piece [m]; 0 for bare cloth.
    flash_seconds : float or None
        How long a flash lasted as set [s]; None: to be found from the curve.
    """

    dryer: str
    garment: str
    date: dt.date
    setting: float
    speed: float | None = None
    film: float = 0.0
    flash_seconds: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        named("the dryer of a log", self.dryer)
        named("the garment of a log", self.garment)
        within("panel setting of a log", self.setting, 280.0, 3000.0, "K")
        if self.speed is not None:
            positive("belt speed of a log", self.speed)
        if self.flash_seconds is not None:
            within("flash of a log", self.flash_seconds, 1.0, 120.0, "s")
        within("film of a log", self.film, 0.0, 2e-3, "m")
        if len(self.note) > 2000:
            raise InvalidInput(f"the note has {len(self.note)} characters; allowed are up to 2000")


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnUse:
    """What one column of a file holds: a channel when it has a lane and a spot.

    Attributes
    ----------
    column : int
        Counted from 0.
    """

    column: int
    name: str
    lane: Lane
    spot: Spot

    def __post_init__(self) -> None:
        within("number of a column", self.column, 0, 199, "")
        named("a channel", self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeMapping:
    """Which columns of a file hold what.

    Attributes
    ----------
    time_column : int
        Counted from 0.
    """

    time_column: int
    channels: tuple[ColumnUse, ...]
    unit: DegreeUnit

    def __post_init__(self) -> None:
        within("number of the time column", self.time_column, 0, 199, "")
        if not 1 <= len(self.channels) <= MOST_CHANNELS:
            raise InvalidInput(
                f"{len(self.channels)} columns are taken as thermocouples; 1 to {MOST_CHANNELS} are needed"
            )
        columns = [self.time_column, *(channel.column for channel in self.channels)]
        if len(set(columns)) < len(columns):
            raise InvalidInput("a column is used twice; each holds one thing")
        names = [channel.name for channel in self.channels]
        if len(set(names)) < len(names):
            raise InvalidInput(f"two channels have the same name ({', '.join(names)}); names must differ")
