"""What one screen prints: a tone for each pixel, made when it is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from laydown.domain.stack import Role

Tone = NDArray[np.uint8]


class ToneSource(Protocol):
    """Tones of a plate, row by row, so that no plate need be held whole."""

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""

    def band(self, start: int, stop: int) -> Tone:
        """Rows from ``start`` up to ``stop``: uint8 of shape (stop - start, columns), 0 no ink, 255 solid."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StoredTone:
    """Tones that lie in memory."""

    values: Tone

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return int(self.values.shape[0]), int(self.values.shape[1])

    def band(self, start: int, stop: int) -> Tone:
        """Rows from ``start`` up to ``stop``."""
        return self.values[start:stop]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """One screen's picture before it is broken into dots.

    Attributes
    ----------
    name : str
        What stands on the film: the role, and the ink where the role does not tell it.
    role : Role
    ink : str
        Name of the ink on the shelf.
    tones : ToneSource
    width, height : float
        On the garment [m].
    """

    name: str
    role: Role
    ink: str
    tones: ToneSource
    width: float
    height: float

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.tones.shape

    def tone(self) -> Tone:
        """All tones at once, shape (rows, columns)."""
        return self.tones.band(0, self.shape[0])


__all__ = ["Plate", "StoredTone", "Tone", "ToneSource"]
