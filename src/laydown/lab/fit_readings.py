"""Readings that a machine is fitted to, one log after the other: what dryers and flash units have in common."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.probe_log import Lane, ProbeChannel, ProbeConditions, ProbeLog
from laydown.errors import InvalidInput
from laydown.lab.dryer_curves import Guess
from laydown.lab.dryer_parameters import Parameter
from laydown.lab.probe_reading import ProbeReading
from laydown.models.cloth import Cloth

Values = NDArray[np.float64]

MOST_READINGS = 240
"""Readings of one channel that are used; of more, every second, third ... one."""

SETTLED = 8.0
"""What the wires read from so long before the heat is their start [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitLog:
    """One log to fit: what was read, and under which conditions."""

    log: ProbeLog
    conditions: ProbeConditions
    cloth: Cloth
    name: str = ""

    def named(self, number: int) -> str:
        """Name of the log, or what it is called as the log of a number."""
        return self.name or f"log {number + 1}"

    def start(self, entry: float, *, until: float) -> float:
        """What the wires read just before the heat, up to ``until`` seconds before it [K]."""
        values = [
            kelvin
            for channel in self.log.on_garment
            for t, kelvin in zip(channel.times, channel.temperatures, strict=True)
            if entry - SETTLED <= t <= entry - until
        ]
        return float(np.median(values)) if values else self.log.on_garment[0].temperatures[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class FitChannel:
    """The readings of one wire that are used.

    Attributes
    ----------
    wire : int
        Number of the wire, over all logs.
    times, kelvin : ndarray, shape (n,)
    """

    channel: ProbeChannel
    wire: int
    times: Values
    kelvin: Values


@dataclass(frozen=True, slots=True, kw_only=True)
class FitReadings(ABC):
    """Everything that is fitted to.

    Attributes
    ----------
    readings : tuple of ProbeReading
    lanes : tuple of Lane
        Those in which a wire lay; under a flash unit, places on the pallet.
    channels : tuple of tuple of FitChannel
        Of each log.
    """

    climate: Climate
    logs: tuple[FitLog, ...]
    readings: tuple[ProbeReading, ...]
    lanes: tuple[Lane, ...]
    channels: tuple[tuple[FitChannel, ...], ...]
    parameters: tuple[Parameter, ...]

    @property
    def measured(self) -> Values:
        """All readings that are used, log by log and wire by wire [K]."""
        return np.concatenate([one.kelvin for channels in self.channels for one in channels])

    @property
    def names(self) -> tuple[str, ...]:
        """Of the logs."""
        return tuple(one.named(number) for number, one in enumerate(self.logs))

    def predicted(self, z: Values) -> Values:
        """Readings that each row of ``z``, shape (size, parameters), foretells; shape (size, readings) [K]."""
        guess = Guess(parameters=self.parameters, z=np.atleast_2d(z))
        return np.concatenate([self.predicted_log(guess, number) for number in range(len(self.logs))], axis=1)

    @abstractmethod
    def predicted_log(self, guess: Guess, number: int) -> Values:
        """Readings of one log that guesses foretell, shape (size, readings of the log) [K]."""


def on_garment(log: FitLog, *, where: str) -> tuple[ProbeChannel, ...]:
    """Wires that touched the print.

    Raises
    ------
    InvalidInput
        When there is none.
    """
    if not log.log.on_garment:
        raise InvalidInput("every thermocouple hung in the air; one that touches the print is needed", where=where)
    return log.log.on_garment


def used(channel: ProbeChannel, wire: int, start: float, end: float) -> FitChannel:
    """Readings of a wire between two moments, thinned to `MOST_READINGS`."""
    times, kelvin = np.array(channel.times), np.array(channel.temperatures)
    inside = np.nonzero((times >= start) & (times <= end))[0]
    kept = inside[:: max(1, -(-inside.size // MOST_READINGS))]
    return FitChannel(channel=channel, wire=wire, times=times[kept], kelvin=kelvin[kept])


def read_between(channel: ProbeChannel, start: float, end: float) -> int:
    """How many readings of a wire lie between two moments."""
    return sum(start <= t <= end for t in channel.times)


def lanes_of(rows: list[tuple[FitChannel, ...]]) -> tuple[Lane, ...]:
    """Lanes in which a wire lay, in their order."""
    return tuple(lane for lane in Lane if any(one.channel.lane is lane for row in rows for one in row))
