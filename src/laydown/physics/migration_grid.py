"""The cells of the migration solver: how many each layer gets, and means over a depth that cuts a cell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FEWEST, MOST = 20, 88
"""Cells a layer has at least, and at most when nothing else is asked for."""
CLEAR_CELL, BLOCKING_CELL = 1.8e-6, 1.5e-6
"""Widest cell without and with blocker [m]: the scheme is of fourth order."""
CELLS_PER_REACTION_LENGTH = 2.75
"""Cells on the reaction length of a blocker, which is about as wide as the front."""
COVERED = 0.9
"""Share of the samples that are so resolved; the rest is a little coarser."""


def cells_per_layer(thickness: Floats, capacity: Floats, reaction_length: Floats) -> NDArray[np.int64]:
    """Cells for each layer, the same for all samples.

    Parameters
    ----------
    thickness, capacity, reaction_length : array, shape (sample, layer)
        As for ``migration.simulate_migration``.

    Returns
    -------
    array of int, shape (layer,)
        `FEWEST` to `MOST`.
    """
    thick = np.quantile(thickness, COVERED, axis=0)
    lengths = np.quantile(thickness / reaction_length, COVERED, axis=0)
    blocking = np.maximum(thick / BLOCKING_CELL, lengths * CELLS_PER_REACTION_LENGTH)
    wanted = np.where((capacity > 0).any(axis=0), blocking, thick / CLEAR_CELL)
    return np.clip(np.ceil(wanted - 1e-9), FEWEST, MOST).astype(np.int64)


def zone_mean(cell_thickness: Floats, cell_layer: NDArray[np.int64], value: Floats, depth: float) -> Floats:
    """Mean of cell means over the uppermost ``depth``.

    Parameters
    ----------
    cell_thickness : array, shape (sample, cell)
        Bottom to top [m]; equal within a layer.
    cell_layer : array of int, shape (cell,)
    value : array, shape (sample, d, cell)
    depth : float
        [m]

    Returns
    -------
    array, shape (sample, d)

    Notes
    -----
    The amount above a height is known at the faces. In the cell that is cut, it follows the cubic through the nearest
    four faces of its layer (which has three cells or more) and stays between the amounts at the cell's own faces.
    """
    thickness, content = cell_thickness[:, ::-1], (value * cell_thickness[:, None, :])[:, :, ::-1]
    faces = np.pad(np.cumsum(thickness, axis=1), ((0, 0), (1, 0)))
    amount = np.pad(np.cumsum(content, axis=2), ((0, 0), (0, 0), (1, 0)))
    reach = np.minimum(depth, faces[:, -1])[:, None]
    cut = np.minimum((faces[:, 1:-1] < reach).sum(axis=1), faces.shape[1] - 2)[:, None]
    layer = cell_layer[::-1]
    first, last = np.searchsorted(-layer, -layer[cut], side="left"), np.searchsorted(-layer, -layer[cut], side="right")
    nodes = np.clip(cut - 1, first, np.maximum(last - 3, first)) + np.arange(4)
    low, high = np.take_along_axis(faces, cut, 1), np.take_along_axis(faces, cut + 1, 1)
    x = (np.take_along_axis(faces, nodes, 1) - low) / (high - low)
    u = (reach - low) / (high - low)
    between = x[:, :, None] - x[:, None, :] + np.eye(4)
    factor = (u[:, :, None] - x[:, None, :]) / between
    weight = np.where(np.eye(4, dtype=bool), 1.0, factor).prod(axis=2)
    found = np.take_along_axis(amount, nodes[:, None, :], 2)
    reached = np.einsum("jdi,ji->jd", found, weight)
    ends = np.take_along_axis(amount, np.concatenate([cut, cut + 1], axis=1)[:, None, :], 2)
    return np.asarray(np.clip(reached, ends.min(axis=2), ends.max(axis=2)) / reach)
