"""Compiled Kubelka-Munk of many cells on many samples; `layer_stack` is the door.

With w = 1 - R and s = 1 + R the Kubelka-Munk equation dR/dx = S - 2(K+S)R + S R^2 is linear::

    dw/dx = K s,    ds/dx = (K + 2S) w,    R = (s - w)/(s + w)

so a cell of thickness X, with a = K X, b = (K + 2S) X and q = a b, turns (w, s) into::

    w' = w + a t s,    s' = s + b t w,    t = tanh(sqrt q)/sqrt q

up to a factor that R does not see. Every term is positive: nothing cancels, K = 0 and S = 0 need no case of
their own, and a thin cell costs a dozen multiplications. t is a quotient of polynomials in q (the continued
fraction of tanh); where q is small numerator and denominator multiply through and no division is left.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

# Eighth convergent of the continued fraction of tanh(sqrt q)/sqrt q; relative error below 1e-12 up to q = THIN.
N1, N2, N3 = 270270.0 / 2027025.0, 6930.0 / 2027025.0, 36.0 / 2027025.0
D1, D2, D3, D4 = 945945.0 / 2027025.0, 51975.0 / 2027025.0, 630.0 / 2027025.0, 1.0 / 2027025.0
THIN = 2.0
# Four doublings of the argument carry it to q = 256 THIN, where tanh differs from 1 by less than round-off.
DOUBLED = 256.0
OPAQUE = DOUBLED * THIN
# The linear state grows by a bounded factor a cell; it is scaled back long before it could overflow.
STATE_LIMIT = 1e200


@njit(cache=True, error_model="numpy")
def _thin_cell(
    w: NDArray[np.float64],
    s: NDArray[np.float64],
    absorption: NDArray[np.float64],
    scattering: NDArray[np.float64],
    dye_absorption: NDArray[np.float64],
    dye: float,
    factor: NDArray[np.float64],
    thickness: float,
) -> None:
    """Carry the state up through one cell whose q is at most THIN in every lane."""
    for j in range(w.size):
        k = absorption[j] + dye * dye_absorption[j]
        x = thickness * factor[j]
        a = x * k
        b = x * (k + 2.0 * scattering[j])
        q = a * b
        n = 1.0 + q * (N1 + q * (N2 + q * N3))
        d = 1.0 + q * (D1 + q * (D2 + q * (D3 + q * D4)))
        old = w[j]
        w[j] = d * old + n * a * s[j]
        s[j] = d * s[j] + n * b * old


@njit(cache=True, error_model="numpy")
def _thick_cell(
    w: NDArray[np.float64],
    s: NDArray[np.float64],
    absorption: NDArray[np.float64],
    scattering: NDArray[np.float64],
    dye_absorption: NDArray[np.float64],
    dye: float,
    factor: NDArray[np.float64],
    thickness: float,
) -> None:
    """Carry the state up through one cell of any thickness."""
    for j in range(w.size):
        k = absorption[j] + dye * dye_absorption[j]
        x = thickness * factor[j]
        a = x * k
        b = x * (k + 2.0 * scattering[j])
        q = a * b
        u = min(q, OPAQUE) / DOUBLED
        n = 1.0 + u * (N1 + u * (N2 + u * N3))
        d = 1.0 + u * (D1 + u * (D2 + u * (D3 + u * D4)))
        # tanh(2y)/(2y) = n d/(d^2 + u n^2), four times
        n, d = n * d, d * d + u * n * n
        u *= 4.0
        n, d = n * d, d * d + u * n * n
        u *= 4.0
        n, d = n * d, d * d + u * n * n
        u *= 4.0
        n, d = n * d, d * d + u * n * n
        t = n / d if q < OPAQUE else 1.0 / math.sqrt(q)
        old = w[j]
        w[j] = old + a * t * s[j]
        s[j] = s[j] + b * t * old


@njit(cache=True, error_model="numpy")
def _scale_back(w: NDArray[np.float64], s: NDArray[np.float64]) -> None:
    for j in range(w.size):
        w[j] /= s[j]
        s[j] = 1.0


@njit(cache=True, error_model="numpy", parallel=True)
def dyed_film(
    cell_thickness: NDArray[np.float64],
    cell_layer: NDArray[np.int64],
    dye: NDArray[np.float64],
    absorption: NDArray[np.float64],
    scattering: NDArray[np.float64],
    absorption_scale: NDArray[np.float64],
    scattering_scale: NDArray[np.float64],
    dye_absorption: NDArray[np.float64],
    substrate: NDArray[np.float64],
    thickness_factor: NDArray[np.float64],
    node_weight: NDArray[np.float64],
    k1: float,
    k2: float,
) -> NDArray[np.float64]:
    """Measured reflectance [sample, day, band]; arguments as in `layer_stack.dyed_film_reflectance`."""
    samples, days, cells = dye.shape
    layers, bands = absorption.shape
    nodes = node_weight.shape[1]
    lanes = nodes * bands
    measured = np.empty((samples, days, bands))
    for i in prange(samples):
        # One lane per node and band, so that the innermost loop is long and plain.
        lane_absorption = np.empty((layers, lanes))
        lane_scattering = np.empty((layers, lanes))
        lane_dye = np.empty(lanes)
        factor = np.empty(lanes)
        w = np.empty(lanes)
        s = np.empty(lanes)
        top_absorption = np.zeros(layers)
        top_scattering = np.zeros(layers)
        top_dye = 0.0
        top_factor = 0.0
        for node in range(nodes):
            top_factor = max(top_factor, thickness_factor[i, node])
            for band in range(bands):
                j = node * bands + band
                factor[j] = thickness_factor[i, node]
                lane_dye[j] = dye_absorption[i, band]
                top_dye = max(top_dye, lane_dye[j])
                for layer in range(layers):
                    lane_absorption[layer, j] = absorption[layer, band] * absorption_scale[i, layer]
                    lane_scattering[layer, j] = scattering[layer, band] * scattering_scale[i, layer]
                    top_absorption[layer] = max(top_absorption[layer], lane_absorption[layer, j])
                    top_scattering[layer] = max(top_scattering[layer], lane_scattering[layer, j])
        for day in range(days):
            for node in range(nodes):
                for band in range(bands):
                    w[node * bands + band] = 1.0 - substrate[band]
                    s[node * bands + band] = 1.0 + substrate[band]
            size = 2.0
            for cell in range(cells):
                layer = cell_layer[cell]
                concentration = max(dye[i, day, cell], 0.0)
                thickness = cell_thickness[i, cell]
                top_a = top_factor * thickness * (top_absorption[layer] + concentration * top_dye)
                top_b = top_a + 2.0 * top_factor * thickness * top_scattering[layer]
                if top_a * top_b <= THIN:
                    _thin_cell(
                        w, s, lane_absorption[layer], lane_scattering[layer], lane_dye, concentration, factor, thickness
                    )
                else:
                    _thick_cell(
                        w, s, lane_absorption[layer], lane_scattering[layer], lane_dye, concentration, factor, thickness
                    )
                size *= 4.0 + 2.0 * top_b
                if size > STATE_LIMIT:
                    _scale_back(w, s)
                    size = 2.0
            for band in range(bands):
                total = 0.0
                for node in range(nodes):
                    j = node * bands + band
                    up = s[j] - w[j]
                    total += node_weight[i, node] * (k1 + (1.0 - k1) * (1.0 - k2) * up / (s[j] + w[j] - k2 * up))
                measured[i, day, band] = total
    return measured


@njit(cache=True, error_model="numpy", parallel=True)
def layered(
    absorption: NDArray[np.float64],
    scattering: NDArray[np.float64],
    thickness: NDArray[np.float64],
    substrate: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Compute internal reflectance [stack, band]; arguments as in `layer_stack.layered_reflectance`."""
    stacks, layers, bands = absorption.shape
    reflectance = np.empty((stacks, bands))
    step = 0 if substrate.shape[0] == 1 else 1
    factor = np.ones(bands)
    for i in prange(stacks):
        state = np.empty((2, bands))
        w = state[0]
        s = state[1]
        row = np.int64(i) * step
        for band in range(bands):
            w[band] = 1.0 - substrate[row, band]
            s[band] = 1.0 + substrate[row, band]
        wrong = 0
        for layer in range(layers):
            x = thickness[i, layer]
            thick = 0
            large = 0
            for band in range(bands):
                a = x * absorption[i, layer, band]
                b = a + 2.0 * x * scattering[i, layer, band]
                thick += a * b > THIN
                wrong += not 0.0 <= a <= b
                large += s[band] > STATE_LIMIT
            if large > 0:
                _scale_back(w, s)
            if thick == 0:
                _thin_cell(w, s, absorption[i, layer], scattering[i, layer], absorption[i, layer], 0.0, factor, x)
            else:
                _thick_cell(w, s, absorption[i, layer], scattering[i, layer], absorption[i, layer], 0.0, factor, x)
        for band in range(bands):
            reflectance[i, band] = (s[band] - w[band]) / (s[band] + w[band]) if wrong == 0 else np.nan
    return reflectance
