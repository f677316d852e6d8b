"""Plates to dots: tones at the art's resolution become one-bit rows at the device's, a band at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from laydown import units
from laydown.artwork.plate import Plate, ToneSource
from laydown.domain.validity import within
from laydown.errors import InvalidInput

PackedRows = NDArray[np.uint8]
FloatArray = NDArray[np.float64]

ART_ROWS = 128
"""Rows of art that are broken into dots at once: with their device rows they fit a processor's own memory."""


class DotShape(StrEnum):
    """How a dot grows with the tone."""

    ROUND = "round"
    ELLIPTICAL = "elliptical"
    SQUARE = "square"
    LINE = "line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Halftone:
    """Dots in rows of equal distance whose size carries the tone.

    Attributes
    ----------
    ruling : float
        Rows of dots per length [1/m]: 300 to 8000.
    angle : float
        Of a row of dots against the horizontal, counter-clockwise as the print is seen [rad]; for lines, of the lines.
    shape : DotShape
    """

    ruling: float
    angle: float = 22.5 * np.pi / 180
    shape: DotShape = DotShape.ELLIPTICAL

    def __post_init__(self) -> None:
        within("halftone ruling", self.ruling, 300.0, 8000.0, "lines per metre")
        within("halftone angle", self.angle, -2 * np.pi, 2 * np.pi, "rad")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stochastic:
    """Dots of one size, scattered evenly without a pattern; their number carries the tone.

    Attributes
    ----------
    dot : float
        Edge of the smallest dot [m]; on the film it is the next whole number of device pixels.
    """

    dot: float

    def __post_init__(self) -> None:
        within("smallest dot", self.dot, 10e-6, 2e-3, "m")


Screening = Halftone | Stochastic


def told_screening(screening: Screening) -> str:
    """Words for a film or a ticket: ``55 lines/in, 22.5°, elliptical dots``."""
    if isinstance(screening, Stochastic):
        return f"stochastic, dots of {units.to_micron(screening.dot):.0f} µm"
    marks = "lines" if screening.shape is DotShape.LINE else f"{screening.shape} dots"
    ruling, angle = units.to_per_inch(screening.ruling), units.to_degree(screening.angle)
    return f"{round(ruling, 1):g} lines/in, {round(angle, 2):g}°, {marks}"


def device_shape(plate: Plate, resolution: float) -> tuple[int, int]:
    """Device pixels of a plate, rows and columns: its size to the nearest pixel, so within half a pixel of it."""
    within("resolution of the device", resolution, 2_000.0, 400_000.0, "pixels per metre")
    return max(1, round(plate.height * resolution)), max(1, round(plate.width * resolution))


def halftone_rows(
    plate: Plate,
    screening: Screening,
    *,
    resolution: float,
    shares: FloatArray | None = None,
    mirrored: bool = False,
    art_rows: int = ART_ROWS,
) -> Iterator[PackedRows]:
    """Break a plate into dots.

    Parameters
    ----------
    plate : Plate
    screening : Halftone or Stochastic
    resolution : float
        Of the device [pixels per metre].
    shares : ndarray, shape (256,), optional
        Inked share on the film for each tone of the plate, from `laydown.artwork.tone_curve.film_shares`; without it
        the tone itself. Tone 0 never gets a dot and tone 255 never a hole, whatever is given for them.
    mirrored : bool
        Left and right changed over.
    art_rows : int
        Rows of the plate a band.

    Yields
    ------
    ndarray of uint8, shape (device rows of the band, (columns + 7) // 8)
        The first pixel in the highest bit, 1 is ink; what is left over in the last byte is 0.

    Raises
    ------
    InvalidInput
        When a cell of the halftone has fewer than 4 device pixels along its edge, or ``shares`` is not a table of 256
        shares.

    Notes
    -----
    Each device pixel takes the tone of the art's pixel that its centre lies in. Nothing is smoothed in between: hard
    edges stay hard, an area keeps its size to the device pixel, and a halftone cell averages over many pixels of the
    art anyway. The screen lies still on the print's upper left corner: the result does not depend on the bands, and a
    mirrored film is the exact mirror image.
    """
    from laydown.artwork.halftone_thresholds import thresholds

    table = np.arange(256) / 255 if shares is None else np.asarray(shares, dtype=np.float64)
    if table.shape != (256,) or not np.all((table >= 0) & (table <= 1)):
        raise InvalidInput("the shares on the film must be 256 numbers from 0 to 1, one for each tone")
    rows, columns = device_shape(plate, resolution)
    screen = thresholds(screening, resolution)
    levels = np.rint(table * screen.levels).astype(np.uint16)
    levels[0], levels[255] = 0, screen.levels
    return bands(
        plate.tones, (rows, columns), ranks=screen.ranks, slant=screen.slant, period=screen.period, levels=levels,
        mirrored=mirrored, art_rows=art_rows,
    )  # fmt: skip


def bands(
    tones: ToneSource,
    shape: tuple[int, int],
    *,
    ranks: NDArray[np.uint16],
    slant: int,
    period: int,
    levels: NDArray[np.uint16],
    mirrored: bool,
    art_rows: int,
) -> Iterator[PackedRows]:
    """Compare tones with thresholds, a band at a time; `halftone_rows` is the door with checks.

    Parameters
    ----------
    tones : ToneSource
    shape : tuple of int
        Device rows and columns.
    ranks, slant, period
        As in `laydown.artwork.halftone_thresholds.Thresholds`.
    levels : ndarray of uint16, shape (256,)
        A pixel is inked where its threshold's rank is below the level of its tone.
    mirrored, art_rows
        As for `halftone_rows`.
    """
    from laydown.artwork.halftone_kernel import screen_band

    art_height, art_width = tones.shape
    rows, columns = shape
    row_of = _nearest(rows, art_height)
    column_of = _nearest(columns, art_width).astype(np.int32)
    for start in range(0, art_height, art_rows):
        stop = min(art_height, start + art_rows)
        first, last = np.searchsorted(row_of, (start, stop))
        if first == last:
            continue
        out = np.empty((int(last - first), (columns + 7) // 8), np.uint8)
        tone = np.ascontiguousarray(tones.band(start, stop))
        screen_band(
            tone, row_of[first:last] - start, column_of, int(first), ranks, slant, period, levels, mirrored, out
        )
        yield out


def _nearest(device: int, art: int) -> NDArray[np.int64]:
    """Pixel of the art that the centre of each device pixel lies in: exact, in whole numbers."""
    return (2 * np.arange(device, dtype=np.int64) + 1) * art // (2 * device)


__all__ = [
    "ART_ROWS",
    "DotShape",
    "Halftone",
    "PackedRows",
    "Screening",
    "Stochastic",
    "bands",
    "device_shape",
    "halftone_rows",
    "told_screening",
]
