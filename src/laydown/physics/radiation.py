"""Radiation between a hot panel and the garment: emissive power, view factors, exchange factors."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.errors import InvalidInput

Floats = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m² K⁴); exact since the SI of 2019 (CODATA 2018)."""


def blackbody_emissive_power(temperature: float | Floats) -> Floats:
    """Power a black surface sends out.

    Parameters
    ----------
    temperature : float or array
        Temperature [K].

    Returns
    -------
    array
        ``sigma T^4`` [W/m²].

    Examples
    --------
    >>> round(float(blackbody_emissive_power(673.15)))
    11643
    """
    return np.asarray(STEFAN_BOLTZMANN * np.asarray(temperature, dtype=np.float64) ** 4)


def view_factor_aligned_rectangles(width: float | Floats, length: float | Floats, distance: float | Floats) -> Floats:
    """View factor between two equal rectangles that face each other squarely.

    Parameters
    ----------
    width, length : float or array
        Sides [m].
    distance : float or array
        Distance of the two planes [m].

    Returns
    -------
    array
        Share of the radiation leaving one rectangle that arrives on the other, from 0 to 1.

    References
    ----------
    H. C. Hottel's formula; J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, C-11;
    Incropera & DeWitt, table 13.2.

    Examples
    --------
    >>> round(float(view_factor_aligned_rectangles(1.0, 1.0, 1.0)), 4)
    0.1998
    """
    _positive(width=width, length=length, distance=distance)
    x, y = np.asarray(width) / distance, np.asarray(length) / distance
    # The textbook has arctan x - sqrt(1+y²) arctan(x/sqrt(1+y²)) and a logarithm; for small x and y these cancel.
    a, b = np.sqrt(1 + x * x), np.sqrt(1 + y * y)
    log = -0.5 * np.log1p(-((x * y / (a * b)) ** 2))
    arcs = x * b * np.arctan(x / b) + y * a * np.arctan(y / a) - x * np.arctan(x) - y * np.arctan(y)
    return np.asarray(2 * (log + arcs) / (np.pi * x * y))


def view_factor_parallel_rectangles(
    *,
    x: tuple[float, float],
    y: tuple[float, float],
    panel_x: tuple[float, float],
    panel_y: tuple[float, float],
    distance: float,
) -> float:
    """View factor from a rectangle to another in a parallel plane, sides parallel, of any size and place.

    Parameters
    ----------
    x, y : (low, high)
        Extent [m] of the rectangle that the factor starts from (the garment).
    panel_x, panel_y : (low, high)
        Extent [m] of the other one (the panel), in the same coordinates.
    distance : float
        Distance of the two planes [m].

    Returns
    -------
    float
        Share of what leaves the first rectangle that arrives on the second.

    References
    ----------
    J. R. Ehlert, T. F. Smith, J. Thermophys. Heat Transfer 7 (1993) 173; Howell's catalog, C-13.
    """
    _positive(distance=distance)
    for name, (low, high) in {"x": x, "y": y, "panel_x": panel_x, "panel_y": panel_y}.items():
        if not high > low:
            raise InvalidInput(f"the upper end must lie above the lower one, got {low} to {high}", where=name)
    u = np.subtract.outer(np.asarray(panel_x), np.asarray(x)) / distance
    v = np.subtract.outer(np.asarray(panel_y), np.asarray(y)) / distance
    sign = np.array([[1.0, -1.0], [-1.0, 1.0]])
    p, q = u[:, :, None, None], v[None, None, :, :]
    a, b = np.sqrt(1 + p * p), np.sqrt(1 + q * q)
    corner = p * b * np.arctan(p / b) + q * a * np.arctan(q / a) - 0.5 * np.log(1 + p * p + q * q)
    total = float(np.sum(sign[:, :, None, None] * sign[None, None, :, :] * corner)) / (2 * np.pi)
    area = (x[1] - x[0]) * (y[1] - y[0]) / distance**2
    return total / area


def view_factor_spot_to_rectangle(
    *, panel_x: tuple[float, float], panel_y: tuple[float, float], distance: float
) -> float:
    """View factor from a small spot at the origin to a rectangle in a parallel plane.

    Parameters
    ----------
    panel_x, panel_y : (low, high)
        Extent of the panel [m], measured from the foot of the spot; may lie wholly to one side.
    distance : float
        Distance of spot and plane [m].

    Returns
    -------
    float
        Share of what the spot sends out that arrives on the panel. A garment's edge sees less than its centre.

    References
    ----------
    Howell's catalog, B-3 (spot below a corner), added up over the four corners with their signs.
    """
    _positive(distance=distance)

    def corner(a: float, b: float) -> float:
        p, q = a / distance, b / distance
        s, t = np.sqrt(1 + p * p), np.sqrt(1 + q * q)
        return float((p / s * np.arctan(q / s) + q / t * np.arctan(p / t)) / (2 * np.pi))

    (left, right), (near, far) = panel_x, panel_y
    return corner(right, far) - corner(left, far) - corner(right, near) + corner(left, near)


def exchange_factor_parallel_plates(
    emissivity: float | Floats, panel_emissivity: float | Floats, view_factor: float | Floats = 1.0
) -> Floats:
    """Factor ``f`` of the net exchange ``f sigma (T_panel^4 - T^4)`` between two equal grey plates.

    Parameters
    ----------
    emissivity, panel_emissivity : float or array
        Of the garment and of the panel, above 0 and not above 1.
    view_factor : float or array
        Between the plates, 0 to 1; what misses the other plate is lost to the surroundings.

    Returns
    -------
    array
        ``e1 e2 F / (1 - (1-e1)(1-e2) F²)``; at ``F = 1`` this is ``1/(1/e1 + 1/e2 - 1)``.

    Notes
    -----
    From the balance of radiosities of two equal plates of uniform radiosity with open sides: the direct ray
    ``e2 F e1`` and each further pair of reflections ``(1-e1)(1-e2) F²``. The share of the surroundings' own
    radiation is to be added as another source, see ``combined_radiant_temperature``.

    References
    ----------
    Radiosity method, Incropera & DeWitt, section 13.3; equation 13.19 is the case ``F = 1``.
    """
    e1, e2, f = (np.asarray(v, dtype=np.float64) for v in (emissivity, panel_emissivity, view_factor))
    if not np.all((e1 > 0) & (e1 <= 1) & (e2 > 0) & (e2 <= 1)):
        raise InvalidInput("an emissivity must lie above 0 and not above 1", where="emissivity")
    if not np.all((f >= 0) & (f <= 1)):
        raise InvalidInput("a view factor must lie between 0 and 1", where="view_factor")
    return np.asarray(e1 * e2 * f / (1 - (1 - e1) * (1 - e2) * f * f))


def combined_radiant_temperature(temperature: Floats, exchange_factor: Floats) -> tuple[Floats, Floats]:
    """Several radiating surroundings as one.

    Parameters
    ----------
    temperature : array, shape (..., source)
        Temperatures of the sources [K].
    exchange_factor : array, shape (..., source)
        Their exchange factors with the face; the sum must be above 0.

    Returns
    -------
    (array, array)
        The one temperature [K] and the one exchange factor (the sum) of the same net exchange at any
        temperature of the face.
    """
    temperature, factor = np.broadcast_arrays(temperature, exchange_factor)
    total = factor.sum(axis=-1)
    if not (np.all(factor >= 0) and np.all(total > 0)):
        raise InvalidInput("exchange factors must not be negative and not all zero", where="exchange_factor")
    return ((factor * temperature**4).sum(axis=-1) / total) ** 0.25, total


def _positive(**values: float | Floats) -> None:
    for name, value in values.items():
        if not np.all(np.asarray(value) > 0):
            raise InvalidInput("must be above zero", where=name)
