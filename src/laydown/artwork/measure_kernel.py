"""Compiled counts on a plate; `measure` is the door. Bits are packed as in `choke_kernel`."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Words = NDArray[np.uint64]
Bytes = NDArray[np.uint8]


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def split_tones(
    values: Bytes, first_row: int, margin: int, some: Words, half: Words, full: Words, trace: int, solid: int
) -> int:
    """Set the bits of a band's pixels that carry any ink, ink on half or more, and solid ink; the sum of its tones.

    The planes have ``margin`` more rows and columns on each side than the plate.
    """
    rows, columns = values.shape
    width = some.shape[1]
    total = 0
    for y in prange(rows):
        row = values[y]
        here = 0
        at = first_row + y + margin
        for k in range(width):
            any_word = np.uint64(0)
            half_word = np.uint64(0)
            full_word = np.uint64(0)
            for x in range(max(0, k * 64 - margin), min(columns, k * 64 + 64 - margin)):
                value = row[x]
                here += int(value)
                bit = np.uint64(x + margin - k * 64)
                any_word |= np.uint64(value >= trace) << bit
                half_word |= np.uint64(value >= 128) << bit
                full_word |= np.uint64(value >= solid) << bit
            some[at, k] = any_word
            half[at, k] = half_word
            full[at, k] = full_word
        total += here
    return total


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def sum_of(values: Bytes, first_row: int, margin: int, chosen: Words) -> int:
    """Sum of a band's tones over the chosen pixels."""
    rows, columns = values.shape
    total = 0
    for y in prange(rows):
        here = 0
        at = first_row + y + margin
        for x in range(columns):
            bit = x + margin
            here += values[y, x] * np.int64((chosen[at, bit >> 6] >> np.uint64(bit & 63)) & np.uint64(1))
        total += here
    return total


@njit(cache=True, error_model="numpy", nogil=True)
def _ones(word: np.uint64) -> np.int64:
    """Set bits of a word."""
    v = word - ((word >> np.uint64(1)) & np.uint64(0x5555555555555555))
    v = (v & np.uint64(0x3333333333333333)) + ((v >> np.uint64(2)) & np.uint64(0x3333333333333333))
    v = (v + (v >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
    v += v >> np.uint64(8)
    v += v >> np.uint64(16)
    v += v >> np.uint64(32)
    return np.int64(v & np.uint64(0x7F))


@njit(cache=True, error_model="numpy", nogil=True)
def _ahead(row: Words, k: int, by: int) -> Any:
    """Word k of the row moved so that bit x holds what was at x + by."""
    if by == 0:
        return row[k]
    word = row[k] >> np.uint64(by)
    if k + 1 < row.size:
        word |= row[k + 1] << np.uint64(64 - by)
    return word


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def crossings(words: Words, left_out: Words, steps: NDArray[np.int64]) -> NDArray[np.int64]:
    """For each step (columns >= 0, rows): pairs of pixels that far apart of which one is set, neither left out."""
    rows, width = words.shape
    found = np.zeros(steps.shape[0], dtype=np.int64)
    for s in prange(steps.shape[0]):
        right = steps[s, 0]
        down = abs(steps[s, 1])
        total = np.int64(0)
        for y in range(rows - down):
            near, far = words[y], words[y + down]
            near_out, far_out = left_out[y], left_out[y + down]
            if steps[s, 1] < 0:
                near, far = far, near
                near_out, far_out = far_out, near_out
            for k in range(width):
                differ = near[k] ^ _ahead(far, k, right)
                if differ:
                    total += _ones(differ & ~near_out[k] & ~_ahead(far_out, k, right))
        found[s] = total
    return found


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def halved(words: Words, columns: int) -> Words:
    """Half as many rows and columns: a pixel is set when two or more of its four are."""
    rows = words.shape[0]
    small_rows = (rows + 1) // 2
    small_columns = (columns + 1) // 2
    small = np.zeros((small_rows, (small_columns + 63) // 64), dtype=np.uint64)
    for y in prange(small_rows):
        for x in range(small_columns):
            total = np.uint64(0)
            for v in range(2 * y, min(rows, 2 * y + 2)):
                word = words[v, x >> 5]
                total += (word >> np.uint64(2 * x & 63)) & np.uint64(1)
                if 2 * x + 1 < columns:
                    total += (word >> np.uint64((2 * x & 63) + 1)) & np.uint64(1)
            small[y, x >> 6] |= np.uint64(total >= np.uint64(2)) << np.uint64(x & 63)
    return small


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def without_lone(words: Words) -> Words:
    """Bits that have at least one of their eight neighbours."""
    rows, width = words.shape
    kept = np.empty((rows, width), dtype=np.uint64)
    for y in prange(rows):
        for k in range(width):
            word = words[y, k]
            near = np.uint64(0)
            if word:
                for v in range(max(0, y - 1), min(rows, y + 2)):
                    row = words[v]
                    near |= row[k] << np.uint64(1) | row[k] >> np.uint64(1)
                    if k > 0:
                        near |= row[k - 1] >> np.uint64(63)
                    if k + 1 < width:
                        near |= row[k + 1] << np.uint64(63)
                    if v != y:
                        near |= row[k]
            kept[y, k] = word & near
    return kept
