"""What a heat model in one dimension misses of a real dryer's curve, beyond the noise of the wires.

The misses of a log are taken as one smooth, random curve that all its wires share: normal, with a standard deviation
and a memory that are estimated from the residuals. Without it, a curve which the model cannot follow would pass for
knowledge of the coefficients.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

TRUSTED = 1.5
"""Residuals up to this many times their expected square are taken as chance."""

SHORTEST, LONGEST = 3.0, 20.0
"""Bounds of the memory [s]."""

HIDDEN = 1.5
"""How much larger the misses are than the residuals show, as the fit has bent to them already. Assumed."""


class Timed(Protocol):
    """Readings of a wire."""

    @property
    def times(self) -> Values:
        """When they were taken, shape (n,) [s]."""


Rows = Sequence[Sequence[Timed]]
"""Wires of each log."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """What the model misses.

    Attributes
    ----------
    sd : float
        [K]; 0: chance explains everything.
    memory : float
        Time in which a miss is forgotten, as of ``exp(-t / memory)`` [s].
    """

    sd: float = 0.0
    memory: float = SHORTEST


def misfit_of(rows: Rows, residual: Values, *, free: float, noise: float) -> Misfit:
    """Estimate what the model misses from the residuals of a fit.

    Parameters
    ----------
    residual : ndarray, shape (readings,)
        Read less foretold [K].
    free : float
        Number of readings less what was fitted to them.
    noise : float
        Standard deviation of a single reading [K].
    """
    square = float((residual**2).sum()) / free
    if square <= TRUSTED * noise**2:
        return Misfit()
    memories, place = [], 0
    for one in (one for row in rows for one in row):
        memories.append(_memory(one.times, residual[place : place + one.times.size]))
        place += one.times.size
    memory = float(np.clip(np.median(memories), SHORTEST, LONGEST))
    return Misfit(sd=HIDDEN * float(np.sqrt(square - noise**2)), memory=memory)


def whitener(rows: Rows, noise: float, misfit: Misfit) -> Callable[[Values], Values]:
    """Give the function that turns readings' differences, or their slopes, into independent ones of unit spread."""
    if misfit.sd == 0:
        return lambda differences: differences / noise
    factors: list[Values] = []
    for row in rows:
        times = np.concatenate([one.times for one in row])
        shared = misfit.sd**2 * np.exp(-np.abs(times[:, None] - times[None, :]) / misfit.memory)
        factors.append(np.linalg.inv(np.linalg.cholesky(shared + noise**2 * np.eye(times.size))))

    def white(differences: Values) -> Values:
        parts, place = [], 0
        for factor in factors:
            parts.append(factor @ differences[place : place + factor.shape[0]])
            place += factor.shape[0]
        return np.concatenate(parts)

    return white


def _memory(times: Values, residual: Values) -> float:
    """Time after which neighbouring residuals have forgotten each other by a factor of e [s]."""
    centred = residual - residual.mean()
    total = float(centred @ centred)
    step = float(np.median(np.diff(times)))
    for lag in range(1, residual.size // 2):
        if total <= 0 or float(centred[:-lag] @ centred[lag:]) / total < np.exp(-1):
            return lag * step
    return LONGEST
