"""Cells of a stack of layers: how finely each is cut, so that the space error is small where it matters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

Floats = NDArray[np.float64]


def graded_shares(cells: int, ratio: float = 1.0) -> Floats:
    """Shares of a layer's thickness, from its bottom cell to its top cell.

    Parameters
    ----------
    cells : int
        Number of cells, at least 1.
    ratio : float
        Each cell is this many times as thick as the one *above* it: 1 for equal cells, above 1 for cells that
        become finer towards the top.

    Returns
    -------
    array, shape (cells,)
        Adds up to 1.
    """
    if cells < 1 or not ratio > 0:
        raise InvalidInput("a layer needs at least one cell and a ratio above zero", where="graded_shares")
    shares = float(ratio) ** np.arange(cells - 1, -1, -1, dtype=np.float64)
    return np.asarray(shares / shares.sum())


PALLET_SHARES = graded_shares(12, 1.35)
"""Fine below the cloth, where a flash of some seconds warms the first millimetre only."""
CLOTH_SHARES = graded_shares(12)
FILM_SHARES = graded_shares(6)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Cells of all samples, bottom to top; ``layer[name or number]`` of ``layers`` tells which belong together.

    Attributes
    ----------
    thickness, conductivity, heat_capacity : array, shape (sample, cell)
        [m], [W/(m K)], [J/(m³ K)].
    layers : tuple of slice
        The cells of each layer, bottom to top.
    """

    thickness: Floats
    conductivity: Floats
    heat_capacity: Floats
    layers: tuple[slice, ...]


def stack_cells(
    *,
    thickness: ArrayLike,
    conductivity: ArrayLike,
    heat_capacity: ArrayLike,
    shares: Sequence[Floats],
) -> Cells:
    """Cut layers into cells.

    Parameters
    ----------
    thickness, conductivity, heat_capacity : array, shape (sample, layer) or (layer,)
        Of each layer, bottom (pallet, belt or cloth) to top (film): [m], [W/(m K)], [J/(m³ K)].
    shares : sequence of arrays
        For each layer its cells' shares of the thickness, as from ``graded_shares``.

    Returns
    -------
    Cells
    """
    arrays = [np.atleast_2d(np.asarray(a, dtype=np.float64)) for a in (thickness, conductivity, heat_capacity)]
    d, k, c = np.broadcast_arrays(*arrays)
    if d.shape[1] != len(shares):
        raise InvalidInput(f"{d.shape[1]} layers need as many sets of shares, got {len(shares)}", where="shares")
    counts = [len(s) for s in shares]
    ends = np.cumsum(counts).tolist()
    return Cells(
        thickness=np.concatenate([d[:, i, None] * s for i, s in enumerate(shares)], axis=1),
        conductivity=np.repeat(k, counts, axis=1),
        heat_capacity=np.repeat(c, counts, axis=1),
        layers=tuple(slice(end - count, end) for end, count in zip(ends, counts, strict=True)),
    )
