"""Readings that a dryer is fitted to, one log after the other, and what the parameters say of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.probe_log import Lane, ProbeChannel, ProbeConditions, ProbeLog
from laydown.errors import InvalidInput
from laydown.lab.curve_fit import FitChannel
from laydown.lab.dryer_curves import Guess, TestPiece, at_times, lane_levels, read_by, run_guess
from laydown.lab.dryer_parameters import Parameter, dryer_parameters, log_parameters, wire_parameters
from laydown.lab.probe_reading import ProbeReading, read_probe
from laydown.models.cloth import Cloth

Values = NDArray[np.float64]

BEFORE_ENTRY, BEHIND_EXIT = 4.0, 4.0
"""Readings so long before the entry and behind the exit are used [s]; later the garment is handled."""

MOST_READINGS = 240
"""Readings of one channel that are used; of more, every second, third ... one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitLog:
    """One log to fit: what was read, and under which conditions."""

    log: ProbeLog
    conditions: ProbeConditions
    cloth: Cloth
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitData:
    """Everything that is fitted to.

    Attributes
    ----------
    lanes : tuple of Lane
        Those in which a wire lay.
    channels : tuple of tuple of FitChannel
        Of each log.
    """

    dryer: Dryer
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
        return tuple(one.name or f"log {number + 1}" for number, one in enumerate(self.logs))

    def predicted(self, z: Values) -> Values:
        """Readings that each row of ``z``, shape (size, parameters), foretells; shape (size, readings) [K]."""
        guess = Guess(parameters=self.parameters, z=np.atleast_2d(z))
        return np.concatenate([_predicted_log(self, guess, number) for number in range(len(self.logs))], axis=1)


def gather(dryer: Dryer, climate: Climate, logs: Sequence[FitLog], *, above: float) -> FitData:
    """Collect the readings that say something of a dryer.

    Raises
    ------
    InvalidInput
        When there is no log, or one in which entry or exit cannot be seen.
    """
    if not logs:
        raise InvalidInput("no probe log was given; at least one is needed", where=dryer.name)
    readings: list[ProbeReading] = []
    rows: list[tuple[FitChannel, ...]] = []
    own: list[Parameter] = []
    wire = 0
    for number, one in enumerate(logs):
        where = one.name or f"log {number + 1}"
        reading = read_probe(one.log, above=above, tunnel_length=dryer.length, dialled_speed=one.conditions.speed)
        if not one.log.on_garment:
            raise InvalidInput("every thermocouple hung in the air; one that touches the print is needed", where=where)
        if reading.entry is None:
            raise InvalidInput(
                "the curve does not show when the garment entered; start the log some seconds before", where=where
            )
        speed = one.conditions.speed or (reading.speed.value if reading.speed else None)
        if speed is None:
            raise InvalidInput(
                "the curve does not show when the garment left and no belt speed is given; one of them is needed",
                where=where,
            )
        end = reading.exit.time if reading.exit else reading.entry.time + dryer.length / speed
        channels = []
        for channel in one.log.on_garment:
            channels.append(_used(channel, wire, reading.entry.time - BEFORE_ENTRY, end + BEHIND_EXIT, where=where))
            wire += 1
        start = _start(one.log, reading.entry.time)
        own += log_parameters(number, entry=reading.entry.time, speed=speed, start=start, film=one.conditions.film > 0)
        readings.append(reading)
        rows.append(tuple(channels))
    lanes = tuple(lane for lane in Lane if any(one.channel.lane is lane for row in rows for one in row))
    return FitData(
        dryer=dryer,
        climate=climate,
        logs=tuple(logs),
        readings=tuple(readings),
        lanes=lanes,
        channels=tuple(rows),
        parameters=(*dryer_parameters(dryer), *wire_parameters(lanes, wire), *own),
    )


def _predicted_log(data: FitData, guess: Guess, number: int) -> Values:
    log, channels = data.logs[number], data.channels[number]
    piece = TestPiece(cloth=log.cloth, film=log.conditions.film, climate=data.climate)
    out = [np.empty((guess.size, one.times.size)) for one in channels]
    speeds = guess.of("speed", number)
    lanes = tuple(dict.fromkeys(one.channel.lane for one in channels))
    # The stages of one run share their durations, so guesses at other speeds are runs of their own.
    for speed in np.unique(speeds):
        rows = np.nonzero(speeds == speed)[0]
        repeated = Guess(parameters=data.parameters, z=np.tile(guess.z[rows], (len(lanes), 1)))
        levels = lane_levels(Guess(parameters=data.parameters, z=guess.z[rows]), data.lanes)
        start = repeated.of("start", number)
        run = run_guess(
            data.dryer,
            repeated,
            piece,
            setting=log.conditions.setting,
            speed=float(speed),
            start=start,
            log=number,
            lane=np.concatenate([levels[lane] for lane in lanes]),
        )
        lag, entry = repeated.of("lag"), repeated.of("entry", number)
        for one, part in zip(channels, out, strict=True):
            place = lanes.index(one.channel.lane) * rows.size
            inside = slice(place, place + rows.size)
            part[rows] = at_times(
                run.times,
                read_by(run, one.channel.spot, lag)[inside],
                start[inside],
                one.times[None, :] - entry[inside, None],
            )
    return np.concatenate(
        [part + guess.of("offset", one.wire)[:, None] for one, part in zip(channels, out, strict=True)], axis=1
    )


def _used(channel: ProbeChannel, wire: int, start: float, end: float, *, where: str) -> FitChannel:
    times, kelvin = np.array(channel.times), np.array(channel.temperatures)
    inside = np.nonzero((times >= start) & (times <= end))[0]
    if inside.size < 10:
        raise InvalidInput(
            f"{channel.name!r} has {inside.size} readings between entry and exit; at least 10 are needed", where=where
        )
    kept = inside[:: max(1, -(-inside.size // MOST_READINGS))]
    return FitChannel(channel=channel, wire=wire, times=times[kept], kelvin=kelvin[kept])


def _start(log: ProbeLog, entry: float) -> float:
    """What the wires read just before the entry [K]."""
    values = [
        kelvin
        for channel in log.on_garment
        for t, kelvin in zip(channel.times, channel.temperatures, strict=True)
        if entry - 8.0 <= t <= entry - 0.5
    ]
    return float(np.median(values)) if values else log.on_garment[0].temperatures[0]
