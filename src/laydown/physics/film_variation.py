"""How the local film thickness varies over a print, and the points at which to average over it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.physics.range_check import require_range

FloatArray = NDArray[np.float64]

MODEL = "film thickness variation"

SMALLEST = 1e-4
"""Below this relative deviation a film counts as even: the points would coincide to the eye and to the optics."""

LARGEST = 1.5


def smoothed_variation(variation: ArrayLike, smoothing: ArrayLike, passes: int = 1) -> FloatArray:
    """Relative standard deviation after smoothing passes.

    Parameters
    ----------
    variation : array_like
        Relative standard deviation before [1], 0 to 1.5.
    smoothing : array_like
        Factor of one smoothing pass [1], 0 to 1.
    passes : int
        How many smoothing passes follow, >= 0.

    Returns
    -------
    ndarray
        [1].
    """
    sd, factor = np.asarray(variation, dtype=np.float64), np.asarray(smoothing, dtype=np.float64)
    require_range(MODEL, "relative standard deviation", sd, 0.0, LARGEST, "")
    require_range(MODEL, "smoothing", factor, 0.0, 1.0, "")
    require_range(MODEL, "smoothing passes", passes, 0, 100, "")
    return sd * factor**passes


def thickness_factors(variation: ArrayLike, points: int = 5) -> tuple[FloatArray, FloatArray]:
    """Points and weights to average over the local thickness of an uneven film.

    Parameters
    ----------
    variation : array_like, shape S
        Relative standard deviation of the local thickness [1], 0 to 1.5.
    points : int
        Number of points, 2 to 32.

    Returns
    -------
    factors : ndarray, shape S + (points,)
        Local thickness divided by the mean thickness [1], > 0, rising.
    weights : ndarray, shape S + (points,)
        Share of the area at each [1], > 0; they add up to 1.

    Raises
    ------
    OutOfRange
        When the deviation or the number of points is outside of what is named above.

    Notes
    -----
    The local thickness is taken as gamma-distributed: never negative, skewed as a film over fibre ends is, and normal
    when the deviation is small. The points are those of Gauss and Laguerre for the density x^(k-1) e^-x with
    k = 1/variation^2, divided by k; mean 1 and the deviation are met exactly, as is every moment up to
    ``2 points - 1``. They are the eigenvalues of a small symmetric matrix (Golub and Welsch 1969). That the
    thickness is gamma-distributed is assumed.

    References
    ----------
    G. H. Golub and J. H. Welsch, Calculation of Gauss quadrature rules, Math. Comp. 23 (1969) 221.

    Examples
    --------
    >>> factors, weights = thickness_factors(0.25)
    >>> round(float((factors * weights).sum()), 12)
    1.0
    """
    sd = np.asarray(variation, dtype=np.float64)
    require_range(MODEL, "relative standard deviation", sd, 0.0, LARGEST, "")
    require_range(MODEL, "number of points", points, 2, 32, "")
    scale = np.maximum(sd, SMALLEST)[..., np.newaxis]
    step = np.arange(points, dtype=np.float64)
    # Jacobi matrix of the Laguerre polynomials divided by k = 1/scale^2, so written that a small deviation loses
    # no digits.
    diagonal = 1 + 2 * step * scale**2
    beside = scale * np.sqrt(step[1:] * (1 + (step[1:] - 1) * scale**2))
    jacobi = np.zeros((*sd.shape, points, points))
    index = np.arange(points)
    jacobi[..., index, index] = diagonal
    jacobi[..., index[1:], index[:-1]] = beside
    factors, vectors = np.linalg.eigh(jacobi)
    weights = vectors[..., 0, :] ** 2
    factors = np.where(sd[..., np.newaxis] < SMALLEST, 1.0, factors)
    return factors, weights / weights.sum(axis=-1, keepdims=True)
