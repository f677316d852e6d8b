"""Wet ink height by the formulas of the trade press: the rival of the laydown model.

"How Much Ink Do You Need?", Screen Printing magazine, April 2000, gives one formula for coarse plain mesh and three
factors for the rest. They do not join: at 42/cm the height is about all of the mesh's volume, at 43/cm about 70 %.
Nothing is interpolated across that step, and counts between the bands are refused.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown import units
from laydown.physics.range_check import require_range

FloatArray = NDArray[np.float64]

MODEL = "trade-press wet height"

COARSE_LOWEST, COARSE_HIGHEST = 0.0, 42.0
MEDIUM_LOWEST, MEDIUM_HIGHEST = 43.0, 139.0
FINE_LOWEST, FINE_HIGHEST = 140.0, 200.0
"""Bands in threads/cm, as printed. The last has no end in the source; no textile mesh is finer than this."""

MEDIUM_FACTOR, FINE_FACTOR, TWILL_FACTOR = 0.285, 0.35, 0.31

TINY = float(np.finfo(np.float64).tiny)


def coarse_wet_height(count: ArrayLike, thread: ArrayLike) -> FloatArray:
    """Wet height of plain mesh up to 42 threads/cm.

    Parameters
    ----------
    count : array_like
        Threads per length M [1/m], above 0 and up to 4200.
    thread : array_like
        Thread diameter D [m], above 0 and less than the pitch.

    Returns
    -------
    ndarray
        1.82 D (1 - M D)^2 [m].

    Raises
    ------
    OutOfRange
        Outside the band, or when the thread fills the pitch.

    References
    ----------
    "How Much Ink Do You Need?", Screen Printing magazine, April 2000.

    Examples
    --------
    >>> round(float(coarse_wet_height(3900.0, 55e-6)) * 1e6, 2)
    61.76
    """
    m, d = np.asarray(count, dtype=np.float64), np.asarray(thread, dtype=np.float64)
    require_range(MODEL, "count of a coarse plain mesh", _per_cm(m), COARSE_LOWEST, COARSE_HIGHEST, "threads/cm")
    require_range(MODEL, "thread diameter", units.to_micron(d), 1.0, 1000.0, "µm")
    filled = m * d
    require_range(MODEL, "thread diameter as a share of the pitch", filled, TINY, 1.0, "")
    return 1.82 * d * (1 - filled) ** 2


def medium_wet_height(count: ArrayLike, fabric_thickness: ArrayLike) -> FloatArray:
    """Wet height of plain mesh of 43 to 139 threads/cm: 0.285 of the fabric thickness [m].

    Parameters
    ----------
    count : array_like
        [1/m].
    fabric_thickness : array_like
        [m].

    Raises
    ------
    OutOfRange
        Outside the band.
    """
    return _factor_wet_height(count, fabric_thickness, MEDIUM_FACTOR, MEDIUM_LOWEST, MEDIUM_HIGHEST, "medium plain")


def fine_wet_height(count: ArrayLike, fabric_thickness: ArrayLike) -> FloatArray:
    """Wet height of plain mesh of 140 threads/cm and more: 0.35 of the fabric thickness [m].

    Parameters
    ----------
    count : array_like
        [1/m].
    fabric_thickness : array_like
        [m].

    Raises
    ------
    OutOfRange
        Outside the band.
    """
    return _factor_wet_height(count, fabric_thickness, FINE_FACTOR, FINE_LOWEST, FINE_HIGHEST, "fine plain")


def twill_wet_height(count: ArrayLike, fabric_thickness: ArrayLike) -> FloatArray:
    """Wet height of any twill mesh: 0.31 of the fabric thickness [m].

    Parameters
    ----------
    count : array_like
        [1/m].
    fabric_thickness : array_like
        [m].

    Raises
    ------
    OutOfRange
        When the count is that of no textile mesh.
    """
    return _factor_wet_height(count, fabric_thickness, TWILL_FACTOR, 1.0, FINE_HIGHEST, "twill")


def trade_wet_height(count: float, thread: float, fabric_thickness: float, weave: str) -> float:
    """Wet height of one mesh by whichever formula covers it.

    Parameters
    ----------
    count : float
        Threads per length [1/m].
    thread, fabric_thickness : float
        [m]; each formula uses one of them, the other may be nan.
    weave : {"plain", "twill"}

    Returns
    -------
    float
        Wet height [m].

    Raises
    ------
    OutOfRange
        When no formula covers the count: plain mesh between 42 and 43 or between 139 and 140 threads/cm is in no
        band, and is not interpolated.
    """
    per_cm = float(_per_cm(np.float64(count)))
    if weave == "twill":
        return float(twill_wet_height(count, fabric_thickness))
    if per_cm < MEDIUM_LOWEST:
        return float(coarse_wet_height(count, thread))
    if per_cm < FINE_LOWEST:
        return float(medium_wet_height(count, fabric_thickness))
    return float(fine_wet_height(count, fabric_thickness))


def _factor_wet_height(
    count: ArrayLike, fabric_thickness: ArrayLike, factor: float, lowest: float, highest: float, kind: str
) -> FloatArray:
    n, thickness = np.asarray(count, dtype=np.float64), np.asarray(fabric_thickness, dtype=np.float64)
    require_range(MODEL, f"count of a {kind} mesh", _per_cm(n), lowest, highest, "threads/cm")
    require_range(MODEL, "fabric thickness", units.to_micron(thickness), 1.0, 2000.0, "µm")
    return factor * thickness


def _per_cm(count: FloatArray | np.float64) -> FloatArray:
    # Counts come from per-inch or per-metre figures; the last binary digit must not decide the band.
    return np.round(units.to_threads_per_cm(np.asarray(count)), 9)
