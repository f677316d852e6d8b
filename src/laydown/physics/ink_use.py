"""How much ink a run takes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.physics.range_check import require_range

FloatArray = NDArray[np.float64]

MODEL = "ink use"

HIGHEST = float(np.finfo(np.float64).max)


def ink_volume(laydown: ArrayLike, printed_area: ArrayLike, prints: ArrayLike = 1) -> FloatArray:
    """Wet ink on the garments of a run: laydown x printed area x number of prints.

    Parameters
    ----------
    laydown : array_like
        Wet laydown of the pass, cloth and film together [m], >= 0.
    printed_area : array_like
        Area that the plate covers on one garment [m2], >= 0.
    prints : array_like
        Number of prints, >= 0.

    Returns
    -------
    ndarray
        [m3]; one micrometre on one square metre is one cubic centimetre.

    References
    ----------
    "How Much Ink Do You Need?", Screen Printing magazine, April 2000.
    """
    height, area = np.asarray(laydown, dtype=np.float64), np.asarray(printed_area, dtype=np.float64)
    count = np.asarray(prints, dtype=np.float64)
    require_range(MODEL, "wet laydown", height, 0.0, HIGHEST, "m")
    require_range(MODEL, "printed area", area, 0.0, HIGHEST, "m²")
    require_range(MODEL, "number of prints", count, 0.0, HIGHEST, "")
    return height * area * count


def ink_to_mix(volume: ArrayLike, density: ArrayLike, waste: ArrayLike = 0.0) -> FloatArray:
    """Mass of ink to take from the pail.

    Parameters
    ----------
    volume : array_like
        Wet ink on the garments [m3], >= 0.
    density : array_like
        Of the wet ink [kg/m3].
    waste : array_like
        Share of the ink taken that stays on screens, tools and in cups [1], 0 to below 0.95.

    Returns
    -------
    ndarray
        volume x density / (1 - waste) [kg].
    """
    wet, rho = np.asarray(volume, dtype=np.float64), np.asarray(density, dtype=np.float64)
    lost = np.asarray(waste, dtype=np.float64)
    require_range(MODEL, "ink volume", wet, 0.0, HIGHEST, "m³")
    require_range(MODEL, "ink density", rho, 1.0, 2e4, "kg/m³")
    require_range(MODEL, "waste", lost, 0.0, 0.95, "")
    return wet * rho / (1 - lost)
