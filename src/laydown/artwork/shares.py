"""How the plates of a print lie on each other: inked share, white that shows, colours that have white below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.plate import Plate
from laydown.domain.stack import Role

BAND = 256
"""Rows that are worked on at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """Shares of the print's rectangle.

    Attributes
    ----------
    inked : float
        Carries any ink; dots of different plates fall on one another by chance.
    white_shows : float
        White is what one sees: underbase without a colour on it, or highlight white.
    on_white : tuple of (str, float)
        For each colour's plate the share of its own ink that has white below.
    """

    inked: float
    white_shows: float
    on_white: tuple[tuple[str, float], ...]


def plate_shares(plates: Sequence[Plate]) -> Shares:
    """Shares of plates that are printed on each other, all of one size.

    Parameters
    ----------
    plates : sequence of Plate
    """
    colours = [p for p in plates if p.role is Role.COLOUR]
    whites = [p for p in plates if p.role in {Role.UNDERBASE, Role.WHITE}]
    highlights = [p for p in plates if p.role is Role.HIGHLIGHT]
    if not plates:
        return Shares(inked=0.0, white_shows=0.0, on_white=())
    from laydown.artwork.shares_kernel import add_shares

    rows, columns = plates[0].shape
    sums = np.zeros(2 + 2 * len(colours))
    for start in range(0, rows, BAND):
        stop = min(rows, start + BAND)
        white, colour, highlight = (_band(kind, start, stop, columns) for kind in (whites, colours, highlights))
        add_shares(white, colour, highlight, sums)
    pixels = rows * columns
    own, below = sums[2::2], sums[3::2]
    return Shares(
        inked=min(1.0, float(sums[0]) / pixels),
        white_shows=min(1.0, float(sums[1]) / pixels),
        on_white=tuple(
            (plate.name, float(part / whole) if whole > 0 else 0.0)
            for plate, part, whole in zip(colours, below, own, strict=True)
        ),
    )


def _band(plates: Sequence[Plate], start: int, stop: int, columns: int) -> NDArray[np.uint8]:
    """Tones of several plates in a band of rows, shape (plate, rows, columns)."""
    tones = np.zeros((len(plates), stop - start, columns), dtype=np.uint8)
    for k, plate in enumerate(plates):
        tones[k] = plate.tones.band(start, stop)
    return tones
