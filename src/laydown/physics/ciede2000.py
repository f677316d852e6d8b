"""The CIEDE2000 colour difference, on arrays.

Hue angles are never formed for the difference itself: unit vectors u1, u2 in the (a', b) plane give
sin(Δh/2) = |u2 - u1|/2 and the mean hue as the bisector, which also settles what happens at 360° and where the
hues are opposite. Only the blue correction needs an angle.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

# From here on the compiled loop is worth importing.
MANY = 4000

COS_30, SIN_30 = np.cos(np.radians(30)), np.sin(np.radians(30))
COS_6, SIN_6 = np.cos(np.radians(6)), np.sin(np.radians(6))
COS_63, SIN_63 = np.cos(np.radians(63)), np.sin(np.radians(63))
COS_275, SIN_275 = np.cos(np.radians(275)), np.sin(np.radians(275))


def ciede2000(lab1: ArrayLike, lab2: ArrayLike) -> NDArray[np.float64]:
    """CIEDE2000 colour difference ΔE00 with kL = kC = kH = 1.

    Parameters
    ----------
    lab1, lab2 : array_like, shapes (..., 3) that broadcast against each other
        L*, a*, b*.

    Returns
    -------
    float or ndarray, shape (...)
        ΔE00 >= 0; symmetric in its arguments.

    Raises
    ------
    InvalidInput
        Arrays whose last axis is not three or that do not broadcast, or a number that is not finite.

    Notes
    -----
    Meant for small differences (below about 5); large ones are ordered rightly but not scaled evenly. Where the
    two hues are exactly opposite the mean hue is half their sum (0 to 360°), as Sharma's test data want it.
    Source: Sharma, Wu and Dalal (2005), Color Research & Application 30, 21-30, all of whose 24 pairs listed in
    references 2.4 are met to four decimals. Grade: published.
    """
    first, second = np.asarray(lab1, dtype=np.float64), np.asarray(lab2, dtype=np.float64)
    if first.shape[-1:] != (3,) or second.shape[-1:] != (3,):
        raise InvalidInput(f"needs L*, a*, b* on the last axis, got shapes {first.shape} and {second.shape}")
    try:
        first, second = np.broadcast_arrays(first, second)
    except ValueError as error:
        raise InvalidInput(f"shapes {first.shape} and {second.shape} do not fit each other") from error
    if not (np.isfinite(first).all() and np.isfinite(second).all()):
        raise InvalidInput("every L*, a*, b* must be finite")
    if first.size < 3 * MANY:
        return ciede2000_numpy(first, second)
    from laydown.physics.ciede2000_kernel import differences

    shape = first.shape[:-1]
    flat = differences(np.ascontiguousarray(first.reshape(-1, 3)), np.ascontiguousarray(second.reshape(-1, 3)))
    result: NDArray[np.float64] = flat.reshape(shape)
    return result


def ciede2000_numpy(first: NDArray[np.float64], second: NDArray[np.float64]) -> NDArray[np.float64]:
    """ΔE00 of two arrays of one shape (..., 3), in NumPy alone; `ciede2000` checks and chooses."""
    (l1, a1, b1), (l2, a2, b2) = np.moveaxis(first, -1, 0), np.moveaxis(second, -1, 0)
    stretch = 1.5 - 0.5 * _saturation(0.5 * (np.sqrt(a1 * a1 + b1 * b1) + np.sqrt(a2 * a2 + b2 * b2)))
    a1, a2 = stretch * a1, stretch * a2
    c1, c2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)
    mean_l, mean_c = 0.5 * (l1 + l2), 0.5 * (c1 + c2)

    # Unit vectors of the hues; a grey has none and leaves the other one as the mean.
    per1, per2 = 1 / np.where(c1 > 0, c1, np.inf), 1 / np.where(c2 > 0, c2, np.inf)
    x1, y1, x2, y2 = a1 * per1, b1 * per1, a2 * per2, b2 * per2
    dx, dy = x2 - x1, y2 - y1
    cross = a1 * b2 - a2 * b1
    ahead = (cross > 0) | ((cross == 0) & ((b1 > 0) | ((b1 == 0) & (a1 > 0))))
    sign = np.where(ahead, 1.0, -1.0)
    hue_change = sign * np.sqrt(c1 * c2) * np.sqrt(dx * dx + dy * dy)
    # The bisector is along u1 + u2, or across u2 - u1: whichever is long.
    apart = x1 * x2 + y1 * y2 < 0
    mx, my = np.where(apart, sign * dy, x1 + x2), np.where(apart, -sign * dx, y1 + y2)
    length = np.sqrt(mx * mx + my * my)
    grey = length == 0
    length = np.where(grey, 1.0, length)
    cos1, sin1 = np.where(grey, 1.0, mx / length), my / length

    cos2, sin2 = cos1 * cos1 - sin1 * sin1, 2 * sin1 * cos1
    cos3, sin3 = cos1 * cos2 - sin1 * sin2, sin1 * cos2 + cos1 * sin2
    cos4, sin4 = cos2 * cos2 - sin2 * sin2, 2 * sin2 * cos2
    t = (
        1.0
        - 0.17 * (cos1 * COS_30 + sin1 * SIN_30)
        + 0.24 * cos2
        + 0.32 * (cos3 * COS_6 - sin3 * SIN_6)
        - 0.20 * (cos4 * COS_63 + sin4 * SIN_63)
    )
    from_blue = np.degrees(np.arctan2(sin1 * COS_275 - cos1 * SIN_275, cos1 * COS_275 + sin1 * SIN_275))
    turn = np.sin(np.radians(60 * np.exp(-((from_blue / 25) ** 2))))
    # The formula's distance from 275° does not go round through 0°: a mean hue of 1° is 274° away.
    turn = np.where((sin1 >= 0) & (cos1 > 0), 0.0, turn)
    lightness = (l2 - l1) / (1 + 0.015 * (mean_l - 50) ** 2 / np.sqrt(20 + (mean_l - 50) ** 2))
    chroma = (c2 - c1) / (1 + 0.045 * mean_c)
    hue = hue_change / (1 + 0.015 * mean_c * t)
    square = lightness**2 + chroma**2 + hue**2 - 2 * _saturation(mean_c) * turn * chroma * hue
    difference: NDArray[np.float64] = np.sqrt(np.maximum(square, 0.0))[()]
    return difference


def _saturation(chroma: NDArray[np.float64]) -> NDArray[np.float64]:
    """√(C⁷/(C⁷ + 25⁷))."""
    square = chroma * chroma
    c7 = square * square * square * chroma  # as the compiled loop rounds it
    share: NDArray[np.float64] = np.sqrt(c7 / (c7 + 25.0**7))
    return share
