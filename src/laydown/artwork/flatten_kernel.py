"""Compiled search for soft transparency; `laydown.artwork.flatten` is the door."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray


@njit(cache=True, error_model="numpy", nogil=True)
def soft_pixels(pixels: NDArray[np.uint8], start: int, stop: int, reach: int, edge: int) -> NDArray[np.bool_]:
    """Which pixels of the rows are half transparent with no rise of alpha by ``edge`` within ``reach``."""
    rows, columns, _ = pixels.shape
    soft = np.zeros((stop - start, columns), dtype=np.bool_)
    for i in range(start, stop):
        for j in range(columns):
            alpha = pixels[i, j, 3]
            if alpha == 0 or alpha == 255:  # noqa: PLR1714 - compiled code has no sets
                continue
            low, high = alpha, alpha
            for y in range(max(0, i - reach), min(rows, i + reach + 1)):
                for x in range(max(0, j - reach), min(columns, j + reach + 1)):
                    other = pixels[y, x, 3]
                    low = min(low, other)
                    high = max(high, other)
            soft[i - start, j] = int(high) - int(low) < edge
    return soft
