"""Compiled colours of a print: all primaries, and their mean for given tones; `print_colour` is the door."""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Values = NDArray[np.float64]


@njit(cache=True, error_model="numpy", nogil=True)
def primary_table(
    films: Values,
    films_on_cloth: Values,
    substrate: Values,
    cloth: Values,
    node_weight: Values,
    weights: Values,
    k1: float,
    k2: float,
) -> Values:
    """XYZ of each of 2^plates stacks; films (plate, node, 4, band), one matrix on (w, s) each.

    The sets are counted in binary with the plate printed first as the highest bit, so the state below a plate is
    still there from the set before, unless a lower plate changed.
    """
    plates, nodes, _, bands = films.shape
    table = np.zeros((1 << plates, 3))
    w = np.empty((plates + 1, nodes, bands))
    s = np.empty((plates + 1, nodes, bands))
    bare = np.empty(plates + 1, dtype=np.bool_)
    bare[0] = True
    for node in range(nodes):
        for j in range(bands):
            w[0, node, j] = 1.0 - substrate[j]
            s[0, node, j] = 1.0 + substrate[j]
    for j in range(bands):
        for c in range(3):
            table[0, c] += cloth[j] * weights[j, c]
    for row in range(1 << plates):
        changed = row ^ (row - 1) if row else (1 << plates) - 1
        for k in range(plates):
            bit = 1 << (plates - 1 - k)
            if bit > changed:
                continue
            bare[k + 1] = bare[k] and not row & bit
            for node in range(nodes):
                film = films_on_cloth[k, node] if bare[k] else films[k, node]
                for j in range(bands):
                    below_w = w[k, node, j]
                    below_s = s[k, node, j]
                    if row & bit:
                        w[k + 1, node, j] = film[0, j] * below_w + film[1, j] * below_s
                        s[k + 1, node, j] = film[2, j] * below_w + film[3, j] * below_s
                    else:
                        w[k + 1, node, j] = below_w
                        s[k + 1, node, j] = below_s
        if row == 0:
            continue
        for node in range(nodes):
            for j in range(bands):
                r = (s[plates, node, j] - w[plates, node, j]) / (s[plates, node, j] + w[plates, node, j])
                r = max(r, 0.0)
                seen = node_weight[node] * (k1 + (1.0 - k1) * (1.0 - k2) * r / (1.0 - k2 * r))
                for c in range(3):
                    table[row, c] += seen * weights[j, c]
    return table


@njit(cache=True, error_model="numpy", parallel=True, nogil=True)
def mix(tones: Values, table: Values) -> Values:
    """XYZ of tones (pixel, plate) by Demichel's shares of the primaries in the table (2^plates, 3)."""
    xyz = np.empty((tones.shape[0], 3))
    for i in prange(tones.shape[0]):
        xyz[i, 0], xyz[i, 1], xyz[i, 2] = _mixed(tones[i], table)
    return xyz


@njit(cache=True, error_model="numpy", nogil=True)
def mix_few(tones: Values, table: Values) -> Values:
    """Do as `mix` on one thread, for few pixels."""
    xyz = np.empty((tones.shape[0], 3))
    for i in range(tones.shape[0]):
        xyz[i, 0], xyz[i, 1], xyz[i, 2] = _mixed(tones[i], table)
    return xyz


@njit(cache=True, error_model="numpy", nogil=True)
def _mixed(tones: Values, table: Values) -> tuple[float, float, float]:
    """Sum over the sets of those plates that are neither open nor solid here; the others do not split the area."""
    plates = tones.size
    whole = 0
    split = 0
    bit_of = np.empty(plates, dtype=np.int64)
    tone_of = np.empty(plates)
    for k in range(plates):
        tone = tones[k]
        bit = 1 << (plates - 1 - k)
        if tone >= 1.0:
            whole |= bit
        elif tone > 0.0:
            bit_of[split] = bit
            tone_of[split] = tone
            split += 1
    x = 0.0
    y = 0.0
    z = 0.0
    for subset in range(1 << split):
        row = whole
        share = 1.0
        for j in range(split):
            if (subset >> j) & 1:
                row |= bit_of[j]
                share *= tone_of[j]
            else:
                share *= 1.0 - tone_of[j]
        x += share * table[row, 0]
        y += share * table[row, 1]
        z += share * table[row, 2]
    return x, y, z
