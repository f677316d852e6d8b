"""Compiled growing and shrinking of areas by a disc, on packed bits; `choke_discs` is the door.

Bit x % 64 of word x // 64 stands for column x. A disc is, row by row, a run of pixels: a row is widened once for each
width that occurs, by shifts that double it, and the result is the union of the widened rows above and below.
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Words = NDArray[np.uint64]
Bytes = NDArray[np.uint8]

ALL = np.uint64(0xFFFFFFFFFFFFFFFF)
BLOCK = 64
"""Rows that are worked on together."""


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def pack_from(values: Bytes, least: int) -> Words:
    """Bits of the pixels that are at least ``least``."""
    rows, columns = values.shape
    width = (columns + 63) // 64
    words = np.zeros((rows, width), dtype=np.uint64)
    for y in prange(rows):
        row = values[y]
        for k in range(width):
            word = np.uint64(0)
            start = k * 64
            for x in range(start, min(columns, start + 64)):
                word |= np.uint64(row[x] >= least) << np.uint64(x - start)
            words[y, k] = word
    return words


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def unpack(words: Words, columns: int) -> Bytes:
    """One byte, 0 or 1, a bit."""
    rows = words.shape[0]
    values = np.empty((rows, columns), dtype=np.uint8)
    for y in prange(rows):
        for x in range(columns):
            values[y, x] = (words[y, x >> 6] >> np.uint64(x & 63)) & np.uint64(1)
    return values


@njit(cache=True, error_model="numpy", nogil=True)
def _shifted_union(source: Words, target: Words, by: int) -> None:
    """Set target to source, joined by source moved ``by`` < 64 columns to the left and to the right."""
    width = source.size
    up = np.uint64(by)
    down = np.uint64(64 - by)
    for k in range(width):
        word = source[k]
        found = word | (word << up) | (word >> up)
        if k > 0:
            found |= source[k - 1] >> down
        if k + 1 < width:
            found |= source[k + 1] << down
        target[k] = found


@njit(cache=True, error_model="numpy", nogil=True)
def _widened(row: Words, reach: int, target: Words, scratch: Words) -> None:
    """Row widened by ``reach`` columns on both sides."""
    target[:] = row
    done = 0
    while done < reach:
        # A run widened by d is at least d + 1 long, also where the picture's edge cuts it, so it may be moved that far.
        step = min(reach - done, done + 1, 63)
        scratch[:] = target
        _shifted_union(scratch, target, step)
        done += step


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def dilate(words: Words, half_widths: NDArray[np.int64]) -> Words:
    """Union of discs around all set bits; ``half_widths[d]`` is how far the disc reaches at d rows from its centre."""
    rows, width = words.shape
    reach = half_widths.size - 1
    grown = np.zeros((rows, width), dtype=np.uint64)
    for block in prange((rows + BLOCK - 1) // BLOCK):
        start = block * BLOCK
        stop = min(rows, start + BLOCK)
        low = max(0, start - reach)
        high = min(rows, stop + reach)
        target = np.empty(width, dtype=np.uint64)
        scratch = np.empty(width, dtype=np.uint64)
        for y in range(low, high):
            some = np.uint64(0)
            for k in range(width):
                some |= words[y, k]
            if some == 0:
                continue
            last = -1
            for d in range(reach, -1, -1):
                if half_widths[d] != last:
                    last = half_widths[d]
                    _widened(words[y], last, target, scratch)
                if start <= y - d < stop:
                    for k in range(width):
                        grown[y - d, k] |= target[k]
                if d > 0 and start <= y + d < stop:
                    for k in range(width):
                        grown[y + d, k] |= target[k]
    return grown


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def inverted(words: Words, columns: int) -> Words:
    """Every bit of the picture turned over; bits beyond its last column stay 0."""
    rows, width = words.shape
    turned = np.empty((rows, width), dtype=np.uint64)
    tail = columns & 63
    last = ALL if tail == 0 else (np.uint64(1) << np.uint64(tail)) - np.uint64(1)
    for y in prange(rows):
        for k in range(width):
            turned[y, k] = ~words[y, k]
        turned[y, width - 1] &= last
    return turned
