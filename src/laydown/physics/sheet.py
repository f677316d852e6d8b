"""Exact solutions of diffusion through sheets and layers (Crank): the outside measure of the migration solver.

Symbols: Fo = D t/l², l the whole thickness of a sheet unless said otherwise. Concentrations are in any unit.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

Floats = NDArray[np.float64]

CROSSOVER = 0.05
"""Fo below which sheets take the series for short times; both agree there to 1e-12."""
TERMS = 30


def sheet_uptake(fourier: ArrayLike) -> Floats:
    """Share of the final uptake of a sheet whose two faces are kept at one concentration.

    Parameters
    ----------
    fourier : array_like
        D t/l², not negative. A sheet with one tight face takes up as much as one twice as thick with both open:
        put its double thickness for l.

    Returns
    -------
    array
        M(t)/M(infinity).

    References
    ----------
    Crank, The Mathematics of Diffusion, 2nd ed., chapter 4 (plane sheet).

    Examples
    --------
    >>> round(float(sheet_uptake(0.05)), 5)
    0.50409
    """
    fo = _not_negative("fourier", fourier)
    n = np.arange(TERMS)
    odd = (2 * n + 1) * np.pi
    late = 1 - (8 / odd**2 * np.exp(-np.minimum(odd**2 * fo[..., None], 700))).sum(axis=-1)
    root = np.sqrt(np.where(fo > 0, fo, 1.0))[..., None]
    images = ((-1.0) ** n[1:] * _ierfc(n[1:] / (2 * root))).sum(axis=-1)
    early = 4 * root[..., 0] * (1 / np.sqrt(np.pi) + 2 * images)
    return np.asarray(np.where(fo == 0, 0.0, np.where(fo < CROSSOVER, early, late)))


def sheet_uptake_time(share: ArrayLike) -> Floats:
    """Fo at which a sheet has taken up a share of its final uptake.

    Parameters
    ----------
    share : array_like
        From 0 to below 1.

    Examples
    --------
    >>> round(float(sheet_uptake_time(0.5)), 5)
    0.04918
    """
    wanted = np.asarray(share, dtype=np.float64)
    if not ((wanted >= 0) & (wanted < 1)).all():
        raise InvalidInput("must be from 0 to below 1", where="share")
    low, high = np.zeros_like(wanted), np.full_like(wanted, 8.0)
    for _ in range(60):
        middle = 0.5 * (low + high)
        less = sheet_uptake(middle) < wanted
        low, high = np.where(less, middle, low), np.where(less, high, middle)
    return np.asarray(0.5 * (low + high))


def permeated(fourier: ArrayLike) -> Floats:
    """Amount that has passed a sheet, clean at first, between a face at C1 and one kept at zero: Q/(l C1).

    Crank, chapter 4: ``Fo - 1/6 - 2/pi² sum (-1)^n/n² exp(-n² pi² Fo)``.
    """
    fo = _not_negative("fourier", fourier)
    n = np.arange(1, TERMS)
    waves = ((-1.0) ** n / n**2 * np.exp(-np.minimum((n * np.pi) ** 2 * fo[..., None], 700))).sum(axis=-1)
    late = fo - 1 / 6 - 2 / np.pi**2 * waves
    root = np.sqrt(np.where(fo > 0, fo, 1.0))[..., None]
    early = 4 * root[..., 0] * _ierfc((2 * np.arange(TERMS) + 1) / (2 * root)).sum(axis=-1)
    return np.asarray(np.where(fo == 0, 0.0, np.where(fo < CROSSOVER, early, late)))


def permeation_flux(fourier: ArrayLike) -> Floats:
    """Flux out of the far face of the sheet of `permeated`, by its steady value D C1/l."""
    fo = _not_negative("fourier", fourier)
    n = np.arange(1, TERMS)
    late = 1 + 2 * ((-1.0) ** n * np.exp(-np.minimum((n * np.pi) ** 2 * fo[..., None], 700))).sum(axis=-1)
    safe = np.where(fo > 0, fo, 1.0)[..., None]
    images = np.exp(-np.minimum((2 * np.arange(TERMS) + 1) ** 2 / (4 * safe), 700)).sum(axis=-1)
    early = 2 / np.sqrt(np.pi * safe[..., 0]) * images
    return np.asarray(np.where(fo == 0, 0.0, np.where(fo < CROSSOVER, early, late)))


def time_lag(thickness: float, diffusivity: float) -> float:
    """Intercept on the time axis of the amount that permeates a sheet, l²/6D [s]."""
    return thickness**2 / (6 * diffusivity)


def two_layer_steady_flux(
    thickness: tuple[float, float], diffusivity: tuple[float, float], concentration: float
) -> float:
    """Steady flux through two layers with unit partition, the far face kept at zero.

    In [unit of concentration · m/s] for metres and m²/s.
    """
    (l1, l2), (d1, d2) = thickness, diffusivity
    return concentration / (l1 / d1 + l2 / d2)


def two_layer_time_lag(thickness: tuple[float, float], diffusivity: tuple[float, float]) -> float:
    """Time lag of two layers with unit partition, entered through the first [s]; either order gives the same."""
    (l1, l2), (d1, d2) = thickness, diffusivity
    first = l1**2 / d1 * (l1 / (6 * d1) + l2 / (2 * d2))
    second = l2**2 / d2 * (l1 / (2 * d1) + l2 / (6 * d2))
    return (first + second) / (l1 / d1 + l2 / d2)


def sharp_front_depth(time: ArrayLike, diffusivity: float, concentration: float, capacity: float) -> Floats:
    """How far a sharp front has come into a layer that binds fast [m]: sqrt(2 D C0 t/Cs).

    Parameters
    ----------
    time : array_like
        [s]
    diffusivity : float
        Of the mobile dye [m²/s].
    concentration : float
        Mobile dye at the open face, C0; well below ``capacity``: at a tenth of it the depth is 1.6 % too large
        (`moving_front_depth` is exact).
    capacity : float
        What the layer binds, Cs, in the unit of ``concentration``.

    References
    ----------
    Crank, The Mathematics of Diffusion, 2nd ed., chapter 14 (diffusion with reaction, shrinking core).
    """
    t = _not_negative("time", time)
    return np.asarray(np.sqrt(2 * diffusivity * concentration * t / capacity))


def sharp_front_breakthrough(thickness: float, diffusivity: float, concentration: float, capacity: float) -> float:
    """When the front of `sharp_front_depth` has crossed a layer, Cs L²/(2 D C0) [s]."""
    return capacity * thickness**2 / (2 * diffusivity * concentration)


def moving_front_depth(time: ArrayLike, diffusivity: float, concentration: float, capacity: float) -> Floats:
    """Depth of the sharp front for any ratio of concentration and capacity [m].

    The front lies at ``2 z sqrt(D t)`` with ``sqrt(pi) z exp(z²) erf(z) = C0/Cs``: dye binds where it arrives.
    Parameters are those of `sharp_front_depth`. Crank, chapter 13 (moving boundaries).
    """
    from scipy.optimize import brentq
    from scipy.special import erf

    t = _not_negative("time", time)
    ratio = concentration / capacity
    z = float(brentq(lambda z: np.sqrt(np.pi) * z * np.exp(z * z) * erf(z) - ratio, 0.0, 6.0, xtol=1e-14))
    return np.asarray(2 * z * np.sqrt(diffusivity * t))


def semi_infinite_step(depth: ArrayLike, time: ArrayLike, diffusivity: float) -> Floats:
    """Concentration in a thick body by that kept at its face: erfc(x/(2 sqrt(D t)))."""
    from scipy.special import erfc

    t, x = _not_negative("time", time), _not_negative("depth", depth)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(x == 0, 1.0, erfc(x / (2 * np.sqrt(diffusivity * t)))))


def midplane_step(fourier: ArrayLike) -> Floats:
    """Concentration in the middle of a sheet by that put on both faces; Fo = D t/L² on the half thickness L.

    Crank, chapter 4: ``1 - 4/pi sum (-1)^n/(2n+1) exp(-(2n+1)² pi² Fo/4)``.
    """
    from scipy.special import erfc

    fo = _not_negative("fourier", fourier)
    n = np.arange(TERMS)
    odd = 2 * n + 1
    late = 1 - 4 / np.pi * ((-1.0) ** n / odd * np.exp(-np.minimum((odd * np.pi / 2) ** 2 * fo[..., None], 700))).sum(
        -1
    )
    root = np.sqrt(np.where(fo > 0, fo, 1.0))[..., None]
    early = 2 * ((-1.0) ** n * erfc(odd / (2 * root))).sum(axis=-1)
    return np.asarray(np.where(fo == 0, 0.0, np.where(fo < 4 * CROSSOVER, early, late)))


def _ierfc(z: Floats) -> Floats:
    """Integral of the complementary error function from z to infinity."""
    from scipy.special import erfc

    return np.asarray(np.exp(-np.minimum(z * z, 700)) / np.sqrt(np.pi) - z * erfc(z))


def _not_negative(name: Literal["fourier", "time", "depth"], value: ArrayLike) -> Floats:
    array = np.asarray(value, dtype=np.float64)
    if not (np.isfinite(array) & (array >= 0)).all():
        raise InvalidInput("must be zero or above", where=name)
    return array
