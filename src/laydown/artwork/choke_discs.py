"""Areas of a picture as packed bits, grown and shrunk by exact discs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.errors import InvalidInput

Words = NDArray[np.uint64]
Bytes = NDArray[np.uint8]

LARGEST_RADIUS = 500.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Area:
    """A set of pixels, one bit each; outside the picture there is none of it.

    Attributes
    ----------
    words : ndarray of uint64, shape (rows, ceil(columns / 64))
        Bit ``x % 64`` of word ``x // 64``; bits beyond the last column are 0.
    columns : int
    """

    words: Words
    columns: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return int(self.words.shape[0]), self.columns

    def pixels(self) -> NDArray[np.bool_]:
        """The set as an array of bool, shape (rows, columns)."""
        from laydown.artwork.choke_kernel import unpack

        return np.asarray(unpack(self.words, self.columns)).astype(bool)

    def size(self) -> int:
        """Number of pixels."""
        return int(np.bitwise_count(self.words).sum())

    def without(self, other: Area) -> Area:
        """Pixels of this set that are not in the other."""
        return Area(words=self.words & ~other.words, columns=self.columns)

    def within(self, other: Area) -> Area:
        """Pixels of both sets."""
        return Area(words=self.words & other.words, columns=self.columns)

    def joined(self, other: Area) -> Area:
        """Pixels of either set."""
        return Area(words=self.words | other.words, columns=self.columns)

    def rest(self) -> Area:
        """Pixels of the picture that are not in this set."""
        from laydown.artwork.choke_kernel import inverted

        return Area(words=np.asarray(inverted(self.words, self.columns)), columns=self.columns)


def area_from(values: Bytes, least: int = 1) -> Area:
    """Pixels whose value is at least ``least``; values of shape (rows, columns)."""
    from laydown.artwork.choke_kernel import pack_from

    return Area(words=np.asarray(pack_from(np.ascontiguousarray(values), least)), columns=int(values.shape[1]))


def grown(area: Area, radius: float) -> Area:
    """All pixels whose centre lies within ``radius`` [pixels] of the centre of some pixel of the area; exact."""
    from laydown.artwork.choke_kernel import dilate

    if not 0 <= radius <= LARGEST_RADIUS:
        raise InvalidInput(f"a radius of {radius:g} pixels; allowed is 0 to {LARGEST_RADIUS:g}")
    square = math.floor(radius * radius + 1e-9)
    reach = math.isqrt(square)
    half_widths = np.array([math.isqrt(square - d * d) for d in range(reach + 1)], dtype=np.int64)
    words = np.asarray(dilate(area.words, half_widths))
    tail = area.columns % 64
    if tail:
        words[:, -1] &= np.uint64((1 << tail) - 1)
    return Area(words=words, columns=area.columns)


def shrunk(area: Area, radius: float, *, outside_open: bool = True) -> Area:
    """Pixels of the area further than ``radius`` [pixels] from every pixel that is not in it; exact.

    Parameters
    ----------
    area : Area
    radius : float
    outside_open : bool
        Whether what lies beyond the picture counts as not in the area.
    """
    kept = grown(area.rest(), radius).rest()
    if outside_open and radius >= 1:
        kept = inner_part(kept, math.floor(radius))
    return kept


def inner_part(area: Area, border: int) -> Area:
    """Pixels of the area that are not among the outermost ``border`` rows and columns of the picture."""
    rows, columns = area.shape
    if border <= 0:
        return area
    words = np.zeros_like(area.words)
    if 2 * border < min(rows, columns):
        inside = np.zeros((1, columns), dtype=np.uint8)
        inside[:, border:-border] = 1
        words[border:-border] = area.words[border:-border] & area_from(inside).words
    return Area(words=words, columns=columns)


__all__ = ["LARGEST_RADIUS", "Area", "area_from", "grown", "inner_part", "shrunk"]
