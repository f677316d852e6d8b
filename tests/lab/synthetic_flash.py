"""Probe logs under a flash unit whose coefficients are known, with the thermocouples' lag, error and noise."""

import datetime as dt

import numpy as np
from synthetic_probe import CLOTH, FILM, GARMENT, NOISE, SHOP, THREE

from laydown.domain.probe_log import ProbeChannel, ProbeConditions, ProbeLog, Spot
from laydown.lab.dryer_curves import Guess, at_times, lane_levels, read_by
from laydown.lab.dryer_parameters import FLASH_WORDS, log_parameters, wire_parameters
from laydown.lab.fit_readings import FitLog
from laydown.lab.flash_fit_data import flash_parameters, lamp_of
from laydown.models.flash import run_lamp
from laydown.models.sampling import DIMENSIONS, SampleSet

UNITS = {flash.name: flash for press in SHOP.presses for flash in press.flashes}
ENTRY = 6.0


def draw_flash(flash, rng, *, lanes=THREE):
    """Truth drawn from the priors: parameters and their places."""
    parameters = (
        *flash_parameters(flash),
        *wire_parameters(lanes, len(lanes)),
        *log_parameters(0, entry=ENTRY, start=323.0, film=True, words=FLASH_WORDS),
    )
    z = rng.standard_normal(len(parameters))
    # The fit knows the start by what the wires read before, so its prior is wider than any truth's.
    z[[i for i, one in enumerate(parameters) if one.key[0] == "start"]] *= 0.4
    return Guess(parameters=parameters, z=z[None, :])


def curve_under(flash, truth, seconds, *, lane=0.0, step=0.1):
    """What the test piece does under the unit."""
    points = np.zeros((truth.size, len(DIMENSIONS)))
    points[:, DIMENSIONS.index("cloth mass")] = truth.of("mass", 0)
    points[:, DIMENSIONS.index("moisture")] = truth.of("moisture", 0)
    return run_lamp(
        CLOTH,
        lamp_of(flash, truth, lane=lane),
        SHOP.climate,
        FILM * truth.factor("film", 0),
        SampleSet(points),
        times=np.linspace(0.0, seconds, round(seconds / step) + 1),
        start=truth.of("start", 0)[:, None],
        tolerance=0.01,
    )


def flash_log(flash, truth, rng, *, seconds=12.0, lanes=THREE, spot=Spot.UNDER_PRINT, every=0.25):
    """Log of a flash: level before it, its curve, and a fall behind it."""
    entry, start = float(truth.of("entry", 0)[0]), truth.of("start", 0)
    levels = lane_levels(truth, lanes)
    channels = []
    for wire, lane in enumerate(lanes):
        run = curve_under(flash, truth, seconds, lane=levels[lane])
        read = read_by(run, spot, truth.of("lag"))
        times = np.arange(0.0, entry + seconds + 15.0, every)
        curve = at_times(run.times, read, start, (times - entry)[None])[0]
        after = times > entry + seconds
        curve[after] = start[0] + (curve[after] - start[0]) * np.exp(-(times[after] - entry - seconds) / 20.0)
        read = curve + truth.of("offset", wire)[0] + NOISE * rng.standard_normal(times.size)
        channels.append(
            ProbeChannel(
                name=f"T{wire + 1}",
                lane=lane,
                spot=spot,
                times=tuple(times.tolist()),
                temperatures=tuple(read.tolist()),
            )
        )
    return ProbeLog(channels=tuple(channels))


def as_flash_fit_log(flash, log, *, seconds=12.0, name="flash.csv"):
    """Log with its conditions."""
    conditions = ProbeConditions(
        dryer=flash.name,
        garment=GARMENT.name,
        date=dt.date(2026, 11, 25),
        setting=flash.radiant_temperature.value,
        film=FILM,
        flash_seconds=seconds,
    )
    return FitLog(log=log, conditions=conditions, cloth=CLOTH, name=name)
