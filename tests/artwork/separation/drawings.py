"""Pictures with known areas, and the layers of a small shop's print, for the tests of the separation."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.picture import Picture
from laydown.artwork.plate import Plate, StoredTone
from laydown.artwork.print_colour import PrintLayers, print_layers
from laydown.domain.colour import Colour
from laydown.domain.ink import Ink
from laydown.domain.stack import Role
from small_shop import cloth, colour, garment, white

YELLOW, RED, BLUE, GREEN = "#f6c915", "#c1121f", "#1f4e9c", "#2f7d3a"
BLACK_CLOTH, WHITE_CLOTH = "#1d1e22", "#f4f4f0"

INKS = (
    colour("Yellow", YELLOW, 0.5),
    colour("Red", RED, 0.66),
    colour("Blue", BLUE, 0.82),
    colour("Green", GREEN, 0.76),
    colour("Navy", "#1b2340", 0.95),
    colour("Black", "#1d1d1f", 0.97),
)
SHELF = (white(), *INKS)

Inside = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.bool_]]


def ink(name: str) -> Ink:
    return next(i for i in SHELF if i.name == name)


def levels(srgb: str) -> list[int]:
    return [int(srgb[i : i + 2], 16) for i in (1, 3, 5)]


@cache
def layers(*names: str, cloth_srgb: str = BLACK_CLOTH, base: bool = True, highlight: bool = False) -> PrintLayers:
    spectrum = cloth(garment(colour=Colour(srgb=cloth_srgb))).reflectance()
    return print_layers(
        spectrum,
        white=white() if base else None,
        colours=tuple(ink(name) for name in names),
        highlight=white() if highlight else None,
        variation=0.25,
    )


def cloth_spectrum(srgb: str) -> NDArray[np.float64]:
    return cloth(garment(colour=Colour(srgb=srgb))).reflectance()


def picture(rgb: NDArray[np.generic], alpha: NDArray[np.generic] | None = None, *, width: float = 0.1) -> Picture:
    rows, columns = rgb.shape[:2]
    opaque = np.full((rows, columns), 255) if alpha is None else alpha
    pixels = np.ascontiguousarray(np.dstack([rgb, opaque]).astype(np.uint8))
    return Picture(pixels=pixels, width=width, height=width * rows / columns)


def even(srgb: str, *, rows: int = 24, columns: int = 24) -> Picture:
    return picture(np.tile(np.array(levels(srgb)), (rows, columns, 1)))


def shapes(*drawn: tuple[str, Inside], side: int = 120, finer: int = 4, ground: str | None = None) -> Picture:
    """Draw shapes (later ones on top) given on the unit square, smoothed at their edges."""
    n = side * finer
    y, x = (np.mgrid[:n, :n] + 0.5) / n
    rgb, alpha = np.zeros((n, n, 3)), np.zeros((n, n))
    if ground is not None:
        rgb[:], alpha[:] = levels(ground), 1
    for srgb, inside in drawn:
        mask = inside(x, y)
        rgb[mask], alpha[mask] = levels(srgb), 1
    cut = (side, finer, side, finer)
    mean_alpha = alpha.reshape(cut).mean((1, 3))
    mean = (rgb * alpha[..., None]).reshape(*cut, 3).mean((1, 3)) / np.maximum(mean_alpha, 1e-9)[..., None]
    return picture(np.rint(mean), np.rint(255 * mean_alpha))


def disc(x0: float, y0: float, radius: float) -> Inside:
    return lambda x, y: (x - x0) ** 2 + (y - y0) ** 2 < radius**2


def box(left: float, top: float, right: float, bottom: float) -> Inside:
    return lambda x, y: (x >= left) & (x < right) & (y >= top) & (y < bottom)


def plate(tones: NDArray[np.generic], *, pixel: float = 1e-4, role: Role = Role.COLOUR) -> Plate:
    values = np.ascontiguousarray(tones, dtype=np.uint8)
    rows, columns = values.shape
    return Plate(
        name="plate", role=role, ink="ink", tones=StoredTone(values=values), width=columns * pixel, height=rows * pixel
    )
