"""Fit a flash unit to probe logs: how hot it is, how much of its heat a print takes, and how well each is known.

The shelf's unit is the prior. Model, assumptions, limits and proof: docs/lab/dryer.md.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.press import Flash
from laydown.domain.quantity import Grade, Quantity
from laydown.lab.curve_fit import CurveFit, fit_curves
from laydown.lab.dryer_curves import Guess
from laydown.lab.dryer_parameters import LANE_SD
from laydown.lab.fit_readings import FitLog
from laydown.lab.flash_fit_data import FlashData, gather_flash, under_flash
from laydown.lab.flash_fit_words import flash_cannot_tell
from laydown.lab.probe_sensor import NOISE
from laydown.models.sampling import Z95
from laydown.units import from_celsius, to_celsius

Values = NDArray[np.float64]

STEP = 0.4
LANE_STEP = 0.03

MATCHED = (0.5, 0.75, 1.0)
"""Shares of the logged flash at which the spread that plans expect is matched to the fit's."""

WIDEST = 1.0
"""Largest logarithmic deviation that the record's exchange is given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlashFit:
    """A flash unit fitted to logs.

    Attributes
    ----------
    prior, flash : Flash
        Of the shelf, and fitted.
    curves : CurveFit
        Fitted numbers, and curves read and foretold.
    cannot_tell : tuple of str
        What the logs cannot tell apart, and what would.
    data : FlashData
    """

    prior: Flash
    flash: Flash
    curves: CurveFit
    cannot_tell: tuple[str, ...]
    data: FlashData


def fit_flash(flash: Flash, climate: Climate, logs: Sequence[FitLog], *, noise: float = NOISE) -> FlashFit:
    """Fit a flash unit to one or more probe logs.

    Parameters
    ----------
    flash : Flash
        As it stands on the shelf: the prior.
    climate : Climate
    logs : sequence of FitLog
        All of this unit, at one distance and setting.
    noise : float
        Standard deviation of a single reading [K].

    Raises
    ------
    InvalidInput
        When a log cannot be used.
    ConvergenceError
        When no best point is found.
    """
    data = gather_flash(flash, climate, logs)
    found = fit_curves(data, np.zeros(len(data.parameters)), noise=noise, what=flash.name)
    return FlashFit(
        prior=flash,
        flash=_fitted(data, found),
        curves=found,
        cannot_tell=flash_cannot_tell(data, found.covariance),
        data=data,
    )


def _fitted(data: FlashData, found: CurveFit) -> Flash:
    """Unit with the fitted coefficients.

    Plans let only the exchange be off. Its interval is made so wide that temperatures under the flash spread in plans
    as the fit says they do, with what its other coefficients, the place on the pallet and the model add.
    """
    flash, source = data.flash, _source(data)
    guess = Guess(parameters=data.parameters, z=found.z[None, :])
    sd = {
        parameter.key: parameter.sd * math.sqrt(found.covariance[i, i])
        for i, parameter in enumerate(data.parameters)
        if parameter.of_dryer
    }

    def moved(quantity: Quantity, key: tuple[str | int, ...]) -> Quantity:
        value = from_celsius(round(to_celsius(quantity.value + float(guess.of(*key)[0])), 1))
        half = round(Z95 * sd[key], 1)
        return Quantity(value=value, low=value - half, high=value + half, grade=Grade.MEASURED, source=source)

    def scaled(quantity: Quantity, key: tuple[str | int, ...], log_sd: float, most: float = math.inf) -> Quantity:
        if quantity.value == 0:
            return quantity
        value = quantity.value * float(guess.factor(*key)[0])
        factor = math.exp(Z95 * log_sd)
        value, low, high = (float(f"{min(x, most):.4g}") for x in (value, value / factor, value * factor))
        return Quantity(value=value, low=low, high=high, grade=Grade.MEASURED, source=source)

    exchange = ("exchange", 0)
    return replace(
        flash,
        radiant_temperature=moved(flash.radiant_temperature, ("panel",)),
        exchange=scaled(flash.exchange, exchange, _exchange_spread(data, found), 1.0)
        if exchange in sd
        else flash.exchange,
        air_temperature=moved(flash.air_temperature, ("air", 0)),
        air_coefficient=scaled(flash.air_coefficient, ("convection", 0), sd.get(("convection", 0), 0.0)),
    )


def _exchange_spread(data: FlashData, found: CurveFit) -> float:
    """Logarithmic deviation of the exchange alone that spreads temperatures as the whole fit does."""
    own = [i for i, parameter in enumerate(data.parameters) if parameter.of_dryer]
    count, size = len(own), found.z.size
    column = next(k for k, i in enumerate(own) if data.parameters[i].key == ("exchange", 0))
    moves = np.zeros((2 * count + 2, size))
    for k, i in enumerate(own):
        moves[k, i], moves[count + k, i] = STEP, -STEP
    lane = np.zeros(2 * count + 2)
    lane[-2:] = LANE_STEP, -LANE_STEP
    run = under_flash(data, Guess(parameters=data.parameters, z=found.z + moves), 0, lane=lane, as_planned=True)
    at = [int(np.abs(run.times - share * run.times[-1]).argmin()) for share in MATCHED]
    coolest = run.coolest[:, at]
    slopes = (coolest[:count] - coolest[count : 2 * count]) / (2 * STEP)
    along_lane = (coolest[-2] - coolest[-1]) / (2 * LANE_STEP)
    part = found.covariance[np.ix_(own, own)]
    known = np.einsum("it,ij,jt->t", slopes, part, slopes)
    known = known + (along_lane * lane_spread(found)) ** 2 + found.misfit**2
    along = slopes[column] / data.parameters[own[column]].sd
    return float(np.clip(np.sqrt(np.mean(known / np.maximum(along**2, 1e-9))), 0.005, WIDEST))


def lane_spread(found: CurveFit) -> float:
    """How far the heat of a place is from the pallet's mean, as a logarithmic deviation; assumed for one place only."""
    if len(found.lane_heat) < 2:
        return LANE_SD
    return float(np.sqrt(np.mean([math.log(heat) ** 2 for heat in found.lane_heat.values()])))


def _source(data: FlashData) -> str:
    named = [f"{name} of {log.conditions.date.isoformat()}" for name, log in zip(data.names, data.logs, strict=True)]
    shown = named if len(named) <= 3 else [*named[:3], f"{len(named) - 3} more"]
    return f"fitted to {', '.join(shown)}"
