"""A picture as every part of the tool sees it: sRGB pixels with their size on the garment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.validity import within
from laydown.errors import InvalidInput

Pixels = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpotPlate:
    """A plate that the art file names itself.

    Attributes
    ----------
    name : str
    tone : ndarray of uint8, shape (height, width)
        0 prints nothing, 255 prints solid.
    srgb : str
        Colour that the file shows for it, ``#rrggbb``.
    """

    name: str
    tone: Pixels
    srgb: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """Pixels of an art file and how large they are printed.

    Attributes
    ----------
    pixels : ndarray of uint8, shape (rows, columns, 4)
        sRGB with straight alpha; alpha 0 is cloth.
    width, height : float
        On the garment [m].
    spots : tuple of SpotPlate
        Named plates of the file; empty when it has none.
    kind : str
        File format in words, for example ``PNG``.
    bits : int
        Bits a channel that the file had.
    profile : str
        What its colour profile calls itself; empty when the file had none and sRGB was taken.
    notes : tuple of str
        What a person should know: a size taken from the order, too low a resolution, a missing profile.
    """

    pixels: Pixels
    width: float
    height: float
    spots: tuple[SpotPlate, ...] = ()
    kind: str = ""
    bits: int = 8
    profile: str = ""
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.pixels.dtype != np.uint8 or self.pixels.ndim != 3 or self.pixels.shape[2] != 4:
            raise InvalidInput(
                f"pixels are {self.pixels.dtype} of shape {self.pixels.shape}; needed is uint8 of (rows, columns, 4)"
            )
        within("width of the art", self.width, 0.005, 2.0, "m")
        within("height of the art", self.height, 0.005, 2.0, "m")
        for spot in self.spots:
            if spot.tone.shape != self.pixels.shape[:2] or spot.tone.dtype != np.uint8:
                raise InvalidInput(f"the plate {spot.name!r} does not have the size of the picture")

    @property
    def rows(self) -> int:
        """Pixels from top to bottom."""
        return int(self.pixels.shape[0])

    @property
    def columns(self) -> int:
        """Pixels from left to right."""
        return int(self.pixels.shape[1])

    @property
    def pixel(self) -> float:
        """Edge of a pixel [m]: the mean of both directions."""
        return 0.5 * (self.width / self.columns + self.height / self.rows)


__all__ = ["Picture", "Pixels", "SpotPlate"]
