"""CCITT Group 4 coding of packed rows, as TIFF and PDF both hold it, a band at a time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.films.g4_codes import run_codes
from laydown.domain.validity import within
from laydown.errors import InvalidInput

MOST_COLUMNS = 400_000


class G4Encoder:
    """Codes the rows of one picture.

    Parameters
    ----------
    columns : int
        Pixels of a row, 1 to 400,000.

    Notes
    -----
    ITU-T T.6, two-dimensional coding without end-of-line marks; ended by the two end-of-line words. A set bit is ink.
    Runs without Python's lock, so that several films can be coded at once, and holds only two rows' changes.
    Why the project codes itself: ``docs/decisions/0013-own-fax-coding.md``.
    """

    def __init__(self, columns: int) -> None:
        within("width of a film", columns, 1, MOST_COLUMNS, "pixels")
        self.columns = columns
        self.rows = 0
        self._above = np.full(columns + 8, columns, np.int32)
        self._state = np.zeros(2, np.uint64)
        self._parts: list[bytes] = []

    def add(self, rows: NDArray[np.uint8]) -> None:
        """Code further rows.

        Parameters
        ----------
        rows : ndarray of uint8, shape (rows, (columns + 7) // 8)
            The first pixel in the highest bit, 1 is ink; bits behind the last column must be 0.

        Raises
        ------
        InvalidInput
            When the rows have another width.
        """
        from laydown.artwork.films.g4_kernel import encode_rows

        if rows.dtype != np.uint8 or rows.ndim != 2 or rows.shape[1] != (self.columns + 7) // 8:
            raise InvalidInput(
                f"packed rows are {rows.dtype} of shape {rows.shape}; needed is uint8 of "
                f"(rows, {(self.columns + 7) // 8})"
            )
        # Whole words of 64 pixels; the coding takes at most 7 bits a pixel.
        words = -(-self.columns // 64)
        chunk = max(1, 4_000_000 // (self.columns + 64))
        out = np.empty(min(chunk, max(1, rows.shape[0])) * (self.columns + 64) + 64, np.uint8)
        for start in range(0, rows.shape[0], chunk):
            filled = np.ascontiguousarray(rows[start : start + chunk])
            if filled.shape[1] != 8 * words:
                filled = np.pad(filled, ((0, 0), (0, 8 * words - filled.shape[1])))
            written = encode_rows(
                filled.view(np.uint64), self.columns, run_codes(), self._above, self._state, out
            )  # fmt: skip
            self._parts.append(out[:written].tobytes())
        self.rows += rows.shape[0]

    def finish(self) -> bytes:
        """All that was coded, with the end mark; nothing can be added afterwards."""
        kept, waiting = int(self._state[0]), int(self._state[1])
        bits = (kept & ((1 << waiting) - 1)) << 24 | 0x001001
        waiting += 24
        spare = -waiting % 8
        self._parts.append((bits << spare).to_bytes((waiting + spare) // 8, "big"))
        return b"".join(self._parts)


__all__ = ["MOST_COLUMNS", "G4Encoder"]
