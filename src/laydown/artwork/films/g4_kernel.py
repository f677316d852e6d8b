"""Compiled fax coding of packed rows; `laydown.artwork.films.g4` is the door and says what is computed.

Rows are searched for changes of colour in words of 64 pixels: a word whose first pixel is in its lowest bit, against
itself moved on by one pixel, has a bit wherever the colour changes, and the lowest bit of a word is found by counting
the bits below it.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

ONE = np.uint64(1)
# Masks that turn the bits of each byte round, and that count the bits of a word.
ODD, PAIR, FOUR = np.uint64(0x5555555555555555), np.uint64(0x3333333333333333), np.uint64(0x0F0F0F0F0F0F0F0F)
BYTES = np.uint64(0x0101010101010101)
S1, S2, S4, S56, S63 = np.uint64(1), np.uint64(2), np.uint64(4), np.uint64(56), np.uint64(63)
# Words of T.6, each times 16 plus its length: vertical from 3 left to 3 right, pass, horizontal.
VERTICAL = np.array(
    [0b0000010 * 16 + 7, 0b000010 * 16 + 6, 0b010 * 16 + 3, 0b1 * 16 + 1, 0b011 * 16 + 3, 0b000011 * 16 + 6,
     0b0000011 * 16 + 7], np.uint64,
)  # fmt: skip
PASS = np.uint64(0b0001 * 16 + 4)
HORIZONTAL = np.uint64(0b001 * 16 + 3)
LENGTH = np.uint64(15)
BYTE = np.uint64(255)
LONGEST = 2560


@njit(cache=True, error_model="numpy", nogil=True)
def _changes(row: NDArray[np.uint64], width: int, found: NDArray[np.int32]) -> int:
    """Places where the colour changes, from open on; behind them the row's end, often enough to look ahead."""
    count = 0
    before = np.uint64(0)
    for i in range(row.size):
        word = row[i]
        word = ((word >> S1) & ODD) | ((word & ODD) << S1)
        word = ((word >> S2) & PAIR) | ((word & PAIR) << S2)
        word = ((word >> S4) & FOUR) | ((word & FOUR) << S4)
        change = word ^ ((word << S1) | before)
        before = word >> S63
        while change != 0:
            below = (change & (~change + ONE)) - ONE
            bits = below - ((below >> S1) & ODD)
            bits = (bits & PAIR) + ((bits >> S2) & PAIR)
            bits = (((bits + (bits >> S4)) & FOUR) * BYTES) >> S56
            found[count] = 64 * i + np.int64(bits)
            count += 1
            change &= change - ONE
    # What lies behind the row's end is open: an inked end shows as a change there.
    while count > 0 and found[count - 1] >= width:
        count -= 1
    for i in range(4):
        found[count + i] = width
    return count


@njit(cache=True, error_model="numpy", nogil=True)
def _flush(kept: np.uint64, waiting: np.int64, out: NDArray[np.uint8], written: int) -> None:
    """Four bytes of the bits that wait."""
    word = kept >> np.uint64(waiting - 32)
    out[written] = np.uint8((word >> np.uint64(24)) & BYTE)
    out[written + 1] = np.uint8((word >> np.uint64(16)) & BYTE)
    out[written + 2] = np.uint8((word >> np.uint64(8)) & BYTE)
    out[written + 3] = np.uint8(word & BYTE)


@njit(cache=True, error_model="numpy", nogil=True)
def encode_rows(
    rows: NDArray[np.uint64],
    width: int,
    codes: NDArray[np.uint64],
    above: NDArray[np.int32],
    state: NDArray[np.uint64],
    out: NDArray[np.uint8],
) -> int:
    """Code rows after what was coded before; gives the bytes written to ``out``.

    ``above`` holds the changes of the row before, ``state`` the bits that fill no four bytes yet and their number.
    """
    kept, waiting = state[0], np.int64(state[1])
    written = 0
    reference = above.copy()
    current = np.zeros_like(above)
    for r in range(rows.shape[0]):
        _changes(rows[r], width, current)
        # ``at`` is the place up to which the row is coded; before its first pixel it lies to the left of the row.
        # ``j`` is the first change above that lies right of it and turns to the other colour.
        at, i, j, ink = -1, 0, 0, 0
        while at < width:
            a1 = current[i]
            b1 = reference[j]
            gap = a1 - b1
            if gap > 0 and reference[j + 1] < a1:
                kept = (kept << np.uint64(4)) | (PASS >> S4)
                waiting += 4
                at = reference[j + 1]
                j += 2
            elif -3 <= gap <= 3:
                word = VERTICAL[gap + 3]
                kept = (kept << (word & LENGTH)) | (word >> S4)
                waiting += np.int64(word & LENGTH)
                at = a1
                i += 1
                ink ^= 1
                # The next change above, or the one before when this one lay to the left of both.
                j += 1
                if j >= 2 and reference[j - 2] > at:
                    j -= 2
            else:
                kept = (kept << np.uint64(3)) | (HORIZONTAL >> S4)
                waiting += 3
                a2 = current[i + 1]
                start = max(at, 0)
                for k in range(2):
                    run = (a1 - start) if k == 0 else (a2 - a1)
                    while run > LONGEST:
                        word = codes[0, 103]
                        kept = (kept << (word & LENGTH)) | (word >> S4)
                        waiting += np.int64(word & LENGTH)
                        run -= LONGEST
                        if waiting >= 32:
                            _flush(kept, waiting, out, written)
                            waiting -= 32
                            written += 4
                    if run >= 64:
                        word = codes[ink ^ k, 63 + (run >> 6)]
                        kept = (kept << (word & LENGTH)) | (word >> S4)
                        waiting += np.int64(word & LENGTH)
                    word = codes[ink ^ k, run & 63]
                    kept = (kept << (word & LENGTH)) | (word >> S4)
                    waiting += np.int64(word & LENGTH)
                    if waiting >= 32:
                        _flush(kept, waiting, out, written)
                        waiting -= 32
                        written += 4
                at = a2
                i += 2
            if waiting >= 32:
                _flush(kept, waiting, out, written)
                waiting -= 32
                written += 4
            while reference[j] <= at and reference[j] < width:
                j += 2
        reference, current = current, reference
    above[:] = reference
    state[0], state[1] = kept, np.uint64(waiting)
    return written
