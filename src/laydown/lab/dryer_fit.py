"""Fit a dryer to probe logs: the most likely coefficients, and how well each is known.

The shelf's dryer is the prior. Model, assumptions, limits and proof: docs/lab/dryer.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.lab.curve_fit import CurveFit, fit_curves
from laydown.lab.dryer_curves import Guess
from laydown.lab.dryer_fit_data import FitData, gather
from laydown.lab.dryer_fit_record import fitted_dryer
from laydown.lab.dryer_fit_words import cannot_tell
from laydown.lab.fit_readings import FitLog
from laydown.lab.probe_sensor import NOISE

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class DryerFit:
    """A dryer fitted to logs.

    Attributes
    ----------
    prior, dryer : Dryer
        Of the shelf, and fitted.
    curves : CurveFit
        Fitted numbers, and curves read and foretold.
    cannot_tell : tuple of str
        What the logs cannot tell apart, and what would.
    data : FitData
    """

    prior: Dryer
    dryer: Dryer
    curves: CurveFit
    cannot_tell: tuple[str, ...]
    data: FitData

    @property
    def guess(self) -> Guess:
        """Best point."""
        return Guess(parameters=self.data.parameters, z=self.curves.z[None, :])


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
    found = fit_curves(data, _start(data), noise=noise, what=dryer.name)
    return DryerFit(
        prior=dryer,
        dryer=fitted_dryer(data, found.z, found.covariance, misfit=found.misfit),
        curves=found,
        cannot_tell=cannot_tell(data, found.covariance),
        data=data,
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
