"""Plates whose tones are looked up from the picture's colours when they are asked for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.choke_discs import Area
from laydown.artwork.picture import Pixels
from laydown.artwork.plate import Tone
from laydown.artwork.separate_cells import ColourCells
from laydown.errors import InvalidInput

Values = NDArray[np.float64]
Bytes = NDArray[np.uint8]

CELLS = 1 << 18
NONE = 255
MIXED = 254
ALL_EDGES = 0.5
"""A cell of which more than this share lies in even areas is not taken for an edge. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellLabels:
    """Which cells of colour are flat colours, and which may be edges between two of them.

    Attributes
    ----------
    labels : ndarray of uint8, shape (CELLS,)
        Number of the flat colour; 254: perhaps an edge; 255: neither.
    flats : ndarray, shape (k, 3)
        sRGB of the flat colours, 0 to 255.
    doubtful : ndarray of bool, shape (256,)
        Labels of which each pixel's neighbours are asked: perhaps an edge, or a flat colour between two others.
    mixed : ndarray of int, shape (m,)
        Rows of the picture's cells that may be edges.
    pair : ndarray of int, shape (m, 2)
        The two flat colours that each of them lies between best.
    share : ndarray, shape (m,)
        How much of the second it holds.
    """

    labels: Bytes
    flats: Values
    doubtful: NDArray[np.bool_]
    mixed: NDArray[np.int64]
    pair: NDArray[np.int64]
    share: Values

    def blend(self, flat_tones: Values) -> Values:
        """Tones of the cells that may be edges, shape (m, ...), from those of the flat colours."""
        share = self.share.reshape(-1, *(1,) * (flat_tones.ndim - 1))
        return (1 - share) * flat_tones[self.pair[:, 0]] + share * flat_tones[self.pair[:, 1]]


def label_cells(cells: ColourCells) -> CellLabels:
    """Label the cells of a picture."""
    from laydown.artwork.separate_plates_kernel import find_mixes

    labels = np.full(CELLS, NONE, dtype=np.uint8)
    flats = np.ascontiguousarray(cells.srgb[cells.flats])
    flat = cells.flat >= 0
    labels[cells.cell[flat]] = cells.flat[flat]
    doubtful = np.zeros(256, dtype=bool)
    doubtful[MIXED] = True
    doubtful[: len(flats)] = find_mixes(flats, flats)[0][:, 0] >= 0
    loose = np.flatnonzero(~flat & (cells.inside <= ALL_EDGES * cells.pixels))
    pair, share = find_mixes(np.ascontiguousarray(cells.srgb[loose]), flats)
    between = pair[:, 0] >= 0
    labels[cells.cell[loose[between]]] = MIXED
    return CellLabels(
        labels=labels,
        flats=flats,
        doubtful=doubtful,
        mixed=loose[between],
        pair=pair[between],
        share=np.asarray(share[between]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellTones:
    """Tones by the cell of a pixel's colour, times its alpha; at edges between flat colours, theirs mixed by area.

    Attributes
    ----------
    pixels : ndarray of uint8, shape (rows, columns, 4)
    table : ndarray of uint8, shape (CELLS,)
    flat_tones : ndarray of uint8, shape (k,)
        Tone of each flat colour.
    labels : CellLabels
    """

    pixels: Pixels
    table: Bytes
    flat_tones: Bytes
    labels: CellLabels

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return int(self.pixels.shape[0]), int(self.pixels.shape[1])

    def band(self, start: int, stop: int) -> Tone:
        """Rows from ``start`` up to ``stop``."""
        from laydown.artwork.separate_plates_kernel import look_up

        start, stop = rows_of(self.shape[0], start, stop)
        tones: Tone = look_up(
            self.pixels,
            words_of(self.pixels),
            start,
            stop,
            self.table,
            self.labels.labels,
            self.labels.flats,
            self.flat_tones,
            self.labels.doubtful,
            bool(self.labels.mixed.size),
        )
        return tones


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChokedTones:
    """Tones of a white that is pulled back below colours.

    Attributes
    ----------
    whole : CellTones
        White as the optics want it.
    shown : ndarray of uint8, shape (CELLS,)
        How much of it shows between the colours: that much stays at any edge.
    flat_shown : ndarray of uint8, shape (k,)
    kept : Area
        Pixels in which all of the white stays.
    """

    whole: CellTones
    shown: Bytes
    flat_shown: Bytes
    kept: Area

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.whole.shape

    def band(self, start: int, stop: int) -> Tone:
        """Rows from ``start`` up to ``stop``."""
        from laydown.artwork.separate_plates_kernel import look_up_choked

        start, stop = rows_of(self.shape[0], start, stop)
        tones: Tone = look_up_choked(
            self.whole.pixels,
            words_of(self.whole.pixels),
            start,
            stop,
            self.whole.table,
            self.shown,
            self.kept.words,
            self.whole.labels.labels,
            self.whole.labels.flats,
            self.whole.flat_tones,
            self.flat_shown,
            self.whole.labels.doubtful,
            bool(self.whole.labels.mixed.size),
        )
        return tones


def words_of(pixels: Pixels) -> NDArray[np.uint32]:
    """Red, green, blue and alpha of each pixel as one number, red lowest; no copy where the picture is in one piece."""
    return np.ascontiguousarray(pixels).view("<u4")[..., 0]


def rows_of(rows: int, start: int, stop: int) -> tuple[int, int]:
    """Band of a picture, its end cut off at the last row as a slice would.

    Raises
    ------
    InvalidInput
        When it starts before the first row or after its end.
    """
    if not 0 <= start <= stop:
        raise InvalidInput(f"a band runs down the picture; {start} to {stop} does not")
    return min(start, rows), min(stop, rows)


__all__ = ["CELLS", "CellLabels", "CellTones", "ChokedTones", "label_cells", "rows_of"]
