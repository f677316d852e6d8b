"""Exact solutions of transient conduction: plane wall, thick solid, lumped body, and the pile of hot garments.

Textbook series. They serve the pile by themselves, and the finite-volume solver as its outside measure.
Symbols: Bi = h L/k, Fo = alpha t/L² with L the half thickness of a wall with both faces in the air.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

Floats = NDArray[np.float64]

SHORT_TIME = 0.01
"""Fourier number below which the wall is two thick solids back to back (error below 1e-20) and not a series."""
SERIES_TERMS = 24
"""At ``SHORT_TIME`` the next term is exp(-50)."""


def plane_wall_roots(biot: ArrayLike, count: int = SERIES_TERMS) -> Floats:
    """First roots of ``zeta tan(zeta) = Bi``.

    Parameters
    ----------
    biot : array, shape (...)
        Biot number, above zero.
    count : int
        Number of roots.

    Returns
    -------
    array, shape (..., count)
        Rising; root n lies between ``(n-1) pi`` and ``(n-1/2) pi``; to 1e-14.

    References
    ----------
    Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, section 5.5 and table 5.1.

    Examples
    --------
    >>> round(float(plane_wall_roots(1.0)[0]), 4)
    0.8603
    """
    bi = _above_zero(biot, "biot")[..., None]
    low = np.broadcast_to(np.arange(count) * np.pi, (*bi.shape[:-1], count)).copy()
    high = low + 0.5 * np.pi
    # zeta sin(zeta) - Bi cos(zeta), signed so that it rises in every branch, has no poles: plain bisection is safe.
    sign = np.where(np.arange(count) % 2 == 0, 1.0, -1.0)
    for _ in range(54):
        middle = 0.5 * (low + high)
        below = sign * (middle * np.sin(middle) - bi * np.cos(middle)) < 0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray(0.5 * (low + high))


def plane_wall_coefficients(roots: Floats) -> Floats:
    """Coefficients ``C = 4 sin(zeta)/(2 zeta + sin(2 zeta))`` of the series of the plane wall, shape of ``roots``."""
    return np.asarray(4 * np.sin(roots) / (2 * roots + np.sin(2 * roots)))


def plane_wall_temperature(fourier: ArrayLike, biot: ArrayLike, position: ArrayLike = 0.0) -> Floats:
    """Temperature of a plane wall that was uniform and has air of another temperature at both faces since.

    Parameters
    ----------
    fourier, biot : array
        On the half thickness; Fo not negative, Bi above zero. Broadcast with ``position``.
    position : array
        Distance from the midplane by the half thickness, 0 (midplane, or an insulated face) to 1 (face).

    Returns
    -------
    array
        ``(T - T_air)/(T_start - T_air)``, from 1 down to 0.

    References
    ----------
    Incropera & DeWitt, equation 5.42.

    Examples
    --------
    >>> round(float(plane_wall_temperature(1.0, 1.0)), 4)
    0.5339
    """
    fo, bi, x = np.broadcast_arrays(
        np.asarray(fourier, dtype=np.float64), _above_zero(biot, "biot"), np.asarray(position, dtype=np.float64)
    )
    if not (np.all(fo >= 0) and np.all((x >= 0) & (x <= 1))):
        raise InvalidInput("Fourier number must not be negative, position from 0 to 1", where="plane_wall")
    # The roots are the dear part: one search for each Biot number, not one for each time.
    own = np.asarray(biot, dtype=np.float64)
    zeta = plane_wall_roots(own)
    late = np.maximum(fo, SHORT_TIME)[..., None]
    terms = plane_wall_coefficients(zeta) * np.exp(-(zeta**2) * late) * np.cos(zeta * x[..., None])
    early = np.minimum(fo, SHORT_TIME)
    near = _convection_rise(1 - x, early, bi)
    far = _convection_rise(1 + x, early, bi)
    return np.where(fo < SHORT_TIME, 1 - near - far, terms.sum(axis=-1))


def semi_infinite_step(depth: ArrayLike, time: ArrayLike, diffusivity: ArrayLike) -> Floats:
    """Share of a surface step that has arrived at ``depth``: ``erfc(x/(2 sqrt(alpha t)))``.

    Parameters
    ----------
    depth, time, diffusivity : array
        [m] not negative, [s] above zero, [m²/s] above zero.

    Returns
    -------
    array
        ``(T - T_start)/(T_surface - T_start)``.

    References
    ----------
    Incropera & DeWitt, equation 5.60.
    """
    from scipy.special import erfc

    length = np.sqrt(_above_zero(time, "time") * _above_zero(diffusivity, "diffusivity"))
    return np.asarray(erfc(np.asarray(depth, dtype=np.float64) / (2 * length)))


def semi_infinite_step_depth(share: ArrayLike, time: ArrayLike, diffusivity: ArrayLike) -> Floats:
    """Depth [m] at which a given share (0 to 1, ends excluded) of a surface step has arrived."""
    from scipy.special import erfcinv

    share = np.asarray(share, dtype=np.float64)
    if not np.all((share > 0) & (share < 1)):
        raise InvalidInput("must lie between 0 and 1", where="share")
    length = np.sqrt(_above_zero(time, "time") * _above_zero(diffusivity, "diffusivity"))
    return np.asarray(2 * length * erfcinv(share))


def semi_infinite_flux_rise(
    depth: ArrayLike, time: ArrayLike, *, flux: ArrayLike, conductivity: ArrayLike, heat_capacity: ArrayLike
) -> Floats:
    """Rise of temperature in a thick solid under a constant flux.

    Parameters
    ----------
    depth, time : array
        [m] not negative, [s] above zero.
    flux : array
        Into the surface [W/m²].
    conductivity, heat_capacity : array
        [W/(m K)], volumetric [J/(m³ K)].

    Returns
    -------
    array
        ``T - T_start`` [K].

    References
    ----------
    Incropera & DeWitt, equation 5.62.

    Examples
    --------
    >>> round(float(semi_infinite_flux_rise(0.0, 5.0, flux=1e4, conductivity=0.17, heat_capacity=1300 * 1400)), 2)
    45.36
    """
    from scipy.special import erfc

    k, c = _above_zero(conductivity, "conductivity"), _above_zero(heat_capacity, "heat_capacity")
    x, q = np.asarray(depth, dtype=np.float64), np.asarray(flux, dtype=np.float64)
    length = np.sqrt(_above_zero(time, "time") * k / c)
    share = x / (2 * length)
    return np.asarray(q / k * (2 * length / np.sqrt(np.pi) * np.exp(-(share**2)) - x * erfc(share)))


def semi_infinite_convection(
    depth: ArrayLike,
    time: ArrayLike,
    *,
    heat_transfer_coefficient: ArrayLike,
    conductivity: ArrayLike,
    diffusivity: ArrayLike,
) -> Floats:
    """Share of the step of the air's temperature that has arrived in a thick solid.

    Parameters
    ----------
    depth, time : array
        [m] not negative, [s] above zero.
    heat_transfer_coefficient, conductivity, diffusivity : array
        [W/(m² K)], [W/(m K)], [m²/s], all above zero.

    Returns
    -------
    array
        ``(T - T_start)/(T_air - T_start)``.

    References
    ----------
    Incropera & DeWitt, equation 5.63; written with the scaled error function, which cannot overflow.
    """
    time, k = _above_zero(time, "time"), _above_zero(conductivity, "conductivity")
    length = k / _above_zero(heat_transfer_coefficient, "heat_transfer_coefficient")
    fourier = _above_zero(diffusivity, "diffusivity") * time / length**2
    return _convection_rise(np.asarray(depth, dtype=np.float64) / length, fourier, np.asarray(1.0))


def lumped_time(
    start: ArrayLike,
    end: ArrayLike,
    surroundings: ArrayLike,
    *,
    areal_heat_capacity: ArrayLike,
    heat_transfer_coefficient: ArrayLike,
) -> Floats:
    """Time that a thin body takes from one temperature to another in air of a constant temperature.

    Parameters
    ----------
    start, end, surroundings : array
        Temperatures [K]; ``end`` must lie between ``start`` and ``surroundings``.
    areal_heat_capacity : array
        Sum of mass per area times specific heat [J/(m² K)].
    heat_transfer_coefficient : array
        Sum over both faces [W/(m² K)].

    Returns
    -------
    array
        ``tau ln((T_start - T_air)/(T_end - T_air))`` [s].
    """
    air = np.asarray(surroundings, dtype=np.float64)
    before, after = np.asarray(start, dtype=np.float64) - air, np.asarray(end, dtype=np.float64) - air
    if not np.all((before * after > 0) & (np.abs(after) <= np.abs(before))):
        raise InvalidInput("must lie between the start and the surroundings' temperature", where="end")
    tau = np.asarray(areal_heat_capacity) / _above_zero(heat_transfer_coefficient, "heat_transfer_coefficient")
    return np.asarray(tau * np.log(before / after))


def lumped_temperature(
    time: ArrayLike,
    start: ArrayLike,
    surroundings: ArrayLike,
    *,
    areal_heat_capacity: ArrayLike,
    heat_transfer_coefficient: ArrayLike,
) -> Floats:
    """Temperature [K] of a thin body after ``time`` [s]; the other arguments as in ``lumped_time``."""
    tau = _above_zero(areal_heat_capacity, "areal_heat_capacity") / np.asarray(heat_transfer_coefficient)
    air = np.asarray(surroundings, dtype=np.float64)
    return np.asarray(
        air + (np.asarray(start, dtype=np.float64) - air) * np.exp(-np.asarray(time, dtype=np.float64) / tau)
    )


def pile_centre_temperature(
    time: ArrayLike,
    *,
    height: ArrayLike,
    conductivity: ArrayLike,
    heat_capacity: ArrayLike,
    heat_transfer_coefficient: ArrayLike,
    start: ArrayLike,
    surroundings: ArrayLike,
    open_faces: Literal[1, 2] = 1,
) -> Floats:
    """Hottest place in a pile of warm garments.

    Parameters
    ----------
    time : array
        Since the pile was made [s], not negative.
    height : array
        Of the pile [m].
    conductivity, heat_capacity : array
        Of the pile through its layers [W/(m K)], volumetric, air included [J/(m³ K)].
    heat_transfer_coefficient : array
        At an open face, natural convection and radiation together [W/(m² K)].
    start, surroundings : array
        Temperatures [K].
    open_faces : {1, 2}
        1: on a table or in a box, the bottom loses nothing and is the hottest place; 2: on a grid, the middle is.

    Returns
    -------
    array
        Temperature [K]. The sides are left out: a pile much higher than wide cools faster than this.

    Notes
    -----
    ``plane_wall_temperature`` at position 0 with the half thickness ``height`` (1) or ``height/2`` (2).
    """
    if open_faces not in (1, 2):
        raise InvalidInput("a pile has one or two open faces", where="open_faces")
    length = _above_zero(height, "height") / open_faces
    k, c = _above_zero(conductivity, "conductivity"), _above_zero(heat_capacity, "heat_capacity")
    fourier = np.asarray(time, dtype=np.float64) * k / (c * length**2)
    biot = _above_zero(heat_transfer_coefficient, "heat_transfer_coefficient") * length / k
    air = np.asarray(surroundings, dtype=np.float64)
    return np.asarray(air + (np.asarray(start, dtype=np.float64) - air) * plane_wall_temperature(fourier, biot))


def _convection_rise(depth: Floats, fourier: Floats, biot: Floats) -> Floats:
    """Thick solid under convection; depth, Fo and Bi on one (any) length."""
    from scipy.special import erfc, erfcx

    root = np.sqrt(np.maximum(fourier, 1e-300))
    share = depth / (2 * root)
    return np.asarray(erfc(share) - np.exp(-(share**2)) * erfcx(share + biot * root))


def _above_zero(value: ArrayLike, name: str) -> Floats:
    array = np.asarray(value, dtype=np.float64)
    if not np.all(np.isfinite(array) & (array > 0)):
        raise InvalidInput("must be finite and above zero", where=name)
    return array
