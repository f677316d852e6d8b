"""What a drawdown tells about an ink: absorption and scattering from films over black and white.

All in internal reflectance (`saunderson.internal_reflectance` takes the surface off a measured one). In the
numbers A and B of `optics` a film turns p = (1 - Rg)/(1 + Rg) of its substrate into p' = (p + A)/(1 + B p),
which is linear in A and B: no iteration is needed. Kubelka-Munk as in `optics`; grade: from memory, checked by
computing forwards and back.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

# A film with tanh κX this near to 1 differs from an endless one by less than anyone can measure.
NEARLY_ENDLESS = 1e-6


class InkOptics(NamedTuple):
    """Kubelka-Munk coefficients of an ink [1/m], each a float or an ndarray."""

    absorption: NDArray[np.float64]
    scattering: NDArray[np.float64]


def optics_from_black_and_white(
    over_black: ArrayLike, over_white: ArrayLike, thickness: ArrayLike, *, black: ArrayLike, white: ArrayLike
) -> InkOptics:
    """K and S of an ink from one film drawn over a black and a white substrate.

    Parameters
    ----------
    over_black, over_white : array_like
        Internal reflectance of the film over each substrate, 0 to 1.
    thickness : array_like [m]
        Of the film, > 0 and finite.
    black, white : array_like
        Internal reflectance of the two bare substrates, black < white.

    Returns
    -------
    InkOptics

    Raises
    ------
    InvalidInput
        The film hides so well that both substrates look alike (draw it thinner, or give the reflectivity to
        `optics_from_reflectivity`), or no film that only absorbs and scatters has these reflectances.

    Notes
    -----
    The thinner the film hides, the surer S; near full hiding the difference of the two readings carries it
    all, and an error of the readings grows by 1/(over_white - over_black).
    """
    p_black, p_white = _contrast("black", black), _contrast("white", white)
    q_black, q_white = _contrast("over_black", over_black), _contrast("over_white", over_white)
    X = _thickness(thickness)
    # A - (q p) B = q - p for each substrate.
    determinant = q_black * p_black - q_white * p_white
    if not np.all(p_black > p_white):
        raise InvalidInput("the black substrate must be darker than the white one", where="black")
    if not np.all(q_black > q_white):
        raise InvalidInput(
            "the film hides black and white alike, so its scattering cannot be told; draw a thinner film",
            where="over_black",
        )
    B = (p_black - q_black - (p_white - q_white)) / determinant
    A = q_black - p_black + q_black * p_black * B
    return _coefficients(A, B, X)


def optics_from_reflectivity(
    over_substrate: ArrayLike, thickness: ArrayLike, *, substrate: ArrayLike, reflectivity: ArrayLike
) -> InkOptics:
    """K and S of an ink from one film over one substrate and its reflectivity R∞.

    Parameters
    ----------
    over_substrate : array_like
        Internal reflectance of the film over the substrate, strictly between the substrate's and R∞.
    thickness : array_like [m]
        Of the film, > 0 and finite.
    substrate : array_like
        Internal reflectance of the bare substrate.
    reflectivity : array_like
        R∞ of the ink, above 0 up to 1: what a film reads that hides fully.

    Returns
    -------
    InkOptics

    Raises
    ------
    InvalidInput
        The film's reflectance does not lie strictly between the substrate's and the reflectivity.
    """
    p, q, end = (
        _contrast("substrate", substrate),
        _contrast("over_substrate", over_substrate),
        _contrast("reflectivity", reflectivity),
    )
    X = _thickness(thickness)
    if not np.all(((p > q) & (q > end)) | ((p < q) & (q < end))):
        raise InvalidInput(
            "the film's reflectance must lie between that of the bare substrate and the ink's reflectivity",
            where="over_substrate",
        )
    B = (p - q) / (p * q - end**2)
    return _coefficients(end**2 * B, B, X)


def optics_from_contrast_ratio(
    contrast_ratio: ArrayLike,
    thickness: ArrayLike,
    *,
    reflectivity: ArrayLike,
    black: ArrayLike = 0.01,
    white: ArrayLike = 0.80,
    k1: float = 0.0,
    k2: float = 0.0,
) -> InkOptics:
    """K and S of an ink from its contrast ratio at a thickness and its reflectivity R∞.

    Parameters
    ----------
    contrast_ratio : array_like
        Reflectance over black divided by reflectance over white, between that of the bare substrates and 1.
    thickness : array_like [m]
        Of the film, > 0 and finite.
    reflectivity : array_like
        Internal R∞ of the ink, above 0 up to 1.
    black, white : array_like
        Internal reflectance of the bare substrates.
    k1, k2 : float
        Saunderson's constants when the ratio was taken of measured reflectances; 0 when of internal ones.

    Returns
    -------
    InkOptics

    Raises
    ------
    InvalidInput
        A contrast ratio that no such film has: 1 or more, or not above that of the bare substrates.

    Notes
    -----
    The inverse of `optics.contrast_ratio`. In closed form: each reflectance is a quotient of two expressions
    linear in B, so the ratio leads to a quadratic equation with one positive root. Where the ratio comes from
    luminances, K and S are those of a grey ink of the same luminances.
    """
    ratio = np.asarray(contrast_ratio, dtype=np.float64)
    X = _thickness(thickness)
    p_black, p_white, end = (
        _contrast("black", black),
        _contrast("white", white),
        _contrast("reflectivity", reflectivity),
    )

    def fraction(p: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
        """Numerator and denominator of the (measured) reflectance, each as constant and slope in B."""
        n0, n1 = 1 - p, p - end**2
        d0, d1 = 1 + p, p + end**2
        return (
            k1 * (d0 - k2 * n0) + (1 - k1) * (1 - k2) * n0,
            k1 * (d1 - k2 * n1) + (1 - k1) * (1 - k2) * n1,
            d0 - k2 * n0,
            d1 - k2 * n1,
        )

    bn0, bn1, bd0, bd1 = fraction(p_black)
    wn0, wn1, wd0, wd1 = fraction(p_white)
    # bn(B) wd(B) - ratio wn(B) bd(B) = 0
    c2 = bn1 * wd1 - ratio * wn1 * bd1
    c1 = bn0 * wd1 + bn1 * wd0 - ratio * (wn0 * bd1 + wn1 * bd0)
    c0 = bn0 * wd0 - ratio * wn0 * bd0
    if not np.all((ratio < 1) & (c0 < 0)):
        raise InvalidInput(
            f"contrast ratios run from {np.min(ratio):g} to {np.max(ratio):g}; allowed is above that of the bare"
            f" substrates, {np.max(bn0 * wd0 / (wn0 * bd0)):g}, and below 1",
            where="contrast_ratio",
        )
    # c0 < 0 < c2 gives one positive root; written so that nothing cancels when c1 > 0.
    root = np.sqrt(np.maximum(c1**2 - 4 * c2 * c0, 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        B = np.where(c1 > 0, -2 * c0 / (c1 + root), (root - c1) / (2 * c2))
    return _coefficients(end**2 * B, B, X)


def _contrast(name: str, reflectance: ArrayLike) -> NDArray[np.float64]:
    """(1 - R)/(1 + R), the variable in which a film acts most simply."""
    R = np.asarray(reflectance, dtype=np.float64)
    if not np.all((R >= 0) & (R <= 1)):
        raise InvalidInput("a reflectance lies between 0 and 1", where=name)
    return (1 - R) / (1 + R)


def _thickness(thickness: ArrayLike) -> NDArray[np.float64]:
    X = np.asarray(thickness, dtype=np.float64)
    if not np.all((X > 0) & np.isfinite(X)):
        raise InvalidInput("must be positive and finite", where="thickness")
    return X


def _coefficients(A: NDArray[np.float64], B: NDArray[np.float64], X: NDArray[np.float64]) -> InkOptics:
    """K and S of a film of thickness X whose numbers are A and B."""
    # The two readings fix A to round-off only; a non-absorbing film may come out as A = -1e-17.
    A = np.where(np.abs(A) <= 1e-12 * (1 + B), 0.0, A)
    A, B, X = np.broadcast_arrays(A, B, X)
    if not np.all((A >= 0) & (B >= A * (1 - 1e-12))):
        raise InvalidInput("no film that only absorbs and scatters has these reflectances", where="over_black")
    saturation = np.sqrt(A * B)  # tanh κX
    if not np.all(saturation <= 1 - NEARLY_ENDLESS):
        raise InvalidInput(
            "the film already looks endlessly thick, so its thickness says nothing; draw a thinner film",
            where="thickness",
        )
    x = np.arctanh(saturation)
    with np.errstate(invalid="ignore", divide="ignore"):
        t = np.where(x > 0, X * saturation / x, X)
    return InkOptics(absorption=(A / t)[()], scattering=(np.maximum(B - A, 0.0) / (2 * t))[()])
