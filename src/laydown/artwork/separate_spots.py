"""Plates that the art file names itself, used as they are, with white below them as far as each ink needs it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.choke import choke, printed_area
from laydown.artwork.choke_discs import Area
from laydown.artwork.picture import Picture
from laydown.artwork.plate import Plate, StoredTone, Tone, ToneSource
from laydown.artwork.print_colour import PrintLayers
from laydown.artwork.separate_plates import rows_of
from laydown.artwork.separate_solids import own_colours, solid_options
from laydown.domain.stack import Role
from laydown.errors import InvalidInput

Bytes = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhiteBelow:
    """White that lies below named plates.

    Attributes
    ----------
    plates : tuple of ndarray of uint8
        Tones of the plates.
    needs : tuple of float
        White below each where it is solid, 0 to 1; 1 for a plate of white itself.
    colours : tuple of bool
        Whether a plate covers the white.
    kept : Area or None
        Pixels in which all of the white stays; None: everywhere.
    """

    plates: tuple[Bytes, ...]
    needs: tuple[float, ...]
    colours: tuple[bool, ...]
    kept: Area | None = None

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.plates[0].shape
        return int(rows), int(columns)

    def band(self, start: int, stop: int) -> Tone:
        """Rows from ``start`` up to ``stop``: as much white as the plate that needs most of it."""
        start, stop = rows_of(self.shape[0], start, stop)
        white = np.zeros((stop - start, self.shape[1]), dtype=np.float32)
        open_share = np.ones_like(white)
        for tones, need, covers in zip(self.plates, self.needs, self.colours, strict=True):
            share = tones[start:stop].astype(np.float32) / np.float32(255)
            np.maximum(white, np.float32(need) * share, out=white)
            if covers:
                open_share *= 1 - share
        if self.kept is not None:
            kept = Area(words=self.kept.words[start:stop], columns=self.kept.columns).pixels()
            white = np.where(kept, white, white * open_share)
        return np.rint(255 * white).astype(np.uint8)


def separate_spots(
    picture: Picture, layers: PrintLayers, inks: Mapping[str, str], *, choke_width: float = 0.0
) -> tuple[tuple[Plate, ...], tuple[str, ...]]:
    """Make plates of the spot plates that an art file names.

    Parameters
    ----------
    picture : Picture
        Its ``spots`` are used, its pixels are not.
    layers : PrintLayers
    inks : mapping of str to str
        For each spot plate that is printed, the name of its ink among ``layers``; a plate of the white's name is white
        that shows, and joins the underbase. Spot plates that are not named here are left out.
    choke_width : float
        How far white is pulled back from edges between a colour and open cloth [m].

    Returns
    -------
    tuple of Plate, tuple of str
        In printing order: barrier, underbase, colours; and what a printer should know.

    Raises
    ------
    InvalidInput
        When the file has no such plate, the print no such ink, or two plates go to one colour.

    Notes
    -----
    The white below an ink is what brings its solid closest to its own colour on this cloth, by the rules of
    `laydown.artwork.separate_solids.solid_options`; it follows the tone of the plate above it.
    """
    spots = {spot.name: spot for spot in picture.spots}
    white = layers.white.name if layers.white is not None else None
    names = [ink.name for ink in layers.colours]
    for spot, ink in inks.items():
        if spot not in spots:
            raise InvalidInput(f"the art has no spot plate {spot!r}; it has {', '.join(spots) or 'none'}")
        if ink != white and ink not in names:
            raise InvalidInput(f"the print has no ink {ink!r} for the spot plate {spot!r}")
    of_ink: dict[str, Bytes] = {}
    for spot, ink in inks.items():
        if ink in of_ink and ink != white:
            raise InvalidInput(f"two spot plates are to be printed with {ink!r}; give each its own ink")
        tone = spots[spot].tone
        of_ink[ink] = np.maximum(of_ink[ink], tone) if ink in of_ink else tone
    if not of_ink:
        return (), ()
    needs = _white_needed(layers)
    below = WhiteBelow(
        plates=tuple(of_ink.values()),
        needs=tuple(1.0 if ink == white else needs[names.index(ink)] for ink in of_ink),
        colours=tuple(ink != white for ink in of_ink),
    )
    notes: tuple[str, ...] = ()
    plates: list[Plate] = []

    def add(name: str, role: Role, ink: str, tones: ToneSource) -> None:
        plates.append(Plate(name=name, role=role, ink=ink, tones=tones, width=picture.width, height=picture.height))

    if white is not None and any(need > 0 for need in below.needs):
        if choke_width > 0 and any(
            covers and need > 0 for covers, need in zip(below.colours, below.needs, strict=True)
        ):
            inked = StoredTone(values=np.maximum.reduce(below.plates))
            found = choke(printed_area(inked), width=choke_width, pixel=picture.pixel)
            below = WhiteBelow(plates=below.plates, needs=below.needs, colours=below.colours, kept=found.kept)
            notes = found.notes()
        if layers.barrier is not None:
            add("barrier", Role.BARRIER, layers.barrier.name, below)
        add("underbase" if names else "white", Role.UNDERBASE, white, below)
    for name in names:
        if name in of_ink and of_ink[name].any():
            add(name, Role.COLOUR, name, StoredTone(values=of_ink[name]))
    return tuple(plates), notes


def _white_needed(layers: PrintLayers) -> list[float]:
    """White below each colour where it is solid."""
    if layers.white is None:
        return [0.0] * len(layers.colours)
    own = own_colours(layers)[2:]
    if not len(own):
        return []
    options = solid_options(own, layers)
    return [float(options[k, 2 + k, 0]) for k in range(len(layers.colours))]


__all__ = ["WhiteBelow", "separate_spots"]
