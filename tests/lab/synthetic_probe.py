"""Probe logs made from a dryer whose coefficients are known, with the thermocouples' lag, error and noise."""

import datetime as dt

import numpy as np

from laydown.domain.probe_log import Lane, ProbeChannel, ProbeConditions, ProbeLog, Spot
from laydown.lab.dryer_curves import Guess, TestPiece, at_times, lane_levels, read_by, run_guess
from laydown.lab.dryer_parameters import dryer_parameters, log_parameters, wire_parameters
from laydown.lab.fit_readings import FitLog
from laydown.models.cloth import describe_cloth
from laydown.services.shelves import open_shop

SHOP = open_shop()
GARMENT = SHOP.garments[0]
CLOTH = describe_cloth(GARMENT)
THREE = (Lane.LEFT, Lane.CENTRE, Lane.RIGHT)
NOISE = 0.5
FILM = 1e-4


def draw(dryer, rng, *, lanes=THREE, speed=None):
    """Truth drawn from the priors: parameters and their places."""
    speed = speed or dryer.length / 60
    parameters = (
        *dryer_parameters(dryer),
        *wire_parameters(lanes, len(lanes)),
        *log_parameters(0, entry=10.0, speed=speed, start=305.0, film=True),
    )
    z = rng.standard_normal(len(parameters))
    # The fit knows the start by what the wires read before the entry, so its prior is wider than any truth's.
    z[[i for i, one in enumerate(parameters) if one.key[0] == "start"]] *= 0.4
    return Guess(parameters=parameters, z=z[None, :])


def written_log(dryer, truth, rng, *, setting=None, lanes=THREE, spot=Spot.UNDER_PRINT, every=1.0, speed_factor=1.0):
    """Log of a run, and its belt speed [m/s]."""
    setting = dryer.setting if setting is None else setting
    speed = float(truth.of("speed", 0)[0]) * speed_factor
    entry, start = float(truth.of("entry", 0)[0]), truth.of("start", 0)
    levels = lane_levels(truth, lanes)
    channels = []
    for wire, lane in enumerate(lanes):
        piece = TestPiece(cloth=CLOTH, film=FILM, climate=SHOP.climate)
        run = run_guess(dryer, truth, piece, setting=setting, speed=speed, start=start, lane=levels[lane])
        times = np.arange(0.0, entry + run.times[-1] - 0.01, every)
        curve = at_times(run.times, read_by(run, spot, truth.of("lag")), start, (times - entry)[None])[0]
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
    return ProbeLog(channels=tuple(channels)), speed


def as_fit_log(dryer, log, *, speed, setting=None, name="kiln.csv"):
    """Log with its conditions."""
    conditions = ProbeConditions(
        dryer=dryer.name,
        garment=GARMENT.name,
        date=dt.date(2026, 11, 25),
        setting=dryer.setting if setting is None else setting,
        speed=speed,
        film=FILM,
    )
    return FitLog(log=log, conditions=conditions, cloth=CLOTH, name=name)


def as_csv(log, *, delimiter=";", comma=True, spot=Spot.ON_PRINT):
    """Log as a logger would write it."""
    told = " under" if spot is Spot.UNDER_PRINT else ""
    rows = [delimiter.join(["Time (s)", *(f"{one.name}{told} {one.lane} °C" for one in log.channels)])]
    for i, t in enumerate(log.channels[0].times):
        cells = [f"{t:.1f}", *(f"{one.temperatures[i] - 273.15:.1f}" for one in log.channels)]
        rows.append(delimiter.join(cell.replace(".", ",") if comma else cell for cell in cells))
    return ("# invented logger\n" + "\n".join(rows) + "\n").encode()
