"""The equations of docs/physics/heat.md and bleed.md as compiled right-hand sides for scipy's LSODA."""

# ruff: noqa: ANN001, ANN201 - the compiler finds the types

from __future__ import annotations

import math

import numpy as np
from numba import njit

SIGMA = 5.670374419e-8
WATER_CP = 4186.0


@njit(cache=True, error_model="numpy")
def face_flux(exchange, panel, air, h, cell, half):
    """Heat into a face: Newton on the quartic for the face's temperature, from the cell's."""
    face = cell
    radiative = SIGMA * exchange
    for _ in range(30):
        arrives = radiative * (panel**4 - face**4) + h * (air - face)
        step = (arrives - (face - cell) / half) / (4 * radiative * face**3 + h + 1 / half)
        face += step
        if abs(step) < 1e-9:
            break
    return (face - cell) / half


@njit(cache=True, error_model="numpy")
def heat_slope(y, out, d, k, c, resistance, critical, shares, beta, vapour, top, bottom):
    """Temperature and water of each cell, in turns; top and bottom hold exchange, panel, air, coefficient."""
    n = d.size
    gain = np.zeros(n)
    for i in range(n - 1):
        flux = (y[2 * i + 2] - y[2 * i]) / resistance[i]
        gain[i] += flux
        gain[i + 1] -= flux
    gain[0] += face_flux(bottom[0], bottom[1], bottom[2], bottom[3], y[0], d[0] / (2 * k[0]))
    gain[n - 1] += face_flux(top[0], top[1], top[2], top[3], y[2 * n - 2], d[n - 1] / (2 * k[n - 1]))
    for i in range(n):
        leaves = 0.0
        if critical[i] > 0:
            t = y[2 * i] - 273.15
            saturation = 611.21 * math.exp((18.678 - t / 234.5) * t / (257.14 + t))
            activity = min(1.0, y[2 * i + 1] / critical[i])
            leaves = shares[i] * beta * (activity * saturation - vapour)
            gain[i] -= leaves * (2.501e6 - 2361.0 * t)
        out[2 * i + 1] = -leaves
        out[2 * i] = gain[i] / (d[i] * c[i] + WATER_CP * y[2 * i + 1])


@njit(cache=True, error_model="numpy")
def dye_slope(t, y, out, h, resistance, partition, capacity, binding, times, kelvin, depth, k_r, e_r, t_r, e_d, t_d):
    """Reservoir, then free and bound dye of each cell in turns."""
    hot = np.interp(t, times, kelvin)
    speed = math.exp(-e_d * (1 / hot - 1 / t_d))
    release = k_r * math.exp(-e_r * (1 / hot - 1 / t_r)) * y[0]
    n = h.size
    out[0] = -release
    below = depth * release
    for i in range(n):
        above = 0.0
        if i < n - 1:
            above = speed * (partition[i] * y[2 * i + 1] - y[2 * i + 3]) / resistance[i]
        caught = speed * binding[i] * y[2 * i + 1] * (capacity[i] - y[2 * i + 2])
        out[2 * i + 1] = (below - above) / h[i] - caught
        out[2 * i + 2] = caught
        below = above
