"""How the plates of a print lie on each other: inked share, white that shows, colours that have white below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

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
    rows, columns = plates[0].shape
    inked, shows = 0.0, 0.0
    below = np.zeros(len(colours))
    own = np.zeros(len(colours))
    for start in range(0, rows, BAND):
        stop = min(rows, start + BAND)

        def open_share(of: list[Plate], start: int = start, stop: int = stop) -> np.ndarray:
            left = np.ones((stop - start, columns), dtype=np.float32)
            for plate in of:
                left *= 1 - plate.tones.band(start, stop) / np.float32(255)
            return left

        no_white, no_colour, no_highlight = open_share(whites), open_share(colours), open_share(highlights)
        inked += float((1 - no_white * no_colour * no_highlight).sum())
        shows += float((1 - (1 - (1 - no_white) * no_colour) * no_highlight).sum())
        for k, plate in enumerate(colours):
            tone = plate.tones.band(start, stop) / np.float32(255)
            own[k] += float(tone.sum())
            below[k] += float((tone * (1 - no_white)).sum())
    pixels = rows * columns
    return Shares(
        inked=min(1.0, inked / pixels),
        white_shows=min(1.0, shows / pixels),
        on_white=tuple(
            (plate.name, float(part / whole) if whole > 0 else 0.0)
            for plate, part, whole in zip(colours, below, own, strict=True)
        ),
    )
