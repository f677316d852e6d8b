"""Compiled comparison of tones with thresholds; `laydown.artwork.halftone` is the door and says what is computed.

Eight comparisons give eight bytes of 0 or 1, which one multiplication gathers into the bits of one byte: the factor
has its ones where byte i meets bit 63 - i, and no two products fall on the same bit. The other factor turns them round.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

GATHER = np.uint64(0x8040201008040201)
GATHER_TURNED = np.uint64(0x0102040810204080)
TOP = np.uint64(56)


@njit(cache=True, error_model="numpy", nogil=True)
def _pack(flags: NDArray[np.uint8], mirrored: bool, out: NDArray[np.uint8]) -> None:
    eights = flags.view(np.uint64)
    last = out.size - 1
    if mirrored:
        for i in range(out.size):
            out[last - i] = np.uint8((eights[i] * GATHER_TURNED) >> TOP)
    else:
        for i in range(out.size):
            out[i] = np.uint8((eights[i] * GATHER) >> TOP)


@njit(cache=True, error_model="numpy", nogil=True)
def _compare(ranks: NDArray[np.uint16], level: NDArray[np.uint16], flags: NDArray[np.uint8]) -> None:
    for i in range(level.size):
        flags[i] = ranks[i] < level[i]


@njit(cache=True, error_model="numpy", nogil=True)
def screen_band(
    tone: NDArray[np.uint8],
    row_of: NDArray[np.int64],
    column_of: NDArray[np.int32],
    first_row: int,
    ranks: NDArray[np.uint16],
    slant: int,
    period: int,
    levels: NDArray[np.uint16],
    mirrored: bool,
    out: NDArray[np.uint8],
) -> None:
    """Fill ``out`` with the packed rows from ``first_row`` on; rows of ``tone`` are those that ``row_of`` counts."""
    columns = column_of.size
    high, width = ranks.shape
    span = width - period
    flags = np.zeros(8 * out.shape[1], np.uint8)
    # The bits that are left over in a row's last byte come first when the row is turned round.
    ahead = 8 * out.shape[1] - columns if mirrored else 0
    across = np.zeros(tone.shape[1], np.uint16)
    level = np.zeros(columns, np.uint16)
    full = levels[255]
    seen = -1
    grey = False
    for i in range(row_of.size):
        source = row_of[i]
        if source == seen and not grey:
            out[i] = out[i - 1]
            continue
        if source != seen:
            seen = source
            line = tone[source]
            grey = False
            inked = False
            for x in range(line.size):
                value = levels[line[x]]
                across[x] = value
                inked |= value > 0
                grey |= (value > 0) & (value < full)
            if not inked:
                out[i] = 0
                continue
            for x in range(columns):
                level[x] = across[column_of[x]]
        y = first_row + i
        row = ranks[y % high]
        x = 0
        while x < columns:
            at = (x + slant * (y // high)) % period
            run = min(span, columns - x)
            _compare(row[at : at + run], level[x : x + run], flags[ahead + x : ahead + x + run])
            x += run
        _pack(flags, mirrored, out[i])
