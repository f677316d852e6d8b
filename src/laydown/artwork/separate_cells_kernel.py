"""Compiled count of a picture's colours; `separate_cells` is the door.

A cell holds the colours that share their six highest bits in each channel: 64 x 64 x 64 cells.
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]

CELLS = 1 << 18
# Columns of a cell's counts: pixels, pixels inside even areas, and the sums of the two low bits of red, green, blue.
COLUMNS = 5
SAME = 12
"""Sum of the channel differences up to which two neighbours count as one even area."""
OPAQUE = 250


@njit(cache=True, error_model="numpy", parallel=True, nogil=True)
def count_cells(pixels: Pixels, parts: int) -> NDArray[np.uint32]:
    """Counts (cell, COLUMNS) of all pixels that are not wholly transparent; the sums are over pixels inside even areas.

    A cell that no even area has sums over all of its pixels instead.
    """
    rows, columns, _ = pixels.shape
    counts = np.zeros((parts, CELLS, COLUMNS), dtype=np.uint32)
    spread = np.zeros((parts, CELLS, 3), dtype=np.uint32)
    for part in prange(parts):
        for y in range(part * rows // parts, (part + 1) * rows // parts):
            for x in range(columns):
                alpha = pixels[y, x, 3]
                if alpha == 0:
                    continue
                r = np.int32(pixels[y, x, 0])
                g = np.int32(pixels[y, x, 1])
                b = np.int32(pixels[y, x, 2])
                cell = ((r >> 2) << 12) | ((g >> 2) << 6) | (b >> 2)
                counts[part, cell, 0] += np.uint32(1)
                inside = False
                if alpha >= OPAQUE and x > 0 and y > 0:
                    left = (
                        abs(r - np.int32(pixels[y, x - 1, 0]))
                        + abs(g - np.int32(pixels[y, x - 1, 1]))
                        + abs(b - np.int32(pixels[y, x - 1, 2]))
                    )
                    above = (
                        abs(r - np.int32(pixels[y - 1, x, 0]))
                        + abs(g - np.int32(pixels[y - 1, x, 1]))
                        + abs(b - np.int32(pixels[y - 1, x, 2]))
                    )
                    inside = bool(
                        left <= SAME
                        and above <= SAME
                        and pixels[y, x - 1, 3] >= OPAQUE
                        and pixels[y - 1, x, 3] >= OPAQUE
                    )
                if inside:
                    counts[part, cell, 1] += np.uint32(1)
                    counts[part, cell, 2] += np.uint32(r & 3)
                    counts[part, cell, 3] += np.uint32(g & 3)
                    counts[part, cell, 4] += np.uint32(b & 3)
                else:
                    spread[part, cell, 0] += np.uint32(r & 3)
                    spread[part, cell, 1] += np.uint32(g & 3)
                    spread[part, cell, 2] += np.uint32(b & 3)
    total: NDArray[np.uint32] = counts[0]
    for number in prange(CELLS):
        for other in range(1, parts):
            for c in range(COLUMNS):
                total[number, c] += counts[other, number, c]
            for c in range(3):
                spread[0, number, c] += spread[other, number, c]
        if total[number, 0] > 0 and total[number, 1] == 0:
            for c in range(3):
                total[number, 2 + c] = spread[0, number, c]
    return total
