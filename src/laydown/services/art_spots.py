"""Spot plates that an art file names: which ink of the shelf prints each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from laydown.domain.colour import Colour
from laydown.domain.ink import Ink, InkKind
from laydown.errors import InvalidInput
from laydown.models.colour import lab_of, reflectance
from laydown.models.ink_optics import ink_spectra
from laydown.planning.wanted import CLOSE_ENOUGH

if TYPE_CHECKING:
    from laydown.artwork.picture import Picture

COVERED = 0.995
"""Share of the inked pixels that the spot plates must hold to be the whole art. Assumed: edges may differ a little."""

WHITE_NAMES = frozenset({"white", "underbase", "base white", "white base"})
"""What a spot plate for white is called, in small letters."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotInks:
    """Inks for the spot plates of a file.

    Attributes
    ----------
    inks : tuple of (str, Ink or None)
        Spot plate and ink, in the file's order; None is white, whichever the plan chooses.
    notes, warnings : tuple of str
    """

    inks: tuple[tuple[str, Ink | None], ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def colours(self) -> tuple[Ink, ...]:
        """Colour inks, in the file's order."""
        return tuple(ink for _, ink in self.inks if ink is not None)

    def by_name(self, white: str | None) -> dict[str, str]:
        """For each spot plate the name of its ink; ``white`` is what white is called."""
        return {
            spot: (ink.name if ink is not None else white or "") for spot, ink in self.inks if ink is not None or white
        }


def spot_inks(picture: Picture, shelf: Sequence[Ink], named: Sequence[Ink], *, condition: str) -> SpotInks | None:
    """Find the ink of each spot plate; None where the file has none, or prints more than its spot plates.

    Parameters
    ----------
    picture : Picture
    shelf : sequence of Ink
    named : sequence of Ink
        Inks that the order names; the spot plates are printed with these alone. Empty: any of the shelf.
    condition : str
        Illuminant and observer in which colours are compared.

    Raises
    ------
    InvalidInput
        When there is no ink for a spot plate.
    """
    from laydown.physics.ciede2000 import ciede2000

    spots = [spot for spot in picture.spots if spot.tone.any()]
    if not spots or not _is_all(picture):
        return None
    offered = [ink for ink in (named or shelf) if ink.optics is not None]
    colours = [ink for ink in offered if ink.kind is InkKind.COLOUR]
    found: list[tuple[str, Ink | None]] = []
    notes: list[str] = []
    warnings: list[str] = []
    for spot in spots:
        by_name = next((ink for ink in offered if ink.name.casefold() == spot.name.casefold()), None)
        if spot.name.casefold() in WHITE_NAMES or (by_name is not None and by_name.kind is InkKind.WHITE):
            found.append((spot.name, None))
            continue
        if not colours:
            raise InvalidInput(f"there is no colour ink for the spot plate {spot.name!r}")
        target = lab_of(reflectance(Colour(srgb=spot.srgb)), condition)
        labs = np.array([lab_of(ink_spectra(ink).full_hiding, condition) for ink in colours])
        far = ciede2000(labs, np.broadcast_to(target, labs.shape))
        white = _white_difference(offered, target, condition)
        best = int(np.argmin(far))
        ink = by_name or colours[best]
        distance = float(far[colours.index(ink)])
        if by_name is None and white is not None and white < distance:
            found.append((spot.name, None))
            notes.append(f"the spot plate {spot.name} ({spot.srgb}) prints as white (ΔE00 {white:.1f})")
            continue
        found.append((spot.name, ink))
        said = f"the spot plate {spot.name} ({spot.srgb}) prints as {ink.name} (ΔE00 {distance:.1f})"
        if distance > CLOSE_ENOUGH and by_name is None:
            warnings.append(f"no ink comes close: {said}; mix the colour and check it before the run")
        else:
            notes.append(said)
    return SpotInks(inks=tuple(found), notes=tuple(notes), warnings=tuple(warnings))


def _white_difference(offered: Sequence[Ink], target: np.ndarray, condition: str) -> float | None:
    from laydown.physics.ciede2000 import ciede2000

    whites = [lab_of(ink_spectra(ink).full_hiding, condition) for ink in offered if ink.kind is InkKind.WHITE]
    return min((float(ciede2000(lab, target)) for lab in whites), default=None)


def _is_all(picture: Picture) -> bool:
    """Whether the spot plates hold everything that the picture shows."""
    inked = picture.pixels[..., 3] > 0
    held = np.zeros_like(inked)
    for spot in picture.spots:
        held |= spot.tone > 0
    shown = int(inked.sum())
    return shown == 0 or int((inked & held).sum()) >= COVERED * shown
