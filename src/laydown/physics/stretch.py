"""Whether a cured ink film stretches with the cloth."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.physics.range_check import require_range

FloatArray = NDArray[np.float64]

MODEL = "stretch"

LARGEST = 20.0
"""Elongations are shares of one; twenty times its length is more than any ink or cloth stretches."""


def mixed_elongation(ink: ArrayLike, additive: ArrayLike, share: ArrayLike) -> FloatArray:
    """Elongation at break of an ink with a stretch additive stirred in.

    Parameters
    ----------
    ink, additive : array_like
        Elongation at break of each alone [1], 0 to 20.
    share : array_like
        Additive's share of the mixture's mass [1], 0 to 1.

    Returns
    -------
    ndarray
        [1].

    Notes
    -----
    Linear in the share: assumed, as the simplest curve through both ends. Pull a swatch to know.
    """
    own, other = np.asarray(ink, dtype=np.float64), np.asarray(additive, dtype=np.float64)
    part = np.asarray(share, dtype=np.float64)
    _require_elongation("ink elongation", own)
    _require_elongation("additive elongation", other)
    require_range(MODEL, "additive share", part, 0.0, 1.0, "")
    return own + part * (other - own)


def stretch_margin(ink: ArrayLike, working_stretch: ArrayLike) -> FloatArray:
    """How much further the ink stretches than the cloth does in wear.

    Parameters
    ----------
    ink : array_like
        Elongation at break of the ink or mixture [1].
    working_stretch : array_like
        Stretch of the cloth in wear [1].

    Returns
    -------
    ndarray
        Elongation minus working stretch [1]; below 0 the print cracks in wear.
    """
    own, cloth = np.asarray(ink, dtype=np.float64), np.asarray(working_stretch, dtype=np.float64)
    _require_elongation("ink elongation", own)
    _require_elongation("working stretch", cloth)
    return own - cloth


def stack_margin(inks: ArrayLike, working_stretch: ArrayLike) -> FloatArray:
    """Margin of a stack: that of its stiffest film, as a crack in one runs on into the next.

    Parameters
    ----------
    inks : array_like, shape (films, ...)
        Elongation at break of each film [1].
    working_stretch : array_like, shape (...)
        [1].

    Returns
    -------
    ndarray, shape (...)
        [1].
    """
    return stretch_margin(np.min(np.asarray(inks, dtype=np.float64), axis=0), working_stretch)


def additive_needed(ink: ArrayLike, additive: ArrayLike, working_stretch: ArrayLike) -> FloatArray:
    """Smallest share of additive with which the mixture stretches as far as the cloth.

    Parameters
    ----------
    ink, additive, working_stretch : array_like
        [1].

    Returns
    -------
    ndarray
        Share of the mixture's mass [1]: 0 when the ink alone will do, nan when not even the additive alone does.
    """
    own, other = np.asarray(ink, dtype=np.float64), np.asarray(additive, dtype=np.float64)
    cloth = np.asarray(working_stretch, dtype=np.float64)
    _require_elongation("ink elongation", own)
    _require_elongation("additive elongation", other)
    _require_elongation("working stretch", cloth)
    reachable = (own < cloth) & (cloth <= other)
    share = (cloth - own) / np.where(reachable, other - own, 1.0)
    return np.where(own >= cloth, 0.0, np.where(reachable, share, np.nan))


def _require_elongation(quantity: str, value: FloatArray) -> None:
    require_range(MODEL, quantity, value, 0.0, LARGEST, "")
