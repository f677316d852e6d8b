"""A measured spectrum brought to the bands that the tristimulus weights are for."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput
from laydown.physics.spectrum import WAVELENGTH_NM

NEEDED_NM = (400.0, 700.0)
"""Wavelengths that a spectrum must reach for a colour to be computed of it: those that ASTM E308 accepts at least."""

COARSEST_NM = 20.0
"""Widest step for which ASTM E308 has weights."""

SAME_NM = 1e-6


def in_bands(values: ArrayLike, *, start_nm: float, step_nm: float) -> NDArray[np.float64]:
    """Reflectance factors at 380 to 730 nm in 10 nm steps from those at other wavelengths.

    Parameters
    ----------
    values : array_like, shape (..., n)
        Reflectance factors at start, start + step and so on.
    start_nm, step_nm : float
        [nm]; at most 400, and above 0 up to 20. The last value must lie at 700 or above.

    Returns
    -------
    ndarray, shape (..., 36)

    Raises
    ------
    InvalidInput
        The spectrum does not reach from 400 to 700 nm or its step is wider than 20 nm.

    Notes
    -----
    Where a band was measured its value is taken as it is. Between measured bands a cubic through the four nearest is
    taken, as ASTM E2022 does for its weights (Lagrange). Beyond the ends the last measured value stands, which
    is the same as adding the weights outside to the end bands (ASTM E308). Grade: published, restated from memory;
    checked against colour-science.
    """
    r = np.asarray(values, dtype=np.float64)
    n = r.shape[-1] if r.ndim else 0
    if n < 2 or not (0 < step_nm <= COARSEST_NM):
        raise InvalidInput(
            f"a step of {step_nm:g} nm is too wide for a colour; allowed is up to {COARSEST_NM:g} nm", where="spectrum"
        )
    end_nm = start_nm + (n - 1) * step_nm
    if start_nm > NEEDED_NM[0] + SAME_NM or end_nm < NEEDED_NM[1] - SAME_NM:
        raise InvalidInput(
            f"the spectrum runs from {start_nm:g} to {end_nm:g} nm; a colour needs {NEEDED_NM[0]:g} to "
            f"{NEEDED_NM[1]:g} nm at least",
            where="spectrum",
        )
    place = np.clip((WAVELENGTH_NM - start_nm) / step_nm, 0.0, n - 1.0)
    nearest = np.rint(place)
    # A band that was measured is not spoilt by the round-off of its wavelength.
    place = np.where(np.abs(place - nearest) * step_nm <= SAME_NM, nearest, place)
    first = np.clip(np.floor(place).astype(np.int64) - 1, 0, n - 4)
    x = place - first
    weights = np.stack(
        [
            -(x - 1) * (x - 2) * (x - 3) / 6,
            x * (x - 2) * (x - 3) / 2,
            -x * (x - 1) * (x - 3) / 2,
            x * (x - 1) * (x - 2) / 6,
        ],
        axis=-1,
    )
    bands: NDArray[np.float64] = (r[..., first[:, None] + np.arange(4)] * weights).sum(axis=-1)
    return bands
