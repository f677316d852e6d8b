"""A thermocouple on a print: it lags behind, and is a little off."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.domain.quantity import Grade, Quantity

Values = NDArray[np.float64]

LAG = Quantity(
    value=1.0,
    low=0.4,
    high=2.5,
    grade=Grade.ASSUMED,
    source="a thin wire taped to cloth; first-order lag in seconds, none published for this use",
)
"""Time constant of the thermocouple [s]."""

NOISE = 0.5
"""Standard deviation of a single reading [K]. Assumed."""

OFFSET_SD = 0.9
"""Standard deviation of a thermocouple's own error, the same for all its readings [K]: class 1 wire may be off by
1.5 K (IEC 60584-1, from memory), read as a 90 % interval."""


def lagged(times: Values, curves: Values, lag: Values) -> Values:
    """Readings of thermocouples that follow ``curves`` with a first-order lag.

    Parameters
    ----------
    times : ndarray, shape (k,)
        Rising [s].
    curves : ndarray, shape (size, k)
        True temperatures, straight between the times [K]; level before the first.
    lag : ndarray, shape (size,)
        Time constants, above 0 [s].

    Returns
    -------
    ndarray, shape (size, k)
        Exact for curves that are straight between the times.
    """
    out = np.empty_like(curves)
    out[:, 0] = curves[:, 0]
    for i in range(times.size - 1):
        width = times[i + 1] - times[i]
        decay = np.exp(-width / lag)
        slope = (curves[:, i + 1] - curves[:, i]) / width
        # The answer to a ramp follows it at a distance of lag times slope.
        behind = out[:, i] - curves[:, i] + lag * slope
        out[:, i + 1] = curves[:, i + 1] - lag * slope + behind * decay
    return out
