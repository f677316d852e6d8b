"""Readings that a flash unit is fitted to, and what the parameters say of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.press import Flash
from laydown.domain.probe_log import Lane, ProbeChannel
from laydown.domain.quantity import Quantity
from laydown.errors import InvalidInput
from laydown.lab.curve_fit import FitChannel
from laydown.lab.dryer_curves import TOLERANCE, Guess, at_times, lane_levels, read_by
from laydown.lab.dryer_fit_data import FitLog
from laydown.lab.dryer_parameters import (
    ENTRY_SD,
    FILM_SD,
    LEAST_AIR,
    LEAST_CONVECTION,
    LEAST_EXCHANGE,
    LEAST_PANEL,
    START_SD,
    Parameter,
    wire_parameters,
)
from laydown.lab.probe_reading import ProbeReading, read_probe
from laydown.models.flash import Lamp, run_lamp
from laydown.models.heat import HeatRun
from laydown.models.sampling import DIMENSIONS, Z95, SampleSet

Values = NDArray[np.float64]

BEFORE = 3.0
"""Readings so long before the flash are used [s]."""

BEFORE_END = 0.3
"""Readings up to this long before the flash ends are used [s]: what follows depends on how the unit goes away."""

LEAST_READINGS = 5
MOST_READINGS = 240

OUTPUT_STEP = 0.1
"""Output times under the flash are this far apart [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlashData:
    """Everything that is fitted to.

    Attributes
    ----------
    readings : tuple of ProbeReading
    seconds : tuple of float
        How long each log's flash lasted [s].
    lanes : tuple of Lane
        Places on the pallet in which a wire lay.
    channels : tuple of tuple of FitChannel
        Of each log.
    """

    flash: Flash
    climate: Climate
    logs: tuple[FitLog, ...]
    readings: tuple[ProbeReading, ...]
    seconds: tuple[float, ...]
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


def flash_parameters(flash: Flash) -> tuple[Parameter, ...]:
    """Coefficients of a flash unit that are fitted, with the shelf's intervals as priors."""
    found = [
        _kelvin(("panel",), "emitter temperature above what the shelf says", flash.radiant_temperature, LEAST_PANEL),
        _kelvin(("air", 0), "air under the unit above what the shelf says", flash.air_temperature, LEAST_AIR),
    ]
    if flash.exchange.value > 0:
        found.append(_factor(("exchange", 0), "radiant exchange", flash.exchange, LEAST_EXCHANGE))
    if flash.air_coefficient.value > 0:
        found.append(_factor(("convection", 0), "air coefficient", flash.air_coefficient, LEAST_CONVECTION))
    return tuple(found)


def flash_log_parameters(number: int, *, entry: float, start: float, film: bool) -> tuple[Parameter, ...]:
    """What may be off in one log: when the flash began, and the test piece."""

    def one(kind: str, words: str, unit: str, centre: float, sd: float, *, log: bool = False) -> Parameter:
        return Parameter(
            key=(kind, number), words=f"{words} of log {number + 1}", unit=unit, centre=centre, sd=sd, log=log
        )

    found = [
        one("entry", "begin of the flash", "s", entry, ENTRY_SD),
        one("start", "temperature before the flash", "K", start, START_SD),
        one("mass", "cloth mass", "", 0.0, 1.0),
        one("moisture", "moisture", "", 0.0, 1.0),
    ]
    if film:
        found.append(one("film", "film", "", 0.0, FILM_SD, log=True))
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
        where = one.name or f"log {number + 1}"
        if not one.log.on_garment:
            raise InvalidInput("every thermocouple hung in the air; one that touches the print is needed", where=where)
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
        for channel in one.log.on_garment:
            channels.append(_used(channel, wire, start, end - BEFORE_END, where=where))
            wire += 1
        level = _start(one, start)
        own += flash_log_parameters(number, entry=start, start=level, film=one.conditions.film > 0)
        readings.append(reading)
        seconds.append(lasted)
        rows.append(tuple(channels))
    lanes = tuple(lane for lane in Lane if any(one.channel.lane is lane for row in rows for one in row))
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
    times, kelvin = np.array(channel.times), np.array(channel.temperatures)
    under = np.count_nonzero((times >= start) & (times <= end))
    if under < LEAST_READINGS:
        raise InvalidInput(
            f"{channel.name!r} has {under} readings under the flash; at least {LEAST_READINGS} are needed: let "
            "the logger read more often",
            where=where,
        )
    inside = np.nonzero((times >= start - BEFORE) & (times <= end))[0]
    kept = inside[:: max(1, -(-inside.size // MOST_READINGS))]
    return FitChannel(channel=channel, wire=wire, times=times[kept], kelvin=kelvin[kept])


def _start(log: FitLog, entry: float) -> float:
    """What the wires read just before the flash [K]."""
    values = [
        kelvin
        for channel in log.log.on_garment
        for t, kelvin in zip(channel.times, channel.temperatures, strict=True)
        if entry - 8.0 <= t <= entry - 0.3
    ]
    return float(np.median(values)) if values else log.log.on_garment[0].temperatures[0]


def _kelvin(key: tuple[str | int, ...], words: str, quantity: Quantity, least: float) -> Parameter:
    sd = max(quantity.spread / (2 * Z95), least)
    return Parameter(key=key, words=words, unit="K", centre=0.0, sd=sd, log=False)


def _factor(key: tuple[str | int, ...], words: str, quantity: Quantity, least: float) -> Parameter:
    low = quantity.low if quantity.low > 0 else quantity.value / 3
    sd = math.log(max(quantity.high, quantity.value) / min(low, quantity.value)) / (2 * Z95)
    return Parameter(key=key, words=words, unit="", centre=0.0, sd=max(sd, least), log=True)
