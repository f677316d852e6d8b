"""Fit a dryer to probe logs: the most likely coefficients, and how well each is known.

Least squares with the shelf's dryer as prior (maximum a posteriori), and a Gaussian about the best point (Laplace).
Model, assumptions, limits and proof: docs/lab/dryer.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.probe_log import Lane
from laydown.errors import ConvergenceError
from laydown.lab.dryer_curves import Guess, lane_levels
from laydown.lab.dryer_fit_data import FitChannel, FitData, FitLog, gather, predicted
from laydown.lab.dryer_fit_record import fitted_dryer
from laydown.lab.dryer_fit_words import FittedNumber, cannot_tell, numbers_of
from laydown.lab.probe_sensor import NOISE
from laydown.models.sampling import Z95

Values = NDArray[np.float64]

STEP = 0.4
"""Derivatives are taken over this many prior deviations to either side: well above what the solver's steps add."""

SHORT_STEPS = {"entry": 0.05, "speed": 0.03}
"""The same for what moves the curve's bends in time: a longer step would step over them."""

MOST_STEPS = 40

TRUSTED = 1.5
"""Residuals up to this many times their expected square are taken as chance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelFit:
    """One wire, read and foretold; arrays of shape (n,).

    Attributes
    ----------
    times, measured : ndarray
        [s], [K].
    before, before_low, before_high : ndarray
        What the shelf's dryer foretells, and the band that holds nine readings of ten [K].
    after, after_low, after_high : ndarray
        The same of the fitted dryer.
    """

    name: str
    lane: Lane
    spot: str
    times: Values
    measured: Values
    before: Values
    before_low: Values
    before_high: Values
    after: Values
    after_low: Values
    after_high: Values

    @property
    def residual(self) -> Values:
        """Read less foretold [K]."""
        return self.measured - self.after

    @property
    def share_inside(self) -> float:
        """Share of the readings within the fitted dryer's band."""
        return float(((self.measured >= self.after_low) & (self.measured <= self.after_high)).mean())


@dataclass(frozen=True, slots=True, kw_only=True)
class DryerFit:
    """A dryer fitted to logs.

    Attributes
    ----------
    prior, dryer : Dryer
        Of the shelf, and fitted.
    numbers : tuple of FittedNumber
        Every fitted number with its 90 % interval, before and after.
    cannot_tell : tuple of str
        What the logs cannot tell apart, and what would.
    logs : tuple of tuple of ChannelFit
    rms : float
        Root mean square of the residuals [K].
    inflation : float
        How many times larger the residuals' variance was taken than the thermocouples' noise, as the model does not
        follow the curve any better.
    lane_heat : dict of Lane to float
        Heat of each lane beside the mean of those measured, as a factor.
    data : FitData
    z, covariance : ndarray
        Best point and its spread, in prior deviations.
    """

    prior: Dryer
    dryer: Dryer
    numbers: tuple[FittedNumber, ...]
    cannot_tell: tuple[str, ...]
    logs: tuple[tuple[ChannelFit, ...], ...]
    rms: float
    inflation: float
    lane_heat: dict[Lane, float]
    data: FitData
    z: Values
    covariance: Values

    @property
    def guess(self) -> Guess:
        """Best point."""
        return Guess(parameters=self.data.parameters, z=self.z[None, :])


def fit_dryer(
    dryer: Dryer, climate: Climate, logs: Sequence[FitLog], *, above: float = 433.15, noise: float = NOISE
) -> DryerFit:
    """Fit a dryer's coefficients to one or more probe logs.

    Parameters
    ----------
    dryer : Dryer
        As it stands on the shelf: the prior.
    climate : Climate
    logs : sequence of FitLog
        All of this dryer; different panel settings and belt speeds tell more.
    above : float
        Temperature that times are counted from [K].
    noise : float
        Standard deviation of a single reading [K].

    Raises
    ------
    InvalidInput
        When a log cannot be used.
    ConvergenceError
        When no best point is found.
    """
    data = gather(dryer, climate, logs, above=above)
    z, jacobian = _best(data, _start(data), noise)
    inflation = _inflation(data, z, jacobian, noise)
    if inflation > TRUSTED:
        z, jacobian = _best(data, z, noise * np.sqrt(inflation))
    else:
        inflation = 1.0
    sd = noise * np.sqrt(inflation)
    covariance = np.linalg.inv(jacobian.T @ jacobian / sd**2 + np.eye(z.size))
    guess = Guess(parameters=data.parameters, z=z[None, :])
    numbers = numbers_of(data.parameters, z, covariance)
    levels = lane_levels(guess, data.lanes)
    residual = data.measured - predicted(data, z)[0]
    return DryerFit(
        prior=dryer,
        dryer=fitted_dryer(data, z, covariance),
        numbers=numbers,
        cannot_tell=cannot_tell(data, covariance),
        logs=_channels(data, z, jacobian, covariance, noise=noise, inflation=inflation),
        rms=float(np.sqrt((residual**2).mean())),
        inflation=float(inflation),
        lane_heat={lane: float(np.exp(level[0])) for lane, level in levels.items()},
        data=data,
        z=z,
        covariance=covariance,
    )


def _start(data: FitData) -> Values:
    """Prior means, but the belt speeds that the bends of the curves say: from elsewhere a fit gets stuck."""
    z = np.zeros(len(data.parameters))
    for i, parameter in enumerate(data.parameters):
        if parameter.key[0] == "speed":
            found = data.readings[int(parameter.key[1])].speed
            if found is not None:
                z[i] = np.clip((np.log(found.value) - parameter.centre) / parameter.sd, -5.5, 5.5)
    return z


def _best(data: FitData, start: Values, sd: float) -> tuple[Values, Values]:
    """Most likely point, and the readings' derivatives there [K]."""
    from scipy.optimize import least_squares

    measured = data.measured

    def residuals(z: Values) -> Values:
        return np.concatenate([(predicted(data, z)[0] - measured) / sd, z])

    def slopes(z: Values) -> Values:
        return np.concatenate([derivatives(data, z) / sd, np.eye(z.size)])

    found = least_squares(
        residuals, start, jac=slopes, method="trf", x_scale=1.0, xtol=1e-4, ftol=3e-5, gtol=1e-4, max_nfev=MOST_STEPS,
        bounds=(-6.0, 6.0),
    )  # fmt: skip
    if not np.all(np.isfinite(found.x)):
        raise ConvergenceError(f"no coefficients of {data.dryer.name} were found that give the logs' curves")
    z = np.asarray(found.x)
    return z, np.asarray(found.jac)[: measured.size] * sd


def derivatives(data: FitData, z: Values) -> Values:
    """Slopes of the readings along each parameter, shape (readings, parameters) [K per prior deviation]."""
    size = np.array([SHORT_STEPS.get(str(parameter.key[0]), STEP) for parameter in data.parameters])
    steps = np.diag(size)
    both = predicted(data, np.concatenate([z + steps, z - steps]))
    return np.asarray((both[: z.size] - both[z.size :]).T / (2 * size))


def _inflation(data: FitData, z: Values, jacobian: Values, noise: float) -> float:
    """How many times the residuals' variance, and their memory, exceed that of independent noise."""
    residual = data.measured - predicted(data, z)[0]
    hat = np.linalg.solve(jacobian.T @ jacobian / noise**2 + np.eye(z.size), jacobian.T @ jacobian / noise**2)
    square = float((residual**2).sum() / noise**2 / max(1.0, residual.size - np.trace(hat)))
    memory, place = [], 0
    for channel in (one for row in data.channels for one in row):
        memory.append(_memory(residual[place : place + channel.times.size]))
        place += channel.times.size
    return max(1.0, square) * max(1.0, float(np.mean(memory)))


def _memory(residual: Values) -> float:
    """How many readings say the same thing: 1 + twice the sum of autocorrelations up to the first below 0.1."""
    centred = residual - residual.mean()
    total = float(centred @ centred)
    if total <= 0:
        return 1.0
    found = 1.0
    for lag in range(1, residual.size // 3):
        share = float(centred[:-lag] @ centred[lag:]) / total
        if share < 0.1:
            break
        found += 2 * share
    return found


def _channels(
    data: FitData, z: Values, jacobian: Values, covariance: Values, *, noise: float, inflation: float
) -> tuple[tuple[ChannelFit, ...], ...]:
    before, after = predicted(data, np.stack([np.zeros_like(z), z]))
    wide = derivatives(data, np.zeros_like(z))
    single = noise**2 * inflation
    spread_before = Z95 * np.sqrt((wide**2).sum(axis=1) + single)
    spread_after = Z95 * np.sqrt(np.einsum("ij,jk,ik->i", jacobian, covariance, jacobian) + single)
    rows, place = [], 0
    for channels in data.channels:
        row = []
        for one in channels:
            part = slice(place, place + one.times.size)
            place += one.times.size
            row.append(_channel(one, before[part], after[part], spread_before[part], spread_after[part]))
        rows.append(tuple(row))
    return tuple(rows)


def _channel(one: FitChannel, before: Values, after: Values, wide: Values, narrow: Values) -> ChannelFit:
    return ChannelFit(
        name=one.channel.name,
        lane=one.channel.lane,
        spot=str(one.channel.spot),
        times=one.times,
        measured=one.kelvin,
        before=before,
        before_low=before - wide,
        before_high=before + wide,
        after=after,
        after_low=after - narrow,
        after_high=after + narrow,
    )
