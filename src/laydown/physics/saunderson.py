"""Saunderson's correction: what the film's surface does to its reflectance."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput


def measured_reflectance(internal: ArrayLike, *, k1: ArrayLike, k2: ArrayLike) -> NDArray[np.float64]:
    """Reflectance factor that an instrument reads, from the film's internal reflectance.

    Parameters
    ----------
    internal : array_like
        Reflectance inside the film (what Kubelka-Munk theory gives), 0 to 1.
    k1 : array_like
        Share of the light from outside that the surface reflects, 0 <= k1 < 1; see `external_reflection`.
    k2 : array_like
        Share of the diffuse light from inside that the surface reflects back, 0 <= k2 < 1; in practice 0.4 to
        0.6 (read: Centore, after Allen 1980).

    Returns
    -------
    float or ndarray
        k1 + (1 - k1)(1 - k2) R / (1 - k2 R), surface reflection included.

    Notes
    -----
    For a smooth surface in contact with air. Source: references 2.6, Saunderson (1942) as given by Centore
    after Allen 1980. Grade: published.
    """
    r, k1, k2 = _numbers(internal, k1, k2)
    return k1 + (1 - k1) * (1 - k2) * r / (1 - k2 * r)


def internal_reflectance(measured: ArrayLike, *, k1: ArrayLike, k2: ArrayLike) -> NDArray[np.float64]:
    """Reflectance inside the film from the reflectance factor that was measured.

    Parameters
    ----------
    measured : array_like
        Reflectance factor with the surface reflection included, k1 to 1.
    k1, k2 : array_like
        As in `measured_reflectance`, of which this is the exact inverse.

    Returns
    -------
    float or ndarray

    Raises
    ------
    InvalidInput
        A measured value below k1 or above 1: no film with this surface can have it.
    """
    rm, k1, k2 = _numbers(measured, k1, k2)
    if not np.all((rm >= k1) & (rm <= 1)):
        raise InvalidInput(
            f"measured reflectance runs from {np.min(rm):g} to {np.max(rm):g}; with the surface reflecting"
            f" {np.max(k1):g} it must lie between that and 1",
            where="measured",
        )
    return (rm - k1) / ((1 - k1) * (1 - k2) + k2 * (rm - k1))


def external_reflection(refractive_index: ArrayLike) -> NDArray[np.float64]:
    """Share of perpendicular light that a smooth surface reflects: Saunderson's k1.

    Parameters
    ----------
    refractive_index : array_like
        Of the film against air, >= 1.

    Returns
    -------
    float or ndarray
        ((n - 1)/(n + 1))^2; 0.04 at n = 1.5.

    Raises
    ------
    InvalidInput
        An index below 1.

    Notes
    -----
    Fresnel's equation at normal incidence. Grade: from memory.
    """
    n = np.asarray(refractive_index, dtype=np.float64)
    if not np.all(n >= 1):
        raise InvalidInput(f"{np.min(n):g} is below 1, that of air", where="refractive_index")
    return ((n - 1) / (n + 1)) ** 2


def _numbers(
    reflectance: ArrayLike, k1: ArrayLike, k2: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    r, a, b = (np.asarray(value, dtype=np.float64) for value in (reflectance, k1, k2))
    if not (np.all((a >= 0) & (a < 1)) and np.all((b >= 0) & (b < 1))):
        raise InvalidInput(f"k1 = {np.max(a):g} and k2 = {np.max(b):g}; allowed are values from 0 to below 1")
    return r, a, b
