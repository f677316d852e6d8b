"""Kubelka-Munk theory of one uniform film; NumPy, every argument broadcasts.

K is the absorption coefficient, S the scattering coefficient [1/m], X the thickness [m], R an internal
reflectance (no surface correction; see `saunderson`). All functions use two numbers of a film,

    A = tanh(κX) √(K/(K+2S)),   B = tanh(κX) √((K+2S)/K),   κ = √(K(K+2S)),

in which nothing cancels and every limit is plain: K = 0 gives A = 0, B = 2SX; S = 0 gives A = B = tanh KX.
Sources: Kubelka and Munk (1931), Kubelka (1948, 1954). Grade: from memory, checked numerically.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput
from laydown.physics.saunderson import measured_reflectance


def film_reflectance(
    absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike, substrate: ArrayLike
) -> NDArray[np.float64]:
    """Compute the internal reflectance of a film on a substrate.

    Parameters
    ----------
    absorption, scattering : array_like [1/m]
        K and S, finite, >= 0.
    thickness : array_like [m]
        X, >= 0; infinity is allowed.
    substrate : array_like
        Internal reflectance Rg below the film, 0 to 1.

    Returns
    -------
    float or ndarray
        R = [1 - Rg(a - b coth bSX)]/[a - Rg + b coth bSX] with a = 1 + K/S, b = √(a² - 1), and its exact limits
        for K = 0, S = 0, X = 0 and X = infinity. A clear film (K = S = 0) shows its substrate at any thickness.

    Raises
    ------
    InvalidInput
        A negative or NaN coefficient or thickness, a substrate outside 0 to 1.
    """
    A, B = film_numbers(absorption, scattering, thickness)
    Rg = _reflectance("substrate", substrate)
    # 1 - R and 1 + R on top of the film, up to a common factor.
    w = (1 - Rg) + A * (1 + Rg)
    with np.errstate(invalid="ignore"):
        s = (1 + Rg) + B * (1 - Rg)
        R = 1 - 2 * w / (s + w)
    # Endless scattering without absorption, on white: B (1 - Rg) has no value, but the answer is white.
    return np.where(np.isinf(B), 1.0, np.maximum(R, 0.0))[()]


def reflectivity(absorption: ArrayLike, scattering: ArrayLike) -> NDArray[np.float64]:
    """Reflectance R∞ of a film so thick that its substrate does not show.

    Parameters
    ----------
    absorption, scattering : array_like [1/m]
        K and S, >= 0, not both 0.

    Returns
    -------
    float or ndarray
        R∞ = a - b = S/(K + S + κ), 0 to 1.

    Raises
    ------
    InvalidInput
        A negative coefficient, or a film that neither absorbs nor scatters: it hides nothing at any thickness.
    """
    K, S = _coefficient("absorption", absorption), _coefficient("scattering", scattering)
    if np.any(K + S == 0):
        raise InvalidInput("a film that neither absorbs nor scatters has no reflectivity", where="scattering")
    return S / (K + S + np.sqrt(K * (K + 2 * S)))


def absorption_from_reflectivity(reflectivity: ArrayLike, scattering: ArrayLike) -> NDArray[np.float64]:
    """Absorption coefficient of an ink from its reflectivity and its scattering.

    Parameters
    ----------
    reflectivity : array_like
        R∞, internal, above 0 up to 1.
    scattering : array_like [1/m]
        S, >= 0.

    Returns
    -------
    float or ndarray [1/m]
        K = S (1 - R∞)²/(2R∞).

    Raises
    ------
    InvalidInput
        A reflectivity of 0 or below (that takes endless absorption) or above 1.
    """
    R = _reflectance("reflectivity", reflectivity)
    if np.any(R == 0):
        raise InvalidInput("0 would take endless absorption; allowed are values above 0", where="reflectivity")
    return _coefficient("scattering", scattering) * (1 - R) ** 2 / (2 * R)


def film_r0_and_transmittance(
    absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Reflectance and transmittance of a film alone (nothing behind it).

    Parameters
    ----------
    absorption, scattering : array_like [1/m]
        K and S, >= 0.
    thickness : array_like [m]
        X, >= 0.

    Returns
    -------
    R0, T : float or ndarray
        R0 = sinh bSX/(a sinh bSX + b cosh bSX), T = b/(a sinh bSX + b cosh bSX); R0 + T <= 1.

    Raises
    ------
    InvalidInput
        As `film_reflectance`.
    """
    A, B = film_numbers(absorption, scattering, thickness)
    kappa = np.sqrt(np.asarray(absorption) * (np.asarray(absorption) + 2 * np.asarray(scattering, dtype=np.float64)))
    with np.errstate(invalid="ignore"):
        decay = np.exp(-np.where(kappa > 0, kappa * np.asarray(thickness, dtype=np.float64), 0.0))
        R0 = np.where(np.isinf(B), 1.0, 1 - 2 * (1 + A) / (2 + A + B))
    # 1/cosh x, written so that it cannot overflow.
    return np.maximum(R0, 0.0)[()], (4 * decay / ((1 + decay**2) * (2 + A + B)))[()]


def stack_on(reflectance: ArrayLike, transmittance: ArrayLike, below: ArrayLike) -> NDArray[np.float64]:
    """Reflectance of a film lying on something else.

    Parameters
    ----------
    reflectance, transmittance : array_like
        R1 and T1 of the upper film alone, as `film_r0_and_transmittance` gives them.
    below : array_like
        Reflectance R2 of whatever lies below, 0 to 1.

    Returns
    -------
    float or ndarray
        R1 + T1² R2/(1 - R1 R2).

    Notes
    -----
    Kubelka (1954); the upper film must be uniform (the same from both sides).
    """
    R1, T1, R2 = (np.asarray(v, dtype=np.float64) for v in (reflectance, transmittance, below))
    return R1 + T1**2 * R2 / (1 - R1 * R2)


def stacked_transmittance(
    upper_reflectance: ArrayLike,
    upper_transmittance: ArrayLike,
    lower_reflectance: ArrayLike,
    lower_transmittance: ArrayLike,
) -> NDArray[np.float64]:
    """Transmittance T1 T2/(1 - R1 R2) of one uniform film on another (Kubelka 1954)."""
    R1, T1, R2, T2 = (
        np.asarray(v, dtype=np.float64)
        for v in (upper_reflectance, upper_transmittance, lower_reflectance, lower_transmittance)
    )
    return T1 * T2 / (1 - R1 * R2)


def contrast_ratio(
    absorption: ArrayLike,
    scattering: ArrayLike,
    thickness: ArrayLike,
    *,
    black: ArrayLike = 0.01,
    white: ArrayLike = 0.80,
    k1: ArrayLike = 0.0,
    k2: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    """Reflectance over black divided by reflectance over white: how well a film hides.

    Parameters
    ----------
    absorption, scattering : array_like [1/m]
        K and S of the film, for light as a whole (a grey ink) or band by band.
    thickness : array_like [m]
    black, white : array_like
        Internal reflectance of the two substrates.
    k1, k2 : array_like
        Saunderson's constants, when the ratio of *measured* reflectances is wanted; 0 leaves the surface out.

    Returns
    -------
    float or ndarray
        0 to 1; 1 hides fully.

    Notes
    -----
    ISO 6504-1 defines it by the luminance Y of the two areas and applies to Y >= 70 over white. The substrates
    0.01 and 0.80 are those of the check values in references 2.3.
    """
    over_black = film_reflectance(absorption, scattering, thickness, black)
    over_white = film_reflectance(absorption, scattering, thickness, white)
    return measured_reflectance(over_black, k1=k1, k2=k2) / measured_reflectance(over_white, k1=k1, k2=k2)


def film_numbers(
    absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return A and B of a film, as the module's head defines them; B may be infinite, A never is.

    Raises
    ------
    InvalidInput
        A negative or NaN coefficient or thickness.
    """
    K, S = _coefficient("absorption", absorption), _coefficient("scattering", scattering)
    X = np.asarray(thickness, dtype=np.float64)
    if not np.all(X >= 0):
        raise InvalidInput("a thickness is not negative", where="thickness")
    K, S, X = np.broadcast_arrays(K, S, X)
    M = K + 2 * S
    kappa = np.sqrt(K * M)
    # Products such as 0 x infinity appear only in the branch that `where` drops.
    with np.errstate(invalid="ignore", divide="ignore"):
        t = np.where(kappa > 0, np.tanh(kappa * X) / kappa, X)
        A = np.where(K > 0, K * t, 0.0)
        B = np.where(M > 0, M * t, 0.0)
    return A, B


def _coefficient(name: str, value: ArrayLike) -> NDArray[np.float64]:
    array = np.asarray(value, dtype=np.float64)
    if not np.all((array >= 0) & np.isfinite(array)):
        raise InvalidInput("must be finite and not negative", where=name)
    return array


def _reflectance(name: str, value: ArrayLike) -> NDArray[np.float64]:
    array = np.asarray(value, dtype=np.float64)
    if not np.all((array >= 0) & (array <= 1)):
        raise InvalidInput("a reflectance lies between 0 and 1", where=name)
    return array
