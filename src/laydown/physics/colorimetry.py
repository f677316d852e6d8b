"""Reflectance to tristimulus values, CIELAB and sRGB; arrays of any shape with the colour on the last axis.

XYZ runs from 0 to 100 (Y of the perfect white is 100). Which illuminant and observer a value belongs to is the
caller's business: it comes with the weights (`laydown.data.colorimetric`) and the white point passed in.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

# CIE 15: ε = (6/29)^3, κ = (29/3)^3, the exact constants.
LAB_LIMIT = (6 / 29) ** 3
LAB_SLOPE = (29 / 3) ** 3

# IEC 61966-2-1: linear sRGB to XYZ, four decimals as printed there; the white it implies is (95.05, 100, 108.90).
SRGB_TO_XYZ = 100 * np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
SRGB_TO_XYZ.flags.writeable = False

# Lam (1985): XYZ to the sharpened cone responses of the Bradford transform.
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
BRADFORD.flags.writeable = False


def reflectance_to_xyz(reflectance: ArrayLike, weights: ArrayLike) -> NDArray[np.float64]:
    """Tristimulus values of a reflectance spectrum by a table of weights (ASTM E308).

    Parameters
    ----------
    reflectance : array_like, shape (..., band)
        Reflectance factor in the bands of the weights.
    weights : array_like, shape (band, 3)
        Tristimulus weighting factors of one illuminant and observer.

    Returns
    -------
    ndarray, shape (..., 3)
        XYZ; a reflectance of 1 everywhere gives the column sums of the weights, which is the white point.

    Raises
    ------
    InvalidInput
        Spectrum and weights have different numbers of bands.
    """
    r, w = np.asarray(reflectance, dtype=np.float64), np.asarray(weights, dtype=np.float64)
    if r.shape[-1:] != w.shape[:1] or w.shape[1:] != (3,):
        raise InvalidInput(
            f"a spectrum of shape {r.shape} does not fit weights of shape {w.shape}; its last axis must be the"
            " bands of the weights",
            where="reflectance",
        )
    xyz: NDArray[np.float64] = r @ w
    return xyz


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike) -> NDArray[np.float64]:
    """CIELAB from tristimulus values (CIE 15, ISO/CIE 11664-4, exact constants).

    Parameters
    ----------
    xyz : array_like, shape (..., 3)
    white : array_like, shape (3,)
        XYZ of the white point, > 0.

    Returns
    -------
    ndarray, shape (..., 3)
        L*, a*, b*.
    """
    ratio = _colour("xyz", xyz) / _white(white)
    f = np.where(ratio > LAB_LIMIT, np.cbrt(ratio), (LAB_SLOPE * ratio + 16) / 116)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike) -> NDArray[np.float64]:
    """Tristimulus values from CIELAB: the exact inverse of `xyz_to_lab`.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        L*, a*, b*.
    white : array_like, shape (3,)
        XYZ of the white point, > 0.

    Returns
    -------
    ndarray, shape (..., 3)
        XYZ; colours that no light has (a negative value) are returned as they come out.
    """
    lab = _colour("lab", lab)
    y = (lab[..., 0] + 16) / 116
    f = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    cube = f**3
    return np.where(cube > LAB_LIMIT, cube, (116 * f - 16) / LAB_SLOPE) * _white(white)


def srgb_from_8bit(values: ArrayLike) -> NDArray[np.float64]:
    """Turn 8-bit sRGB values into shares of one.

    Parameters
    ----------
    values : array_like, shape (..., 3)
        Red, green, blue, 0 to 255.

    Returns
    -------
    ndarray, shape (..., 3)
        0 to 1.

    Raises
    ------
    InvalidInput
        A value outside 0 to 255.
    """
    array = _colour("srgb", values)
    if not np.all((array >= 0) & (array <= 255)):
        raise InvalidInput("8-bit red, green and blue lie between 0 and 255", where="srgb")
    return array / 255


def srgb_to_8bit(srgb: ArrayLike) -> NDArray[np.uint8]:
    """8-bit values, rounded to nearest, from encoded sRGB (..., 3) of 0 to 1; values outside are clipped."""
    return np.rint(np.clip(_colour("srgb", srgb), 0, 1) * 255).astype(np.uint8)


def srgb_to_xyz(srgb: ArrayLike) -> NDArray[np.float64]:
    """Tristimulus values under D65, 2° observer, of a colour in sRGB (IEC 61966-2-1).

    Parameters
    ----------
    srgb : array_like, shape (..., 3)
        Encoded red, green, blue, 0 to 1.

    Returns
    -------
    ndarray, shape (..., 3)
        XYZ; white gives (95.05, 100, 108.90), the standard's own rounding of D65.

    Raises
    ------
    InvalidInput
        A value outside 0 to 1.
    """
    v = _colour("srgb", srgb)
    if not np.all((v >= 0) & (v <= 1)):
        raise InvalidInput("red, green and blue lie between 0 and 1", where="srgb")
    linear = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    xyz: NDArray[np.float64] = linear @ SRGB_TO_XYZ.T
    return xyz


def xyz_to_srgb(xyz: ArrayLike) -> NDArray[np.float64]:
    """Nearest encoded sRGB of tristimulus values under D65, 2° observer.

    Parameters
    ----------
    xyz : array_like, shape (..., 3)

    Returns
    -------
    ndarray, shape (..., 3)
        0 to 1. A colour outside sRGB is clipped channel by channel, good enough to show it on a screen.
    """
    linear = np.clip(_colour("xyz", xyz) @ np.linalg.inv(SRGB_TO_XYZ).T, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def adapt_bradford(xyz: ArrayLike, white: ArrayLike, new_white: ArrayLike) -> NDArray[np.float64]:
    """Tristimulus values that look the same under another white (Bradford, full adaptation).

    Parameters
    ----------
    xyz : array_like, shape (..., 3)
    white, new_white : array_like, shape (3,)
        XYZ of the white that `xyz` was seen under and of the one to adapt to, > 0.

    Returns
    -------
    ndarray, shape (..., 3)
        The old white becomes the new one exactly.

    Notes
    -----
    The linear Bradford transform (Lam 1985) as ICC profiles use it. Grade: from memory, checked against
    colour-science. It moves a colour between whites when nothing else is known of it; where a spectrum is
    at hand, compute with the other weights instead.
    """
    gain = (BRADFORD @ _white(new_white)) / (BRADFORD @ _white(white))
    matrix = np.linalg.inv(BRADFORD) @ (gain[:, None] * BRADFORD)
    adapted: NDArray[np.float64] = _colour("xyz", xyz) @ matrix.T
    return adapted


def _colour(name: str, value: ArrayLike) -> NDArray[np.float64]:
    array = np.asarray(value, dtype=np.float64)
    if array.shape[-1:] != (3,):
        raise InvalidInput(f"needs three numbers on the last axis, got shape {array.shape}", where=name)
    if not np.isfinite(array).all():
        raise InvalidInput("every number must be finite", where=name)
    return array


def _white(white: ArrayLike) -> NDArray[np.float64]:
    array = _colour("white", white)
    if array.shape != (3,) or not (array > 0).all():
        raise InvalidInput("a white point is three positive numbers", where="white")
    return array
