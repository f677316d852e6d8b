"""The equations of docs/physics/bleed.md once more, for scipy's LSODA: nothing in here comes from the solver.

Clock time instead of equivalent time, concentrations instead of activities, the plain second-order flux on a fine grid,
and Richardson's extrapolation of two such grids. Unknowns are the reservoir and, in turns, dye and bound dye of each
cell, so that the Jacobian has two bands on either side.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

R = 8.31446261815324


def solve_one(
    case: dict[str, Any], sample: int, cells: np.ndarray, finer: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Free, bound [d, cell] on the given cells and reservoir [d], extrapolated from grids finer and twice so."""
    coarse, fine = (_on_grid(case, sample, cells, factor) for factor in (finer, 2 * finer))
    return tuple((4 * b - a) / 3 for a, b in zip(coarse, fine, strict=True))


def _on_grid(case, sample, cells, factor):
    samples = len(case["temperature"])

    def row(name, columns):
        return np.broadcast_to(np.asarray(case[name], dtype=float), (samples, columns))[sample]

    def number(name):
        return float(np.broadcast_to(np.asarray(case[name], dtype=float), samples)[sample])

    layers = len(cells)
    layer = np.repeat(np.arange(layers), cells * factor)
    h = (row("layer_thickness", layers) / (cells * factor))[layer]
    d = row("diffusivity_ref", layers)[layer]
    capacity = row("capacity", layers)[layer]
    length = row("reaction_length", layers)[layer]
    partition = np.ones(layer.size - 1)
    steps = row("partition", layers - 1) if layers > 1 else np.zeros(0)
    partition[np.flatnonzero(np.diff(layer))] = steps
    # Both half cells in line: J (h2/2D2 + P h1/2D1) = P c1 - c2.
    resistance = h[1:] / (2 * d[1:]) + partition * h[:-1] / (2 * d[:-1])
    binding = np.where(capacity > 0, d / (length**2 * np.where(capacity > 0, capacity, 1.0)), 0.0)
    depth = number("reservoir_depth")
    times = np.asarray(case["times"], dtype=float)
    kelvin = row("temperature", times.size)
    e_d, e_r = number("diffusion_activation") / R, number("release_activation") / R
    t_d, t_r, k_r = case["diffusion_reference"], case["release_reference"], number("release_ref")
    n = layer.size

    def slope(t, y):
        hot = np.interp(t, times, kelvin)
        speed = np.exp(-e_d * (1 / hot - 1 / t_d))
        release = k_r * np.exp(-e_r * (1 / hot - 1 / t_r)) * y[0]
        c, bound = y[1::2], y[2::2]
        flux = np.empty(n + 1)
        flux[0], flux[-1] = depth * release, 0.0
        flux[1:-1] = speed * (partition * c[:-1] - c[1:]) / resistance
        caught = speed * binding * c * (capacity - bound)
        out = np.empty_like(y)
        out[0] = -release
        out[1::2] = (flux[:-1] - flux[1:]) / h - caught
        out[2::2] = caught
        return out

    state = np.zeros(2 * n + 1)
    state[0] = number("reservoir_start")
    outputs = np.asarray(case["output_times"], dtype=float)
    found = np.empty((outputs.size, state.size))
    # A fresh start wherever the temperature bends after a rest, so that no short heating is stepped over.
    long = np.flatnonzero(np.diff(times) > 100.0)
    stops = np.unique(np.concatenate([times[[0, -1]], times[long], times[long + 1], outputs]))
    for begin, end in pairwise(stops):
        inside = times[(times > begin) & (times < end)]
        answer = solve_ivp(
            slope, (begin, end), state, method="LSODA", rtol=1e-6, atol=1e-9, lband=2, uband=2,
            max_step=np.inf if inside.size == 0 else 3.0 * np.diff(times[times <= end])[-1],
        )  # fmt: skip
        assert answer.success, answer.message
        state = answer.y[:, -1].copy()
        found[outputs == end] = state

    def mean(values):
        return values.reshape(outputs.size, -1, factor).mean(axis=2)

    return mean(found[:, 1::2]), mean(found[:, 2::2]), found[:, 0]
