"""Compiled CIEDE2000 for long arrays; `ciede2000` is the door and says what is computed.

The loop body is free of branches and of library calls, so that the compiler works on several pairs at once:
atan by two halvings and a series, exp and sin by series. All are good to about 1e-14 of a colour difference.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

BLOCK = 2048
COS_30, SIN_30 = math.cos(math.radians(30)), math.sin(math.radians(30))
COS_6, SIN_6 = math.cos(math.radians(6)), math.sin(math.radians(6))
COS_63, SIN_63 = math.cos(math.radians(63)), math.sin(math.radians(63))
COS_275, SIN_275 = math.cos(math.radians(275)), math.sin(math.radians(275))
C25_7 = 25.0**7
# (8 t / 25°)^2 with t the eighth of the angle in radians, shared out over 2^7 squarings.
BLUE = (8.0 * 180.0 / math.pi / 25.0) ** 2 / 128.0
SIXTY = math.pi / 3.0


@njit(cache=True, error_model="numpy", inline="always")
def _saturation(chroma: float) -> float:
    square = chroma * chroma
    c7 = square * square * square * chroma
    return math.sqrt(c7 / (c7 + C25_7))


@njit(cache=True, error_model="numpy", inline="always")
def _arctan(t: float) -> float:
    """Arc tangent of |t| <= tan 22.5°."""
    q = t * t
    p = -1.0 / 35.0 + q * (1.0 / 37.0)
    p = 1.0 / 33.0 + q * p
    p = -1.0 / 31.0 + q * p
    p = 1.0 / 29.0 + q * p
    p = -1.0 / 27.0 + q * p
    p = 1.0 / 25.0 + q * p
    p = -1.0 / 23.0 + q * p
    p = 1.0 / 21.0 + q * p
    p = -1.0 / 19.0 + q * p
    p = 1.0 / 17.0 + q * p
    p = -1.0 / 15.0 + q * p
    p = 1.0 / 13.0 + q * p
    p = -1.0 / 11.0 + q * p
    p = 1.0 / 9.0 + q * p
    p = -1.0 / 7.0 + q * p
    p = 1.0 / 5.0 + q * p
    p = -1.0 / 3.0 + q * p
    return t * (1.0 + q * p)


@njit(cache=True, error_model="numpy", inline="always")
def _exp_minus_128(z: float) -> float:
    """exp(-128 z) for 0 <= z <= 0.41."""
    p = 1.0 - z * (1.0 / 12.0)
    p = 1.0 - z * (1.0 / 11.0) * p
    p = 1.0 - z * (1.0 / 10.0) * p
    p = 1.0 - z * (1.0 / 9.0) * p
    p = 1.0 - z * (1.0 / 8.0) * p
    p = 1.0 - z * (1.0 / 7.0) * p
    p = 1.0 - z * (1.0 / 6.0) * p
    p = 1.0 - z * (1.0 / 5.0) * p
    p = 1.0 - z * (1.0 / 4.0) * p
    p = 1.0 - z * (1.0 / 3.0) * p
    p = 1.0 - z * (1.0 / 2.0) * p
    p = 1.0 - z * p
    p *= p
    p *= p
    p *= p
    p *= p
    p *= p
    p *= p
    return p * p


@njit(cache=True, error_model="numpy", inline="always")
def _sin(x: float) -> float:
    """Sine of 0 <= x <= 60° in radians."""
    q = x * x
    p = 1.0 - q * (1.0 / 342.0)
    p = 1.0 - q * (1.0 / 272.0) * p
    p = 1.0 - q * (1.0 / 210.0) * p
    p = 1.0 - q * (1.0 / 156.0) * p
    p = 1.0 - q * (1.0 / 110.0) * p
    p = 1.0 - q * (1.0 / 72.0) * p
    p = 1.0 - q * (1.0 / 42.0) * p
    p = 1.0 - q * (1.0 / 20.0) * p
    return x * (1.0 - q * (1.0 / 6.0) * p)


@njit(cache=True, error_model="numpy", inline="always")
def _one(l1: float, a1: float, b1: float, l2: float, a2: float, b2: float) -> float:
    stretch = 1.5 - 0.5 * _saturation(0.5 * (math.sqrt(a1 * a1 + b1 * b1) + math.sqrt(a2 * a2 + b2 * b2)))
    a1 = stretch * a1
    a2 = stretch * a2
    c1 = math.sqrt(a1 * a1 + b1 * b1)
    c2 = math.sqrt(a2 * a2 + b2 * b2)
    mean_l = 0.5 * (l1 + l2)
    mean_c = 0.5 * (c1 + c2)
    per1 = 1.0 / c1 if c1 > 0.0 else 0.0
    per2 = 1.0 / c2 if c2 > 0.0 else 0.0
    x1 = a1 * per1
    y1 = b1 * per1
    x2 = a2 * per2
    y2 = b2 * per2
    dx = x2 - x1
    dy = y2 - y1
    cross = a1 * b2 - a2 * b1
    tie = b1 if b1 != 0.0 else a1
    lead = cross if cross != 0.0 else tie
    sign = 1.0 if lead > 0.0 else -1.0
    hue_change = sign * math.sqrt(c1 * c2) * math.sqrt(dx * dx + dy * dy)
    dot = x1 * x2 + y1 * y2
    mx = sign * dy if dot < 0.0 else x1 + x2
    my = -sign * dx if dot < 0.0 else y1 + y2
    length = math.sqrt(mx * mx + my * my)
    per = 1.0 / length if length > 0.0 else 0.0
    cos1 = mx * per if length > 0.0 else 1.0
    sin1 = my * per
    cos2 = cos1 * cos1 - sin1 * sin1
    sin2 = 2.0 * sin1 * cos1
    cos3 = cos1 * cos2 - sin1 * sin2
    sin3 = sin1 * cos2 + cos1 * sin2
    cos4 = cos2 * cos2 - sin2 * sin2
    sin4 = 2.0 * sin2 * cos2
    t = (
        1.0
        - 0.17 * (cos1 * COS_30 + sin1 * SIN_30)
        + 0.24 * cos2
        + 0.32 * (cos3 * COS_6 - sin3 * SIN_6)
        - 0.20 * (cos4 * COS_63 + sin4 * SIN_63)
    )
    # Tangent of an eighth of the angle from 275°: tan(θ/2) = sin θ/(1 + cos θ), then twice tan(θ/2) from tan θ.
    # Near 180° the quotient may be anything large; exp(-52) follows and nothing of it is seen.
    near = 1.0 + cos1 * COS_275 + sin1 * SIN_275
    half = (sin1 * COS_275 - cos1 * SIN_275) / max(near, 1e-12)
    quarter = half / (1.0 + math.sqrt(1.0 + half * half))
    eighth = _arctan(quarter / (1.0 + math.sqrt(1.0 + quarter * quarter)))
    turn = _sin(SIXTY * _exp_minus_128(BLUE * eighth * eighth))
    turn = 0.0 if sin1 >= 0.0 and cos1 > 0.0 else turn
    from_mean = (mean_l - 50.0) * (mean_l - 50.0)
    lightness = (l2 - l1) / (1.0 + 0.015 * from_mean / math.sqrt(20.0 + from_mean))
    chroma = (c2 - c1) / (1.0 + 0.045 * mean_c)
    hue = hue_change / (1.0 + 0.015 * mean_c * t)
    square = lightness * lightness + chroma * chroma + hue * hue - 2.0 * _saturation(mean_c) * turn * chroma * hue
    return math.sqrt(max(square, 0.0))


@njit(cache=True, error_model="numpy", parallel=True)
def differences(lab1: NDArray[np.float64], lab2: NDArray[np.float64]) -> NDArray[np.float64]:
    """ΔE00 of each pair of rows; arguments (pair, 3), result (pair,)."""
    pairs = lab1.shape[0]
    result = np.empty(pairs)
    for block in prange((pairs + BLOCK - 1) // BLOCK):
        start = np.int64(block) * BLOCK
        for i in range(start, min(start + BLOCK, pairs)):
            result[i] = _one(lab1[i, 0], lab1[i, 1], lab1[i, 2], lab2[i, 0], lab2[i, 1], lab2[i, 2])
    return result
