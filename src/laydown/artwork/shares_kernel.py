"""Compiled sums over plates that lie on each other; `laydown.artwork.shares` is the door."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Tones = NDArray[np.uint8]


@njit(cache=True, error_model="numpy", nogil=True)
def add_shares(whites: Tones, colours: Tones, highlights: Tones, sums: NDArray[np.float64]) -> None:
    """Add a band's sums: tones (plate, rows, columns) of each kind, all of one size.

    ``sums`` grows by: inked, white that shows, then for each colour its tones and its tones with white below.
    """
    _, rows, columns = colours.shape
    for i in range(rows):
        for j in range(columns):
            no_white, no_colour, no_highlight = 1.0, 1.0, 1.0
            for k in range(whites.shape[0]):
                no_white *= 1.0 - whites[k, i, j] / 255.0
            for k in range(colours.shape[0]):
                no_colour *= 1.0 - colours[k, i, j] / 255.0
            for k in range(highlights.shape[0]):
                no_highlight *= 1.0 - highlights[k, i, j] / 255.0
            sums[0] += 1.0 - no_white * no_colour * no_highlight
            sums[1] += 1.0 - (1.0 - (1.0 - no_white) * no_colour) * no_highlight
            for k in range(colours.shape[0]):
                tone = colours[k, i, j] / 255.0
                sums[2 + 2 * k] += tone
                sums[3 + 2 * k] += tone * (1.0 - no_white)
