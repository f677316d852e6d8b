"""Readings that a dryer is fitted to, one log after the other, and what the parameters say of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.probe_log import ProbeChannel
from laydown.errors import InvalidInput
from laydown.lab.dryer_curves import Guess, TestPiece, at_times, lane_levels, read_by, run_guess
from laydown.lab.dryer_parameters import Parameter, dryer_parameters, log_parameters, wire_parameters
from laydown.lab.fit_readings import FitChannel, FitLog, FitReadings, lanes_of, on_garment, read_between, used
from laydown.lab.probe_reading import ProbeReading, read_probe

Values = NDArray[np.float64]

BEFORE_ENTRY, BEHIND_EXIT = 4.0, 4.0
"""Readings so long before the entry and behind the exit are used [s]; later the garment is handled."""

LEAST_READINGS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class FitData(FitReadings):
    """Readings that a dryer is fitted to."""

    dryer: Dryer

    def predicted_log(self, guess: Guess, number: int) -> Values:
        """Readings of one log that guesses foretell."""
        return _predicted_log(self, guess, number)


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
        where = one.named(number)
        wires = on_garment(one, where=where)
        reading = read_probe(one.log, above=above, tunnel_length=dryer.length, dialled_speed=one.conditions.speed)
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
        for channel in wires:
            channels.append(_used(channel, wire, reading.entry.time - BEFORE_ENTRY, end + BEHIND_EXIT, where=where))
            wire += 1
        start = one.start(reading.entry.time, until=0.5)
        own += log_parameters(number, entry=reading.entry.time, speed=speed, start=start, film=one.conditions.film > 0)
        readings.append(reading)
        rows.append(tuple(channels))
    lanes = lanes_of(rows)
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
    count = read_between(channel, start, end)
    if count < LEAST_READINGS:
        raise InvalidInput(
            f"{channel.name!r} has {count} readings between entry and exit; at least {LEAST_READINGS} are needed",
            where=where,
        )
    return used(channel, wire, start, end)
