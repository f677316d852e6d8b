"""Compiled clock of dye migration: a temperature history laid out over equivalent time; its door is ``migration``.

Film and binding follow one Arrhenius law, so they know the temperature only through the equivalent time ``s`` at the
reference temperature, ``ds = D(T)/D(T_ref) dt``. The cloth's release has another activation energy: what it adds up to,
``ln(start/reservoir)``, is kept at knots over ``s`` together with its slope.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

# Columns of the rates: activation over gas constant and reference of diffusion; rate, activation over gas constant and
# reference of release.
D_SLOPE, D_REFERENCE, R_RATE, R_SLOPE, R_REFERENCE = 0, 1, 2, 3, 4

# Rows of the knots.
EQUIVALENT, FALLEN, FALL = 0, 1, 2


@njit(cache=True, error_model="numpy")
def lay_out(times: Floats, temperature: Floats, rates: Floats, pieces: Integers, knots: Floats) -> None:
    """Fill the knots of one sample; between two times the temperature is linear.

    Both integrals by the trapezoid with its end correction, for which the slopes of the exponentials are known.
    """
    x, y = rates[D_SLOPE], rates[R_SLOPE]
    speed = math.exp(x / rates[D_REFERENCE] - x / temperature[0])
    rate = rates[R_RATE] * math.exp(y / rates[R_REFERENCE] - y / temperature[0])
    knots[EQUIVALENT, 0], knots[FALLEN, 0], knots[FALL, 0] = 0.0, 0.0, rate / speed
    j = 0
    for k in range(times.size - 1):
        dt = (times[k + 1] - times[k]) / pieces[k]
        rise = (temperature[k + 1] - temperature[k]) / pieces[k]
        for i in range(pieces[k]):
            low = temperature[k] + rise * i
            high = low + rise
            speed_after = math.exp(x / rates[D_REFERENCE] - x / high)
            rate_after = rates[R_RATE] * math.exp(y / rates[R_REFERENCE] - y / high)
            bend, bend_after = rise / (12.0 * low * low), rise / (12.0 * high * high)
            passed = 0.5 * (speed + speed_after) + x * (speed * bend - speed_after * bend_after)
            fallen = 0.5 * (rate + rate_after) + y * (rate * bend - rate_after * bend_after)
            knots[EQUIVALENT, j + 1] = knots[EQUIVALENT, j] + dt * passed
            knots[FALLEN, j + 1] = knots[FALLEN, j] + dt * fallen
            knots[FALL, j + 1] = rate_after / speed_after
            speed, rate = speed_after, rate_after
            j += 1


@njit(cache=True, error_model="numpy")
def lay_out_all(times: Floats, temperature: Floats, rates: Floats, pieces: Integers, knots: Floats) -> None:
    """Fill ``knots`` [sample, 3, knot], where interval k of the history has ``pieces[sample, k]`` of them.

    One after the other: it takes a few microseconds a sample, less than waking threads.
    """
    for j in range(temperature.shape[0]):
        lay_out(times, temperature[j], rates[j], pieces[j], knots[j])
