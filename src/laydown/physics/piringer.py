"""Piringer's estimate of diffusion coefficients in polymers: an upper bound, for screening."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput
from laydown.physics.arrhenius import GAS_CONSTANT
from laydown.physics.range_check import require_range

Floats = NDArray[np.float64]

REFERENCE_SLOPE = 10454.0
"""Of ln D over 1/T where the polymer adds nothing [K]."""


def piringer_diffusivity(
    molar_mass_g_per_mol: ArrayLike, temperature: ArrayLike, *, polymer_constant: float, temperature_constant: float
) -> Floats:
    """Largest diffusion coefficient to be expected of a molecule in a polymer.

    Parameters
    ----------
    molar_mass_g_per_mol : array_like
        30 to 2000 g/mol.
    temperature : array_like
        [K], 250 to 500 K.
    polymer_constant : float
        A'_P of the polymer (``laydown.data.piringer``).
    temperature_constant : float
        tau of the polymer [K].

    Returns
    -------
    array
        [m²/s]

    Raises
    ------
    OutOfRange
        For a mass or temperature outside the ranges above.

    Warnings
    --------
    This is an upper bound made to be safe for food packaging, not an estimate of what happens. For plasticised PVC it
    is far off: at 50 °C it gives 4.6e-11 m²/s for a phthalate (molar mass 390) where apparent coefficients of about
    1e-17 m²/s were measured, six decades less. Never forecast bleed of a print from it.

    Notes
    -----
    ``D = exp(A_P - 0.1351 M^(2/3) + 0.003 M - 10454/T) m²/s`` with ``A_P = A'_P - tau/T``, T in K, M in g/mol. Some
    texts print 0.135. (The factor 1e4 of the printed form belongs to cm²/s.)

    References
    ----------
    Begley et al., Food Additives and Contaminants 22 (2005) 73; JRC, Practical guidelines on the
    application of migration modelling, EUR 27529, 2015.

    Examples
    --------
    Phthalate in plasticised PVC at 50 °C:

    >>> d = piringer_diffusivity(390.6, 323.15, polymer_constant=14.6, temperature_constant=0.0)
    >>> print(f"{d:.1e}")
    4.6e-11
    """
    mass = np.asarray(molar_mass_g_per_mol, dtype=np.float64)
    t = np.asarray(temperature, dtype=np.float64)
    require_range("Piringer's estimate", "molar mass", mass, 30, 2000, "g/mol")
    require_range("Piringer's estimate", "temperature", t, 250, 500, "K")
    exponent = polymer_constant - (temperature_constant + REFERENCE_SLOPE) / t
    return np.asarray(np.exp(exponent - 0.1351 * mass ** (2 / 3) + 0.003 * mass))


def piringer_activation(temperature_constant: float) -> float:
    """Apparent activation energy of `piringer_diffusivity` [J/mol], R (10454 K + tau).

    Raises
    ------
    InvalidInput
        For a constant that is not finite.

    Examples
    --------
    >>> round(piringer_activation(0.0)), round(piringer_activation(1577.0))
    (86919, 100031)
    """
    if not np.isfinite(temperature_constant):
        raise InvalidInput("must be a number [K]", where="temperature_constant")
    return float(GAS_CONSTANT * (REFERENCE_SLOPE + temperature_constant))
