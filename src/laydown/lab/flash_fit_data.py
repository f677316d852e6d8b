"""Readings that a flash unit is fitted to, and what the parameters say of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.press import Flash
from laydown.domain.probe_log import ProbeChannel
from laydown.errors import InvalidInput
from laydown.lab.dryer_curves import TOLERANCE, Guess, at_times, lane_levels, read_by
from laydown.lab.dryer_parameters import (
    ENTRY_SD,
    FLASH_WORDS,
    LEAST_AIR,
    LEAST_CONVECTION,
    LEAST_EXCHANGE,
    LEAST_PANEL,
    Parameter,
    factor_of,
    log_parameters,
    shift_of,
    wire_parameters,
)
from laydown.lab.fit_readings import FitChannel, FitLog, FitReadings, lanes_of, on_garment, read_between, used
from laydown.lab.probe_reading import ProbeReading, read_probe
from laydown.models.flash import Lamp, run_lamp
from laydown.models.heat import HeatRun
from laydown.models.sampling import DIMENSIONS, SampleSet

Values = NDArray[np.float64]

BEFORE = 3.0
"""Readings so long before the flash are used [s]."""

BEFORE_END = 0.3
"""Readings up to this long before the flash ends are used [s]: what follows depends on how the unit goes away."""

LEAST_READINGS = 5

OUTPUT_STEP = 0.1
"""Output times under the flash are this far apart [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlashData(FitReadings):
    """Readings that a flash unit is fitted to.

    Attributes
    ----------
    seconds : tuple of float
        How long each log's flash lasted [s].
    """

    flash: Flash
    seconds: tuple[float, ...]

    def predicted_log(self, guess: Guess, number: int) -> Values:
        """Readings of one log that guesses foretell."""
        return _predicted_log(self, guess, number)


def flash_parameters(flash: Flash) -> tuple[Parameter, ...]:
    """Coefficients of a flash unit that are fitted, with the shelf's intervals as priors."""
    found = [
        shift_of(("panel",), "emitter temperature above what the shelf says", flash.radiant_temperature, LEAST_PANEL),
        shift_of(("air", 0), "air under the unit above what the shelf says", flash.air_temperature, LEAST_AIR),
    ]
    if flash.exchange.value > 0:
        found.append(factor_of(("exchange", 0), "radiant exchange", flash.exchange, LEAST_EXCHANGE))
    if flash.air_coefficient.value > 0:
        found.append(factor_of(("convection", 0), "air coefficient", flash.air_coefficient, LEAST_CONVECTION))
    return tuple(found)


def gather_flash(flash: Flash, climate: Climate, logs: Sequence[FitLog]) -> FlashData:
    """Collect the readings that say something of a flash unit.

    Raises
    ------
    InvalidInput
        When there is no log, or one in which begin or end of the flash cannot be seen.
    """
    if not logs:
        raise InvalidInput("no probe log was given; at least one is needed", where=flash.name)
    readings: list[ProbeReading] = []
    seconds: list[float] = []
    rows: list[tuple[FitChannel, ...]] = []
    own: list[Parameter] = []
    wire = 0
    for number, one in enumerate(logs):
        where = one.named(number)
        wires = on_garment(one, where=where)
        reading = read_probe(one.log, above=climate.temperature.value, tunnel_length=None)
        if reading.entry is None:
            raise InvalidInput(
                "the curve does not show when the flash began; start the log some seconds before", where=where
            )
        lasted = one.conditions.flash_seconds or reading.dwell
        if lasted is None:
            raise InvalidInput(
                "the curve does not show when the flash ended and no time is given; one of them is needed", where=where
            )
        start, end = reading.entry.time, reading.entry.time + lasted
        channels = []
        for channel in wires:
            channels.append(_used(channel, wire, start, end - BEFORE_END, where=where))
            wire += 1
        level = one.start(start, until=0.3)
        own += log_parameters(number, entry=start, start=level, film=one.conditions.film > 0, words=FLASH_WORDS)
        readings.append(reading)
        seconds.append(lasted)
        rows.append(tuple(channels))
    lanes = lanes_of(rows)
    return FlashData(
        flash=flash,
        climate=climate,
        logs=tuple(logs),
        readings=tuple(readings),
        seconds=tuple(seconds),
        lanes=lanes,
        channels=tuple(rows),
        parameters=(*flash_parameters(flash), *wire_parameters(lanes, wire), *own),
    )


def lamp_of(flash: Flash, guess: Guess, *, lane: Values | float = 0.0) -> Lamp:
    """Unit with guessed coefficients.

    Parameters
    ----------
    lane : float or ndarray, shape (size,)
        Logarithm of how much more of the unit's radiation a place sees than the pallet's mean.
    """
    more = np.exp(np.broadcast_to(np.asarray(lane, dtype=float), (guess.size,)))
    return Lamp(
        radiant_temperature=(flash.radiant_temperature.value + guess.of("panel"))[:, None],
        exchange=np.minimum(flash.exchange.value * guess.factor("exchange", 0) * more, 1.0)[:, None],
        air_temperature=(flash.air_temperature.value + guess.of("air", 0))[:, None],
        air_coefficient=(flash.air_coefficient.value * guess.factor("convection", 0))[:, None],
    )


def under_flash(
    data: FlashData, guess: Guess, number: int, *, lane: Values | float = 0.0, as_planned: bool = False
) -> HeatRun:
    """Temperatures of a log's test piece under the unit with guessed coefficients.

    Parameters
    ----------
    number : int
        Which log.
    as_planned : bool
        With cloth and film as they were said, whatever the log says of them.
    """
    log, of = data.logs[number], -1 if as_planned else number
    points = np.zeros((guess.size, len(DIMENSIONS)))
    points[:, DIMENSIONS.index("cloth mass")] = guess.of("mass", of)
    points[:, DIMENSIONS.index("moisture")] = guess.of("moisture", of)
    return run_lamp(
        log.cloth,
        lamp_of(data.flash, guess, lane=lane),
        data.climate,
        log.conditions.film * guess.factor("film", of),
        SampleSet(points),
        # Where the begin is guessed early the last readings lie later under the flash.
        times=np.arange(0.0, data.seconds[number] + 4 * ENTRY_SD, OUTPUT_STEP),
        start=guess.of("start", number)[:, None],
        tolerance=TOLERANCE,
    )


def _predicted_log(data: FlashData, guess: Guess, number: int) -> Values:
    channels = data.channels[number]
    lanes = tuple(dict.fromkeys(one.channel.lane for one in channels))
    levels = lane_levels(guess, data.lanes)
    repeated = Guess(parameters=data.parameters, z=np.tile(guess.z, (len(lanes), 1)))
    run = under_flash(data, repeated, number, lane=np.concatenate([levels[lane] for lane in lanes]))
    lag, entry, start = repeated.of("lag"), repeated.of("entry", number), repeated.of("start", number)
    out = []
    for one in channels:
        place = lanes.index(one.channel.lane) * guess.size
        inside = slice(place, place + guess.size)
        curve = read_by(run, one.channel.spot, lag)[inside]
        asked = one.times[None, :] - entry[inside, None]
        out.append(at_times(run.times, curve, start[inside], asked) + guess.of("offset", one.wire)[:, None])
    return np.concatenate(out, axis=1)


def _used(channel: ProbeChannel, wire: int, start: float, end: float, *, where: str) -> FitChannel:
    count = read_between(channel, start, end)
    if count < LEAST_READINGS:
        raise InvalidInput(
            f"{channel.name!r} has {count} readings under the flash; at least {LEAST_READINGS} are needed: let the "
            "logger read more often",
            where=where,
        )
    return used(channel, wire, start - BEFORE, end)
