"""Where on the film the image and everything beside it lies, and rows of the whole sheet put together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown import units
from laydown.domain.validity import within

PackedRows = NDArray[np.uint8]

SIDE = units.from_mm(16.0)
"""Width of the bare film left and right of the image, and of the corners' targets [m]."""

ABOVE = units.from_mm(16.0)
BELOW = units.from_mm(25.0)
"""Heights of the bands of words and of the tone strip [m]."""

NARROWEST = units.from_mm(110.0)
"""Width that the words and the tone strip need at least [m]."""

WORD = 64
"""Columns of a sheet are a multiple of this, so that rows are whole words for whoever codes them."""

TURNED = np.asarray([int(f"{value:08b}"[::-1], 2) for value in range(256)], np.uint8)
"""Each byte with its bits in the other order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A film in device pixels.

    Attributes
    ----------
    columns, rows : int
        Of the whole film.
    left, top : int
        Of the image's upper left corner; ``left`` is a multiple of 8.
    image_columns, image_rows : int
    resolution : float
        Pixels per metre.
    """

    columns: int
    rows: int
    left: int
    top: int
    image_columns: int
    image_rows: int
    resolution: float

    @property
    def width(self) -> float:
        """Of the whole film [m]."""
        return self.columns / self.resolution

    @property
    def height(self) -> float:
        """Of the whole film [m]."""
        return self.rows / self.resolution

    def pixels(self, length: float) -> int:
        """Device pixels nearest to a length [m]."""
        return round(length * self.resolution)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stamp:
    """Packed bits that are put on a sheet; ``left`` counts bytes of a row, ``top`` rows."""

    left: int
    top: int
    bits: PackedRows


def sheet_for(image_rows: int, image_columns: int, resolution: float) -> Sheet:
    """Sheet around an image: the same for all plates of a print, so that their targets meet."""
    within("image on the film", image_columns / resolution, 0.001, 2.0, "m wide")
    side = round(SIDE * resolution)
    least = max(image_columns + 2 * side, round(NARROWEST * resolution))
    columns = -(-least // WORD) * WORD
    top = round(ABOVE * resolution)
    return Sheet(
        columns=columns,
        rows=top + image_rows + round(BELOW * resolution),
        left=(columns - image_columns) // 2 // 8 * 8,
        top=top,
        image_columns=image_columns,
        image_rows=image_rows,
        resolution=resolution,
    )


def sheet_rows(
    sheet: Sheet, image: Iterable[PackedRows], stamps: Iterable[Stamp], *, mirrored: bool = False
) -> Iterator[PackedRows]:
    """Rows of a whole sheet, from the top.

    Parameters
    ----------
    sheet : Sheet
    image : iterable of ndarray
        Packed rows of the image, as `laydown.artwork.halftone.halftone_rows` gives them unmirrored.
    stamps : iterable of Stamp
    mirrored : bool
        The whole sheet with left and right changed over, words and all: bit by bit the mirror image.

    Yields
    ------
    ndarray of uint8, shape (rows of the band, columns / 8)
    """
    put = tuple(stamps)
    row = 0
    for band in _bands(sheet, image):
        for stamp in put:
            first, last = max(row, stamp.top), min(row + band.shape[0], stamp.top + stamp.bits.shape[0])
            if first < last:
                there = band[first - row : last - row, stamp.left : stamp.left + stamp.bits.shape[1]]
                there |= stamp.bits[first - stamp.top : last - stamp.top]
        row += band.shape[0]
        yield TURNED[band[:, ::-1]] if mirrored else band


def _bands(sheet: Sheet, image: Iterable[PackedRows]) -> Iterator[PackedRows]:
    width = sheet.columns // 8
    yield np.zeros((sheet.top, width), np.uint8)
    for band in image:
        rows = np.zeros((band.shape[0], width), np.uint8)
        rows[:, sheet.left // 8 : sheet.left // 8 + band.shape[1]] = band
        yield rows
    yield np.zeros((sheet.rows - sheet.top - sheet.image_rows, width), np.uint8)


__all__ = ["Sheet", "Stamp", "sheet_for", "sheet_rows"]
