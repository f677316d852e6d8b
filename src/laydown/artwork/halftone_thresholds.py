"""The order in which the pixels of a screen turn to ink, as a tile that repeats without a seam."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown import units
from laydown.artwork.halftone import DotShape, Screening, Stochastic
from laydown.errors import InvalidInput

FloatArray = NDArray[np.float64]

LEAST_CELL = 4.0
"""Device pixels along a cell's edge below which a dot has no shape any more."""

LEAST_LEVELS = 2048
"""Pixels of a tile, and so tones that it can show: a tone is met within half of one of them."""

MOST_LEVELS = 65_535

NEAR_ENOUGH = 2e-4
"""Relative error of ruling and (in radians) of angle below which a smaller tile is preferred to a better one."""

SPAN = 4096
"""Pixels that a row of the tile is drawn out to at least, so that long rows can be compared in one go."""

NOISE_TILE = 128
"""Dots along the edge of the stochastic tile."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thresholds:
    """Ranks of device pixels.

    Attributes
    ----------
    ranks : ndarray of uint16, shape (rows, columns)
        A pixel turns to ink when the tone's level exceeds its rank: 0 first, ``levels`` - 1 last. Each row repeats
        after ``period`` pixels and is drawn out further, for speed alone.
    slant : int
        The tile of the next ``rows`` rows below starts this many pixels further on in its rows.
    period : int
    levels : int
        Pixels of a tile; each rank stands in it once.
    ruling, angle : float or None
        What the device's grid really gives [1/m], [rad]; None for stochastic dots.
    cells : int
        Halftone cells, or stochastic dots, in a tile.
    """

    ranks: NDArray[np.uint16]
    slant: int
    period: int
    levels: int
    ruling: float | None
    angle: float | None
    cells: int


@lru_cache(maxsize=16)
def thresholds(screening: Screening, resolution: float) -> Thresholds:
    """Thresholds of a screen on a device.

    Parameters
    ----------
    screening : Halftone or Stochastic
    resolution : float
        Device pixels per metre.

    Raises
    ------
    InvalidInput
        When a cell has fewer than 4 device pixels along its edge, or so many that a tile cannot hold one.

    Notes
    -----
    A tile is a square of device pixels with the corners 0, A, iA and (1 + i)A in complex notation, where A has whole
    parts; it holds |g|² cells of the screen whose pitch vector A/g comes nearest to the one that was asked for, over
    all whole complex g. The pixels of a tile are ranked by the spot function at their centres, so each tone covers
    exactly its number of pixels, whatever the shape. Ties go round the cells in an order that spreads them.
    """
    if isinstance(screening, Stochastic):
        return _scattered(screening, resolution)
    pitch = resolution / screening.ruling
    if pitch < LEAST_CELL:
        most = units.to_per_inch(resolution / LEAST_CELL)
        raise InvalidInput(
            f"a ruling of {units.to_per_inch(screening.ruling):.4g} lines/in leaves {pitch:.2g} device pixels for a "
            f"dot; on this device up to {most:.4g} lines/in can be made"
        )
    if pitch**2 > MOST_LEVELS:
        least = units.to_per_inch(resolution / math.sqrt(MOST_LEVELS))
        raise InvalidInput(
            f"a ruling of {units.to_per_inch(screening.ruling):.4g} lines/in has cells of {pitch:.4g} device pixels; "
            f"on this device rulings from {least:.4g} lines/in on can be made"
        )
    # Rows are counted downwards, angles upwards.
    wanted = pitch * np.exp(-1j * screening.angle)
    corner, cells = _tile(complex(wanted))
    step = corner / cells
    levels = round(abs(corner) ** 2)
    high = math.gcd(int(corner.real), int(corner.imag))
    period = levels // high
    x, y = np.meshgrid(np.arange(period), np.arange(high))
    spot = (x + 0.5 + 1j * (y + 0.5)) / step
    cell = np.floor(spot.real) + 1j * np.floor(spot.imag)
    within_cell = spot - cell - (0.5 + 0.5j)
    growth = np.round(spot_growth(within_cell, screening.shape), 9)
    order = np.lexsort((_spread(cell, cells).ravel(), -growth.ravel()))
    ranks = np.empty(levels, np.uint16)
    ranks[order] = np.arange(levels)
    return Thresholds(
        ranks=_drawn_out(ranks.reshape(high, period)),
        slant=_slant(corner, period),
        period=period,
        levels=levels,
        ruling=resolution / abs(step),
        angle=float(-np.angle(step)),
        cells=round(abs(cells) ** 2),
    )


def _tile(wanted: complex) -> tuple[complex, complex]:
    """Corner of a tile in whole pixels and the whole complex number of cells along it, nearest to a pitch vector."""
    most = int(math.sqrt(MOST_LEVELS) / abs(wanted)) + 1
    m, n = np.meshgrid(np.arange(1, most + 1), np.arange(most + 1))
    cells = (m + 1j * n).ravel()
    corner = np.round(cells * wanted)
    levels = np.abs(corner) ** 2
    usable = (levels >= LEAST_LEVELS) & (levels <= MOST_LEVELS)
    cells, corner, levels = cells[usable], corner[usable], levels[usable]
    error = np.abs(corner / (cells * wanted) - 1)
    near = error <= max(NEAR_ENOUGH, float(error.min()) * (1 + 1e-9))
    best = np.lexsort((error[near].round(12), levels[near]))[0]
    return complex(corner[near][best]), complex(cells[near][best])


def spot_growth(spot: NDArray[np.complex128], shape: DotShape) -> FloatArray:
    """Spot function over a cell of edge 1 around its dot's middle; where it is highest, ink comes first."""
    u, v = spot.real, spot.imag
    if shape is DotShape.ROUND:
        return np.asarray(-(u**2 + v**2))
    if shape is DotShape.LINE:
        return np.asarray(-np.abs(v))
    # A narrower second wave makes neighbours touch along one direction before they do along the other.
    second = 1.0 if shape is DotShape.SQUARE else ELLIPSE
    return np.asarray(np.cos(2 * np.pi * u) + second * np.cos(2 * np.pi * v))


ELLIPSE = 0.8
"""Weight of the second wave of elliptical dots: they touch along one direction near 40 %, along the other near 60 %."""


def _spread(cell: NDArray[np.complex128], cells: complex) -> NDArray[np.int64]:
    """Turn of each cell among those of its tile, such that cells next to each other come far apart."""
    count = round(abs(cells) ** 2)
    # Cells that lie in the same place of two tiles differ by a multiple of ``cells``: reduce, then number.
    inside = cell / cells
    inside -= np.floor(inside.real + 1e-9) + 1j * np.floor(inside.imag + 1e-9)
    number = np.rint((inside * cells).real).astype(np.int64) * 2 * (count + 1) + np.rint((inside * cells).imag).astype(
        np.int64
    )
    _, place = np.unique(number.ravel(), return_inverse=True)
    golden = math.floor(count * (math.sqrt(5) - 1) / 2)
    while math.gcd(max(golden, 1), count) != 1:
        golden += 1
    return np.asarray((place * max(golden, 1)) % count, dtype=np.int64).reshape(cell.shape)


def _slant(corner: complex, period: int) -> int:
    """How far the rows of the next tile below are ahead, from the tile's lattice."""
    a, b = int(corner.real), int(corner.imag)
    # m (a + ib) + n (-b + ia) with m b + n a = gcd: the lattice point nearest below.
    m, n = _whole(b, a)
    return (-(m * a - n * b)) % period


def _whole(b: int, a: int) -> tuple[int, int]:
    """Whole m, n with m b + n a = gcd(a, b): Euclid's algorithm."""
    old, now, m_old, m_now, n_old, n_now = b, a, 1, 0, 0, 1
    while now:
        times = old // now
        old, now = now, old - times * now
        m_old, m_now = m_now, m_old - times * m_now
        n_old, n_now = n_now, n_old - times * n_now
    return (m_old, n_old) if old > 0 else (-m_old, -n_old)


def _scattered(screening: Stochastic, resolution: float) -> Thresholds:
    from laydown.artwork.halftone_blue_noise import blue_noise

    edge = max(1, math.ceil(screening.dot * resolution - 1e-6))
    ranks = blue_noise(NOISE_TILE).repeat(edge, axis=0).repeat(edge, axis=1)
    return Thresholds(
        ranks=_drawn_out(ranks),
        slant=0,
        period=ranks.shape[1],
        levels=NOISE_TILE**2,
        ruling=None,
        angle=None,
        cells=NOISE_TILE**2,
    )


def _drawn_out(ranks: NDArray[np.uint16]) -> NDArray[np.uint16]:
    """Rows repeated, so that a run from anywhere in the first period need not wrap round for a while."""
    times = -(-SPAN // ranks.shape[1]) + 1
    drawn = np.ascontiguousarray(np.tile(ranks, (1, times)))
    drawn.setflags(write=False)
    return drawn


__all__ = ["Thresholds", "thresholds"]
