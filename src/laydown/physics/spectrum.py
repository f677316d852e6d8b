"""A reflectance spectrum for a colour that is known by three numbers only.

Infinitely many spectra have the same colour. The smoothest one is taken: with R = (1 + tanh z)/2, which stays
strictly between 0 and 1, the sum of (z[i+1] - z[i])² over the bands is least while the spectrum has the wanted
XYZ (Burns, "Numerical methods for smoothest reflectance reconstruction", Color Research & Application 45, 2020:
least hyperbolic tangent slope squared). Grade: published; restated from memory, proved by round trips.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import ConvergenceError, InvalidInput
from laydown.physics.colorimetry import adapt_bradford, lab_to_xyz, srgb_to_xyz

WAVELENGTH_NM = np.arange(380.0, 731.0, 10.0)
WAVELENGTH_NM.flags.writeable = False

# Newton's method: no band moves further than this in z at once, and it has arrived when none moves further than
# ARRIVED. All of sRGB takes at most 10 steps.
LONGEST_STEP = 1.0
ARRIVED = 1e-9
MOST_STEPS = 100
# A colour this near to perfect black or white (XYZ, 0 to 100) has only that spectrum.
SAME_XYZ = 1e-7


def reflectance_of_xyz(xyz: ArrayLike, weights: ArrayLike) -> NDArray[np.float64]:
    """Smoothest reflectance spectrum that has a colour.

    Parameters
    ----------
    xyz : array_like, shape (3,)
        Tristimulus values, 0 to 100.
    weights : array_like, shape (band, 3)
        Tristimulus weights of the illuminant and observer that `xyz` belongs to.

    Returns
    -------
    ndarray, shape (band,)
        Strictly between 0 and 1, its colour equal to `xyz` to round-off; all 0 for black and all 1 for the
        white of the weights.

    Raises
    ------
    InvalidInput
        No reflectance between 0 and 1 has this colour (it lies outside the object-colour solid, or within
        about 1e-4 of its skin, where only a spectrum of sharp steps is left).
    ConvergenceError
        The solver did not arrive although such a spectrum exists.

    Notes
    -----
    About 0.3 ms. A real dye's spectrum may differ: two spectra of one colour part under another light, so a
    measured spectrum is always better.
    """
    target = np.asarray(xyz, dtype=np.float64)
    table = np.asarray(weights, dtype=np.float64)
    if target.shape != (3,) or table.ndim != 2 or table.shape[1] != 3:
        raise InvalidInput(
            f"needs three numbers and weights of three columns, got shapes {target.shape}, {table.shape}"
        )
    if not np.isfinite(target).all():
        raise InvalidInput("every tristimulus value must be finite", where="xyz")
    bands = len(table)
    white = table.sum(axis=0)
    if np.abs(target).max() <= SAME_XYZ:
        return np.zeros(bands)
    if np.abs(target - white).max() <= SAME_XYZ:
        return np.ones(bands)
    if (target > 0).all() and (target < white).all():
        z = _smoothest(target / white[1], table / white[1])
        if z is not None:
            return 0.5 * (1 + np.tanh(z))
    room = _room(target, table)
    what = f"X = {target[0]:.4g}, Y = {target[1]:.4g}, Z = {target[2]:.4g}"
    if room <= 0:
        raise InvalidInput(f"no surface has the colour {what}: it takes a reflectance below 0 or above 1", where="xyz")
    if room < 1e-3:
        raise InvalidInput(
            f"the colour {what} lies on the edge of what a surface can have; take a duller one", where="xyz"
        )
    raise ConvergenceError(f"smoothest reflectance of {what}: no convergence in {MOST_STEPS} steps")


def reflectance_of_lab(lab: ArrayLike, weights: ArrayLike) -> NDArray[np.float64]:
    """Smoothest reflectance spectrum that has a CIELAB colour.

    Parameters
    ----------
    lab : array_like, shape (3,)
        L*, a*, b* under the weights' illuminant and observer.
    weights : array_like, shape (band, 3)
        Tristimulus weights.

    Returns
    -------
    ndarray, shape (band,)

    Raises
    ------
    InvalidInput
        No reflectance has this colour.
    """
    colour = np.asarray(lab, dtype=np.float64)
    try:
        return reflectance_of_xyz(lab_to_xyz(colour, np.asarray(weights).sum(axis=0)), weights)
    except InvalidInput as error:
        raise InvalidInput(f"L*, a*, b* = {colour.tolist()} cannot be used: {error.what}", where="lab") from error


def reflectance_of_srgb(srgb: ArrayLike, weights_d65_2: ArrayLike) -> NDArray[np.float64]:
    """Smoothest reflectance spectrum that has an sRGB colour.

    Parameters
    ----------
    srgb : array_like, shape (3,)
        Encoded red, green, blue, 0 to 1.
    weights_d65_2 : array_like, shape (band, 3)
        Tristimulus weights of D65 and the 2° observer: those sRGB is defined by.

    Returns
    -------
    ndarray, shape (band,)
        Its colour under D65, 2° is that of the sRGB value, adapted from the white printed in IEC 61966-2-1
        (95.05, 100, 108.90) to the white of the weights, a difference of at most 0.02 in XYZ; so #ffffff is
        a reflectance of 1. Its Lab under any other light follows from the spectrum.

    Raises
    ------
    InvalidInput
        A value outside 0 to 1.
    """
    xyz = adapt_bradford(srgb_to_xyz(srgb), srgb_to_xyz([1.0, 1.0, 1.0]), np.asarray(weights_d65_2).sum(axis=0))
    return reflectance_of_xyz(xyz, weights_d65_2)


def _smoothest(target: NDArray[np.float64], weights: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Newton's method on the Lagrange conditions in z (band) and three multipliers; None if it does not arrive."""
    bands = len(weights)
    roughness = (
        np.diag(np.concatenate([[2.0], np.full(bands - 2, 4.0), [2.0]]))
        - 2 * np.eye(bands, k=1)
        - 2 * np.eye(bands, k=-1)
    )
    band = np.arange(bands)
    matrix = np.zeros((bands + 3, bands + 3))
    z = np.full(bands, np.arctanh(2 * np.clip(target[1], 1e-9, 1 - 1e-9) - 1))
    multiplier = np.zeros(3)
    for _ in range(MOST_STEPS):
        tanh = np.tanh(z)
        slope = 0.5 * (1 - tanh**2)  # dR/dz
        pull = weights @ multiplier
        residual = np.concatenate([roughness @ z + slope * pull, weights.T @ (0.5 * (1 + tanh)) - target])
        matrix[:bands, :bands] = roughness
        matrix[band, band] -= 2 * tanh * slope * pull
        matrix[:bands, bands:] = slope[:, None] * weights
        matrix[bands:, :bands] = matrix[:bands, bands:].T
        try:
            step = np.linalg.solve(matrix, -residual)
        except np.linalg.LinAlgError:
            return None
        longest = np.abs(step[:bands]).max()
        if not np.isfinite(longest):
            return None
        share = min(1.0, LONGEST_STEP / longest) if longest > 0 else 1.0
        z += share * step[:bands]
        multiplier += share * step[bands:]
        if longest < ARRIVED:
            return z
    return None


def _room(target: NDArray[np.float64], weights: NDArray[np.float64]) -> float:
    """Largest m such that some spectrum of this colour keeps m away from 0 and from 1; negative if there is none.

    A linear programme decides exactly whether a colour lies in the object-colour solid.
    """
    from scipy.optimize import linprog

    bands = len(weights)
    ones = np.ones((bands, 1))
    answer = linprog(
        c=np.concatenate([np.zeros(bands), [-1.0]]),
        A_ub=np.block([[np.eye(bands), ones], [-np.eye(bands), ones]]),
        b_ub=np.concatenate([np.ones(bands), np.zeros(bands)]),
        A_eq=np.hstack([weights.T, np.zeros((3, 1))]),
        b_eq=target,
        bounds=[(None, None)] * (bands + 1),
        method="highs",
    )
    return -float(answer.fun) if answer.success and answer.fun is not None else -1.0
