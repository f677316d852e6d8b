"""Most likely parameters of curves that thermocouples read, and how well each is known.

Least squares with unit normal priors (maximum a posteriori), and a Gaussian about the best point (Laplace). Dryers and
flash units share it; model, assumptions, limits and proof: docs/lab/dryer.md.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.probe_log import Lane
from laydown.errors import ConvergenceError
from laydown.lab.dryer_curves import Guess, lane_levels
from laydown.lab.dryer_fit_misfit import Misfit, misfit_of, whitener
from laydown.lab.dryer_fit_words import FittedNumber, conflicts, numbers_of
from laydown.lab.fit_readings import FitChannel, FitReadings
from laydown.models.sampling import Z95

Values = NDArray[np.float64]

STEP = 0.4
"""Derivatives are taken over this many prior deviations to either side: well above what the solver's steps add."""

SHORT_STEPS = {"entry": 0.05, "speed": 0.03}
"""The same for what moves the curve's bends in time: a longer step would step over them."""

MOST_STEPS = 40

ROUNDS = 2
"""Times that the fit is made again with what the model was found to miss."""


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
class CurveFit:
    """Parameters fitted to logs.

    Attributes
    ----------
    numbers : tuple of FittedNumber
        Every fitted number with its 90 % interval, before and after.
    conflicts : tuple of str
        Where logs and shelf, or logs among each other, do not agree.
    logs : tuple of tuple of ChannelFit
    rms : float
        Root mean square of the residuals [K].
    misfit : float
        How far the model misses the curves beyond the thermocouples' noise, as a standard deviation [K]; 0 where chance
        explains it.
    lane_heat : dict of Lane to float
        Heat of each lane beside the mean of those measured, as a factor.
    z, covariance : ndarray
        Best point and its spread, in prior deviations.
    """

    numbers: tuple[FittedNumber, ...]
    conflicts: tuple[str, ...]
    logs: tuple[tuple[ChannelFit, ...], ...]
    rms: float
    misfit: float
    lane_heat: dict[Lane, float]
    z: Values
    covariance: Values


def fit_curves(data: FitReadings, start: Values, *, noise: float, what: str) -> CurveFit:
    """Fit parameters to readings.

    Parameters
    ----------
    data : FitReadings
    start : ndarray, shape (parameters,)
        Where the search begins, in prior deviations.
    noise : float
        Standard deviation of a single reading [K].
    what : str
        Name of the machine, for errors.

    Raises
    ------
    ConvergenceError
        When no best point is found.
    """
    misfit = Misfit()
    z, jacobian = _best(data, start, whitener(data.channels, noise, misfit), what)
    for _ in range(ROUNDS):
        residual = data.measured - data.predicted(z)[0]
        found = misfit_of(data.channels, residual, free=_free(jacobian, noise), noise=noise)
        if found.sd <= misfit.sd:
            break
        misfit = found
        z, jacobian = _best(data, z, whitener(data.channels, noise, misfit), what)
    white = whitener(data.channels, noise, misfit)(jacobian)
    covariance: Values = np.asarray(np.linalg.inv(white.T @ white + np.eye(z.size)), dtype=np.float64)
    numbers = numbers_of(data.parameters, z, covariance)
    levels = lane_levels(Guess(parameters=data.parameters, z=z[None, :]), data.lanes)
    logs = _channels(data, z, jacobian, covariance, single=noise**2 + misfit.sd**2)
    residual = data.measured - data.predicted(z)[0]
    return CurveFit(
        numbers=numbers,
        conflicts=conflicts(
            numbers,
            [(name, _mean_residual(row)) for name, row in zip(data.names, logs, strict=True)],
        ),
        logs=logs,
        rms=float(np.sqrt((residual**2).mean())),
        misfit=misfit.sd,
        lane_heat={lane: float(np.exp(level[0])) for lane, level in levels.items()},
        z=z,
        covariance=covariance,
    )


def _mean_residual(row: tuple[ChannelFit, ...]) -> float:
    return float(np.concatenate([one.residual for one in row]).mean())


def _best(data: FitReadings, start: Values, white: Callable[[Values], Values], what: str) -> tuple[Values, Values]:
    """Most likely point, and the readings' derivatives there [K]."""
    from scipy.optimize import least_squares

    measured = data.measured
    seen: dict[bytes, Values] = {}

    def residuals(z: Values) -> Values:
        return np.concatenate([white(data.predicted(z)[0] - measured), z])

    def slopes(z: Values) -> Values:
        seen.clear()
        seen[z.tobytes()] = derivatives(data, z)
        return np.concatenate([white(seen[z.tobytes()]), np.eye(z.size)])

    found = least_squares(
        residuals, start, jac=slopes, method="trf", x_scale=1.0, xtol=1e-4, ftol=3e-5, gtol=1e-4, max_nfev=MOST_STEPS,
        bounds=(-6.0, 6.0),
    )  # fmt: skip
    if not np.all(np.isfinite(found.x)):
        raise ConvergenceError(f"no coefficients of {what} were found that give the logs' curves")
    z = np.asarray(found.x)
    kept = seen.get(z.tobytes())
    return z, derivatives(data, z) if kept is None else kept


def derivatives(data: FitReadings, z: Values) -> Values:
    """Slopes of the readings along each parameter, shape (readings, parameters) [K per prior deviation]."""
    size = np.array([SHORT_STEPS.get(str(parameter.key[0]), STEP) for parameter in data.parameters])
    steps = np.diag(size)
    both = data.predicted(np.concatenate([z + steps, z - steps]))
    return np.asarray((both[: z.size] - both[z.size :]).T / (2 * size))


def _free(jacobian: Values, noise: float) -> float:
    """Number of readings less what was fitted to them."""
    square = np.asarray(jacobian.T @ jacobian / noise**2)
    fitted = float(np.trace(np.linalg.solve(square + np.eye(square.shape[0]), square)))
    return max(1.0, float(jacobian.shape[0]) - fitted)


def _channels(
    data: FitReadings, z: Values, jacobian: Values, covariance: Values, *, single: float
) -> tuple[tuple[ChannelFit, ...], ...]:
    before, after = data.predicted(np.stack([np.zeros_like(z), z]))
    wide = derivatives(data, np.zeros_like(z))
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
