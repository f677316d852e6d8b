"""Patches of known tone that are printed beside the image."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.halftone import Screening
from laydown.artwork.halftone_thresholds import thresholds
from laydown.artwork.tone_curve import ToneCurve

TONES = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """A square of one tone.

    Attributes
    ----------
    tone : float
        What stands beside it: the tone on the film in the first row, the wanted tone in print in the second.
    film : float
        Inked share on the film.
    bits : ndarray of bool, shape (edge, edge)
    """

    tone: float
    film: float
    bits: NDArray[np.bool_]


def strip_patches(
    screening: Screening, curve: ToneCurve, resolution: float, edge: int
) -> tuple[tuple[str, tuple[Patch, ...]], ...]:
    """Both rows of the strip, each with the words beside it.

    Parameters
    ----------
    screening : Halftone or Stochastic
        Of the plate: the patches are made as its dots are.
    curve : ToneCurve
        Undone in the second row.
    resolution : float
        Pixels per metre.
    edge : int
        Pixels along a patch.

    Notes
    -----
    The first row is for measuring: print it, measure the tones, give both to
    `laydown.artwork.tone_curve.strip_curve`. The second shows whether the curve that was used fits. No dot of the
    strip is held back for the mesh's sake, so it also shows where the mesh stops holding dots.
    """
    film = tuple(_patch(tone, tone, screening, resolution, edge) for tone in TONES)
    if not curve.gains:
        return (("% on film", film),)
    needed = curve.film_for(np.asarray(TONES))
    wanted = tuple(
        _patch(tone, float(share), screening, resolution, edge) for tone, share in zip(TONES, needed, strict=True)
    )
    return ("% on film", film), ("% in print (on film)", wanted)


def _patch(tone: float, film: float, screening: Screening, resolution: float, edge: int) -> Patch:
    screen = thresholds(screening, resolution)
    y, x = np.mgrid[0:edge, 0:edge]
    high = screen.ranks.shape[0]
    rank = screen.ranks[y % high, (x + screen.slant * (y // high)) % screen.period]
    return Patch(tone=tone, film=film, bits=rank < round(film * screen.levels))


__all__ = ["TONES", "Patch", "strip_patches"]
