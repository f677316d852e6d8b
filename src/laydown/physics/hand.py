"""How a print feels: film mass per area, weighted by the share of the print that is covered."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput
from laydown.physics.range_check import require_range

FloatArray = NDArray[np.float64]

MODEL = "hand"


def hand_mass(dry_thickness: ArrayLike, density: ArrayLike, covered: ArrayLike, hand_factor: ArrayLike) -> FloatArray:
    """Film mass that the hand feels.

    Parameters
    ----------
    dry_thickness : array_like, shape (films, ...)
        Dry thickness of each film above the cloth [m], >= 0.
    density : array_like
        Of each film [kg/m3].
    covered : array_like
        Share of the print's rectangle that each film covers [1], 0 to 1.
    hand_factor : array_like
        How stiff each ink feels beside an ordinary plastisol of the same mass [1]; 1 where nothing is known.

    Returns
    -------
    ndarray, shape (...)
        Sum over the films [kg/m2].

    Notes
    -----
    That mass per area, thinned out by the open parts, orders prints as people's hands do is assumed; the hand depends
    as well on how the ink was cured and on the cloth.
    """
    thickness, rho = np.asarray(dry_thickness, dtype=np.float64), np.asarray(density, dtype=np.float64)
    share, factor = np.asarray(covered, dtype=np.float64), np.asarray(hand_factor, dtype=np.float64)
    require_range(MODEL, "dry film", thickness, 0.0, 0.01, "m")
    require_range(MODEL, "film density", rho, 1.0, 2e4, "kg/m³")
    require_range(MODEL, "covered share", share, 0.0, 1.0, "")
    require_range(MODEL, "hand factor", factor, 0.0, 10.0, "")
    felt: FloatArray = np.sum(thickness * rho * share * factor, axis=0)
    return felt


def hand_class(mass: ArrayLike, upper_limits: ArrayLike) -> NDArray[np.intp]:
    """Class of each film mass.

    Parameters
    ----------
    mass : array_like
        From `hand_mass` [kg/m2], >= 0.
    upper_limits : array_like, shape (classes - 1,)
        Upper limit of each class but the last, rising [kg/m2]; a mass on a limit belongs to the softer class.

    Returns
    -------
    ndarray of int
        0 for the softest class, ``len(upper_limits)`` for the class without limit.

    Raises
    ------
    InvalidInput
        When the limits do not rise.
    """
    limits = np.asarray(upper_limits, dtype=np.float64)
    if limits.ndim != 1 or not np.all(np.diff(limits) > 0):
        raise InvalidInput("the limits of the hand classes must rise")
    masses = np.asarray(mass, dtype=np.float64)
    require_range(MODEL, "film mass", masses, 0.0, 100.0, "kg/m²")
    return np.searchsorted(limits, masses, side="left")
