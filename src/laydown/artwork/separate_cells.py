"""Which colours a picture has, how much of each, and which of them are flat colours of the art.

The picture's colours are counted in cells of 4 x 4 x 4 levels. A *flat* colour is one that fills even areas by itself:
its neighbours in colour are all but empty, as they are in drawn art and never in the gradations of a photograph. The
pixels along an edge between two flat colours have colours in between; they lie in no even area, and make no flat
colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.picture import Picture, Pixels
from laydown.data.colorimetric import tristimulus_weights

Values = NDArray[np.float64]

MOST_FLAT = 64
"""Flat colours that are looked for."""

LEAST_FLAT = 2e-4
"""Share of the inked pixels that a flat colour fills at least. Assumed."""

FLAT_RADIUS = 2.0
"""CIEDE2000 around a flat colour within which pixels count as it: what a lossy file leaves of an even area. Assumed."""

WIDE_RADIUS = 6.0
MERGED = 0.05
"""A flat colour within ``WIDE_RADIUS`` of one that fills twenty times its area is an artefact of it. Assumed."""
ALONE = 0.75
"""A colour is flat when at least this share of the even areas within ``FLAT_RADIUS`` lies within half of it, and of
those within ``WIDE_RADIUS`` that belong to no other such colour, within ``FLAT_RADIUS``. Assumed: a gradation has half
or less."""

LATTICE = (0, 24, 64, 112, 160, 208, 255)
"""Levels of red, green and blue at which the change from D65 and 2° to another condition is computed by spectrum."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColourCells:
    """Colours of a picture.

    Attributes
    ----------
    cell : ndarray of int, shape (n,)
        Occupied cells: ``(red >> 2) << 12 | (green >> 2) << 6 | blue >> 2``, rising.
    pixels, inside : ndarray, shape (n,)
        How many pixels a cell has, and how many of them lie in even areas.
    srgb : ndarray, shape (n, 3)
        Mean colour, 0 to 255.
    lab : ndarray, shape (n, 3)
        The same under ``condition``.
    flat : ndarray of int, shape (n,)
        Number of the flat colour that the cell belongs to; -1: none.
    flats : ndarray of int, shape (k,)
        Row of each flat colour, the largest first.
    picture_pixels : int
        Pixels of the whole picture, open ones included.
    condition : str
    """

    cell: NDArray[np.int64]
    pixels: NDArray[np.int64]
    inside: NDArray[np.int64]
    srgb: Values
    lab: Values
    flat: NDArray[np.int64]
    flats: NDArray[np.int64]
    picture_pixels: int
    condition: str

    @property
    def drawn(self) -> float:
        """Share of the even areas that flat colours fill; 1 in drawn art, near 0 in a photograph."""
        total = int(self.inside.sum())
        return float(self.inside[self.flat >= 0].sum() / total) if total else 0.0


MOST_PARTS = 8
"""Parts of a picture that are counted at the same time; each has a table of its own in memory."""


def count_colours(pixels: Pixels) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], Values]:
    """Occupied cells, their pixels, their pixels inside even areas, and mean sRGB; wholly open pixels are left out."""
    import os

    from laydown.artwork.separate_cells_kernel import count_cells

    # Each part of the picture is counted by itself, so the sums do not depend on how many there are.
    total = count_cells(pixels, min(MOST_PARTS, os.cpu_count() or 1))
    cell = np.flatnonzero(total[:, 0])
    count = total[cell].astype(np.int64)
    weight = np.where(count[:, 1] > 0, count[:, 1], count[:, 0])
    corner = np.stack([cell >> 12, (cell >> 6) & 63, cell & 63], axis=-1) * 4.0
    return cell, count[:, 0], count[:, 1], corner + count[:, 2:5] / weight[:, None]


def colour_cells(picture: Picture, *, condition: str) -> ColourCells:
    """Count a picture's colours.

    Parameters
    ----------
    picture : Picture
    condition : str
        Illuminant and observer for the Lab values.
    """
    cell, pixels, inside, srgb = count_colours(picture.pixels)
    lab = lab_of_srgb(srgb, condition)
    flat, flats = _flat_colours(lab, pixels, inside)
    return ColourCells(
        cell=cell,
        pixels=pixels,
        inside=inside,
        srgb=srgb,
        lab=lab,
        flat=flat,
        flats=flats,
        picture_pixels=picture.rows * picture.columns,
        condition=condition,
    )


def lab_of_srgb(srgb: Values, condition: str) -> Values:
    """CIELAB of many sRGB colours under any condition.

    Parameters
    ----------
    srgb : ndarray, shape (n, 3)
        0 to 255.
    condition : str

    Returns
    -------
    ndarray, shape (n, 3)

    Notes
    -----
    Under D65 and the 2° observer it is the definition of sRGB, adapted to the white of the weights as
    `laydown.physics.spectrum.reflectance_of_srgb` does. Under another condition a spectrum is needed: the smoothest
    one, as everywhere in laydown. Spectra are built at the points of ``LATTICE`` and the change of Lab from D65/2° is
    interpolated between them: off by 0.13 CIEDE2000 on average, 0.8 at most (D65/10°), 1.4 for A/10°.
    """
    from laydown.physics.colorimetry import adapt_bradford, srgb_to_xyz, xyz_to_lab

    white = tristimulus_weights("D65/2").sum(axis=0)
    xyz = adapt_bradford(srgb_to_xyz(np.clip(srgb / 255, 0, 1)), srgb_to_xyz([1.0, 1.0, 1.0]), white)
    lab = xyz_to_lab(np.maximum(xyz, 0), white)
    if condition == "D65/2":
        return lab
    table = _change_from_d65(condition)
    nodes = np.array(LATTICE, dtype=np.float64)
    low = np.clip(np.searchsorted(nodes, srgb, side="right") - 1, 0, nodes.size - 2)
    t = (srgb - nodes[low]) / (nodes[low + 1] - nodes[low])
    change = np.zeros_like(lab)
    for corner in range(8):
        up = np.array([corner >> 2 & 1, corner >> 1 & 1, corner & 1])
        share = np.prod(np.where(up, t, 1 - t), axis=-1)
        at = low + up
        change += share[:, None] * table[at[:, 0], at[:, 1], at[:, 2]]
    return lab + change


@lru_cache(maxsize=4)
def _change_from_d65(condition: str) -> Values:
    """Lab under a condition less Lab under D65/2°, at the points of the lattice: (red, green, blue, 3)."""
    from laydown.physics.colorimetry import xyz_to_lab
    from laydown.physics.spectrum import reflectance_of_srgb

    here, there = tristimulus_weights("D65/2"), tristimulus_weights(condition)
    nodes = np.array(LATTICE) / 255
    spectra = np.array([reflectance_of_srgb(np.array([r, g, b]), here) for r in nodes for g in nodes for b in nodes])
    change = xyz_to_lab(spectra @ there, there.sum(axis=0)) - xyz_to_lab(spectra @ here, here.sum(axis=0))
    return change.reshape(nodes.size, nodes.size, nodes.size, 3)


def _flat_colours(
    lab: Values, pixels: NDArray[np.int64], inside: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Flat colour of each cell (-1: none), and the row of each flat colour."""
    from laydown.physics.ciede2000 import ciede2000

    least = max(12.0, LEAST_FLAT * float(pixels.sum()))
    owner = np.full(len(lab), -1, dtype=np.int64)
    looked_at = np.zeros(len(lab), dtype=bool)
    peaks: list[tuple[int, NDArray[np.int64]]] = []
    by_lightness = np.argsort(lab[:, 0], kind="stable")
    lightness = lab[by_lightness, 0]
    for row in np.argsort(-inside, kind="stable")[: 8 * MOST_FLAT]:
        if inside[row] < least:
            break
        if looked_at[row]:
            continue
        # A sieve: what lies beyond is further than the wide radius, as CIEDE2000 divides by no more than these.
        start, stop = np.searchsorted(lightness, (lab[row, 0] - 2 * WIDE_RADIUS, lab[row, 0] + 2 * WIDE_RADIUS))
        near = by_lightness[start:stop]
        reach = 2 * WIDE_RADIUS * (1 + 0.045 * np.hypot(lab[row, 1], lab[row, 2]))
        near = near[np.abs(lab[near, 1:] - lab[row, 1:]).max(axis=-1) < reach]
        distance = ciede2000(lab[near], lab[row])
        close = near[distance <= FLAT_RADIUS]
        looked_at[close] = True
        own = close[owner[close] < 0]
        if inside[near[distance <= FLAT_RADIUS / 2]].sum() >= ALONE * inside[own].sum():
            owner[own] = len(peaks)
            peaks.append((int(row), near[distance <= WIDE_RADIUS]))
    # Another flat colour close by does not make a colour a gradation, but what lies between them does.
    flat = np.full(len(lab), -1, dtype=np.int64)
    found: list[int] = []
    for number, (row, wide) in enumerate(peaks):
        mine = owner == number
        greater = next((k for k in found if np.isin(k, wide) and inside[mine].sum() < MERGED * inside[k]), None)
        if greater is not None:
            flat[mine] = flat[greater]
            continue
        around = inside[wide[owner[wide] < 0]].sum()
        if inside[mine].sum() >= ALONE * (inside[mine].sum() + around) and len(found) < MOST_FLAT:
            flat[mine] = len(found)
            found.append(row)
    return flat, np.array(found, dtype=np.int64)


__all__ = ["ColourCells", "colour_cells", "count_colours", "lab_of_srgb"]
