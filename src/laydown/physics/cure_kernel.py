"""Compiled searches in temperature curves; their door is ``cure``. Curves are straight between outputs."""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HALVINGS = 45


@njit(cache=True, error_model="numpy")
def longest_run(times: Floats, curve: Floats, level: float) -> float:
    """Longest time [s] without a break that the curve is at or above the level."""
    longest: float = 0.0
    begin: float = times[0]
    inside = curve[0] >= level
    for k in range(1, times.size):
        if inside and curve[k] < level:
            share = (curve[k - 1] - level) / (curve[k - 1] - curve[k])
            longest = max(longest, times[k - 1] + share * (times[k] - times[k - 1]) - begin)
            inside = False
        elif not inside and curve[k] >= level:
            share = (level - curve[k - 1]) / (curve[k] - curve[k - 1])
            begin = times[k - 1] + share * (times[k] - times[k - 1])
            inside = True
    if inside:
        longest = max(longest, times[-1] - begin)
    return longest


@njit(cache=True, error_model="numpy")
def held_level(times: Floats, curve: Floats, hold: float) -> float:
    """Highest level that the curve holds for ``hold`` seconds without a break."""
    low: float = curve[0]
    high: float = curve[0]
    for k in range(1, times.size):
        low, high = min(low, curve[k]), max(high, curve[k])
    if hold <= 0.0:
        return high
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if longest_run(times, curve, middle) >= hold:
            low = middle
        else:
            high = middle
    return low


@njit(cache=True, error_model="numpy", parallel=True)
def search_batch(times: Floats, curves: Floats, level: Floats, hold: Floats, out: Floats) -> None:
    """Fill ``out`` (sample, 2): the longest run at or above the sample's level, the level held for its hold."""
    for m in prange(curves.shape[0]):
        out[m, 0] = longest_run(times, curves[m], level[m])
        out[m, 1] = held_level(times, curves[m], hold[m])
