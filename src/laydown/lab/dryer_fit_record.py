"""The fitted dryer as a record that plans can use.

Plans let all zones' panels, exchanges and air coefficients be off together, and each of the three on its own. A fit
knows more: where one is higher another is lower. The record's intervals are therefore all scaled by one factor, so that
the peak temperatures which plans then expect spread as the fit says they do.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from laydown.domain.dryer import Dryer, Zone
from laydown.domain.quantity import Grade, Quantity
from laydown.lab.dryer_curves import Guess, TestPiece, lane_levels, run_guess
from laydown.lab.dryer_fit_data import FitData
from laydown.lab.dryer_parameters import LANE_SD
from laydown.models.heat import START_TEMPERATURE_RISE
from laydown.models.sampling import Z95
from laydown.units import from_celsius, to_celsius

Values = NDArray[np.float64]

GROUPS = (("panel",), ("exchange",), ("convection", "belt"))
"""What plans let be off together."""

STEP = 0.4
SETTING_SPAN = 40.0
"""Panel settings around those of the logs that the spread is matched at [K]."""

SPEED_RATIOS = (0.8, 1.0, 1.25)
"""Belt speeds around that of the logs that the spread is matched at."""

NARROWEST, WIDEST = 0.05, 2.0
"""Factors on the intervals."""


def fitted_dryer(data: FitData, z: Values, covariance: Values, *, misfit: float = 0.0) -> Dryer:
    """Dryer with the fitted coefficients.

    Parameters
    ----------
    data : FitData
    z, covariance : ndarray
        Best point and its spread, in prior deviations.
    misfit : float
        How far the model misses the curves, as a standard deviation [K]: so far it will miss peaks elsewhere, too.
    """
    guess = Guess(parameters=data.parameters, z=z[None, :])
    lane_sd = lane_spread(data, z)
    spread = _spreads(data, covariance, lane_sd)
    scale = _scale(data, z, covariance, lane_sd, misfit)
    source = _source(data)

    def moved(value: float, sd: float) -> Quantity:
        half = _tenth(Z95 * sd)
        value = from_celsius(_tenth(to_celsius(value)))
        return Quantity(value=value, low=value - half, high=value + half, grade=Grade.MEASURED, source=source)

    def scaled(quantity: Quantity, value: float, log_sd: float, most: float = math.inf) -> Quantity:
        if quantity.value == 0:
            return quantity
        factor = math.exp(Z95 * log_sd)
        value, low, high = (float(f"{min(x, most):.4g}") for x in (value, value / factor, value * factor))
        return Quantity(value=value, low=low, high=high, grade=Grade.MEASURED, source=source)

    panel_sd = scale * spread[("panel",)]
    panel = float(guess.of("panel")[0])
    zones: list[Zone] = []
    for number, zone in enumerate(data.dryer.zones):
        exchange, convection = ("exchange", number), ("convection", number)
        zones.append(
            replace(
                zone,
                panel_temperature=moved(zone.panel_temperature.value + panel, panel_sd),
                exchange=scaled(
                    zone.exchange,
                    zone.exchange.value * float(guess.factor(*exchange)[0]),
                    scale * spread.get(exchange, 0.0),
                    1.0,
                ),
                air_temperature=moved(
                    zone.air_temperature.value + zone.air_follow * panel + float(guess.of("air", number)[0]),
                    spread[("air", number)],
                ),
                air_coefficient=scaled(
                    zone.air_coefficient,
                    zone.air_coefficient.value * float(guess.factor(*convection)[0]),
                    scale * spread.get(convection, 0.0),
                ),
                belt_coefficient=scaled(
                    zone.belt_coefficient,
                    zone.belt_coefficient.value * float(guess.factor("belt")[0]),
                    scale * spread.get(("belt",), 0.0),
                ),
            )
        )
    half = _tenth(Z95 * panel_sd)
    error = Quantity(value=0.0, low=-half, high=half, grade=Grade.MEASURED, source=source)
    return replace(data.dryer, zones=tuple(zones), setting_error=error, note=_note(data))


def _tenth(kelvin: float) -> float:
    """Round to what a gauge shows, so that the shelf can be read."""
    return round(kelvin, 1)


def lane_spread(data: FitData, z: Values) -> float:
    """How far the heat of a lane is from the belt's mean, as a logarithmic deviation; assumed for one lane only."""
    if len(data.lanes) < 2:
        return LANE_SD
    levels = lane_levels(Guess(parameters=data.parameters, z=z[None, :]), data.lanes)
    return float(np.sqrt(np.mean([level[0] ** 2 for level in levels.values()])))


def peaks(data: FitData, z: Values, settings: Values, speed: float, *, lane: Values | float = 0.0) -> Values:
    """Peaks under the film of the first log's test piece, shape (size,) [K]: one guess and setting a row."""
    log = data.logs[0]
    guess = Guess(parameters=data.parameters, z=z)
    run = run_guess(
        data.dryer,
        guess,
        TestPiece(cloth=log.cloth, film=log.conditions.film, climate=data.climate),
        setting=settings,
        speed=speed,
        start=data.climate.temperature.value + START_TEMPERATURE_RISE,
        log=-1,
        lane=lane,
    )
    return np.asarray(run.interface.max(axis=1))


def _spreads(data: FitData, covariance: Values, lane_sd: float) -> dict[tuple[str | int, ...], float]:
    """Marginal deviation of each coefficient; a garment may lie in any lane, which widens the heat of each."""
    found: dict[tuple[str | int, ...], float] = {}
    for i, parameter in enumerate(data.parameters):
        if parameter.of_dryer:
            sd = parameter.sd * math.sqrt(covariance[i, i])
            found[parameter.key] = math.hypot(sd, lane_sd) if parameter.key[0] == "exchange" else sd
    return found


def _scale(data: FitData, z: Values, covariance: Values, lane_sd: float, misfit: float) -> float:
    """Factor on all intervals: the mean share of what plans would expect that the fit does."""
    own = [i for i, parameter in enumerate(data.parameters) if parameter.of_dryer]
    spread = _spreads(data, covariance, lane_sd)
    part = covariance[np.ix_(own, own)]
    shares: list[float] = []
    for speed, settings in _points(data):
        slopes, lanes = _slopes(data, z, own, settings, speed)
        for point, lane in zip(slopes, lanes, strict=True):
            known = float(point @ part @ point) + (lane * lane_sd) ** 2 + misfit**2
            apart = sum(
                sum(
                    point[k] / data.parameters[i].sd * spread[data.parameters[i].key]
                    for k, i in enumerate(own)
                    if data.parameters[i].key[0] in group
                )
                ** 2
                for group in GROUPS
            )
            shares.append(known / max(float(apart), 1e-12))
    return float(np.clip(np.sqrt(np.mean(shares)), NARROWEST, WIDEST))


def _points(data: FitData) -> list[tuple[float, Values]]:
    dryer = data.dryer
    middle = float(np.mean([log.conditions.setting for log in data.logs]))
    settings = np.unique(np.clip(middle + SETTING_SPAN * np.array([-1, 0, 1]), dryer.setting_low, dryer.setting_high))
    speeds = [
        log.conditions.speed or (reading.speed.value if reading.speed else dryer.speed_low)
        for log, reading in zip(data.logs, data.readings, strict=True)
    ]
    usual = float(np.median(speeds))
    return [(usual * ratio, settings) for ratio in SPEED_RATIOS]


def _slopes(data: FitData, z: Values, own: list[int], settings: Values, speed: float) -> tuple[Values, Values]:
    """Slopes of the peaks along the dryer's parameters, shape (settings, own), and along the lane's heat [K]."""
    count = len(own)
    moves = np.zeros((2 * count + 2, z.size))
    for k, i in enumerate(own):
        moves[k, i], moves[count + k, i] = STEP, -STEP
    lane = np.zeros(2 * count + 2)
    lane[-2:] = 0.03, -0.03
    found = peaks(
        data,
        np.tile(z + moves, (settings.size, 1)),
        np.repeat(settings, moves.shape[0]),
        speed,
        lane=np.tile(lane, settings.size),
    ).reshape(settings.size, -1)
    slopes = (found[:, :count] - found[:, count : 2 * count]) / (2 * STEP)
    return slopes, (found[:, -2] - found[:, -1]) / 0.06


def _source(data: FitData) -> str:
    named = [f"{log.name or 'probe log'} of {log.conditions.date.isoformat()}" for log in data.logs]
    shown = named if len(named) <= 3 else [*named[:3], f"{len(named) - 3} more"]
    return f"fitted to {', '.join(shown)}"


def _note(data: FitData) -> str:
    told = f"fitted to {len(data.logs)} probe log{'s' if len(data.logs) > 1 else ''}; intervals hold taken together"
    old = data.dryer.note.partition("; fitted to ")[0]
    return f"{old}; {told}" if old and not old.startswith("fitted to ") else told
