"""The memory that worker and reader share: the picture first, one plane for each spot plate behind it."""

from __future__ import annotations

import mmap
import os
from typing import Any

from laydown.errors import InvalidInput

CHANNELS = 4
STORED_IN_FOUR_BYTES = frozenset({"RGB", "RGBA", "CMYK", "YCbCr", "LAB", "LA", "La", "PA"})
"""Modes whose pixels Pillow keeps as wide as the picture's own, so that they can be decoded in place."""


class Canvas:
    """Result of one job, in a file that the reader has made.

    Parameters
    ----------
    file : int
        Descriptor of that file.
    most : int
        Bytes it may grow to.
    """

    def __init__(self, file: int, most: int) -> None:
        self._file = file
        self._most = most
        self._memory: mmap.mmap | None = None
        self.columns = 0
        self.rows = 0

    def open(self, columns: int, rows: int, spots: int = 0) -> None:
        """Make room for a picture and its plates.

        Raises
        ------
        InvalidInput
            They need more room than the limit.
        """
        size = columns * rows * (CHANNELS + spots)
        if size > self._most:
            plates = f" and {spots} spot plates" if spots else ""
            raise InvalidInput(
                f"{columns} x {rows} pixels{plates} take {size / 1e6:.0f} MB; allowed are {self._most / 1e6:.0f} MB"
            )
        os.ftruncate(self._file, size)
        self._memory = mmap.mmap(self._file, size)
        self.columns, self.rows = columns, rows

    @property
    def memory(self) -> mmap.mmap:
        """All of it, as it is shared."""
        if self._memory is None:
            raise AssertionError("the canvas has not been opened")
        return self._memory

    def core(self, mode: str) -> Any:
        """The picture as an image core of Pillow that writes straight into the shared memory."""
        from PIL import _imaging

        return _imaging.map_buffer(self.memory, (self.columns, self.rows), "raw", 0, (mode, 0, 1))

    def write_rows(self, start: int, pixels: bytes) -> None:
        """Set whole rows of RGBA from ``start`` on."""
        offset = start * self.columns * CHANNELS
        self.memory[offset : offset + len(pixels)] = pixels

    def keep_spots(self, count: int) -> None:
        """Give back the room of plates beyond so many."""
        os.ftruncate(self._file, self.columns * self.rows * (CHANNELS + count))

    def spot(self, index: int) -> memoryview:
        """The plane of one spot plate, rows by columns bytes."""
        plane = self.columns * self.rows
        start = plane * (CHANNELS + index)
        return memoryview(self.memory)[start : start + plane]


__all__ = ["CHANNELS", "STORED_IN_FOUR_BYTES", "Canvas"]
