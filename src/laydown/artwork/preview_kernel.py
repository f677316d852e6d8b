"""Compiled colours of a band of plates, averaged over squares; `laydown.artwork.preview` is the door."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Values = NDArray[np.float64]


@njit(cache=True, error_model="numpy", nogil=True)
def band_colours(tones: NDArray[np.uint8], table: Values, step: int) -> Values:
    """XYZ of tones (plate, rows, columns), averaged over squares of ``step`` pixels: (squares down, across, 3).

    Columns are a multiple of ``step``; the last squares may be lower. Tones mix by Demichel's shares of the primaries
    in the table (2^plates, 3). A pixel with the tones of the one before it has its colour.
    """
    plates, rows, columns = tones.shape
    down = (rows + step - 1) // step
    across = columns // step
    out = np.zeros((down, across, 3))
    last = np.full(plates, -1, dtype=np.int64)
    bits = np.empty(plates, dtype=np.int64)
    shares = np.empty(plates)
    x, y, z = 0.0, 0.0, 0.0
    for i in range(rows):
        square = i // step
        high = min(step, rows - square * step)
        scale = 1.0 / (high * step)
        for j in range(columns):
            same = True
            for k in range(plates):
                if tones[k, i, j] != last[k]:
                    same = False
                    break
            if not same:
                whole = 0
                split = 0
                for k in range(plates):
                    tone = tones[k, i, j]
                    last[k] = tone
                    bit = 1 << (plates - 1 - k)
                    if tone == 255:
                        whole |= bit
                    elif tone > 0:
                        bits[split] = bit
                        shares[split] = tone / 255.0
                        split += 1
                x, y, z = 0.0, 0.0, 0.0
                for subset in range(1 << split):
                    row = whole
                    share = 1.0
                    for n in range(split):
                        if (subset >> n) & 1:
                            row |= bits[n]
                            share *= shares[n]
                        else:
                            share *= 1.0 - shares[n]
                    x += share * table[row, 0]
                    y += share * table[row, 1]
                    z += share * table[row, 2]
            out[square, j // step, 0] += scale * x
            out[square, j // step, 1] += scale * y
            out[square, j // step, 2] += scale * z
    return out
