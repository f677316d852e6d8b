"""Kubelka-Munk spectra of an ink, from its own spectra or from a drawdown's contrast ratio and its colour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.data.colorimetric import tristimulus_weights
from laydown.data.read import read_table
from laydown.domain.ink import Ink
from laydown.domain.quantity import Quantity
from laydown.errors import InvalidInput
from laydown.models.colour import reflectance

Spectrum = NDArray[np.float64]

CARD_BLACK = 0.01
"""Internal reflectance of the black half of a drawdown card. Assumed; black sealed cards lie at or below it."""

CARD_WHITE = 0.80
"""Internal reflectance of the white half. ISO 6504 asks for Y of at least 80 or so; assumed."""

LOWEST_REFLECTIVITY = 0.004
"""Internal reflectance below which a colour's band is not told from black."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InkSpectra:
    """K and S of an ink per band [1/m], and its full-hiding colour as an instrument reads it.

    Attributes
    ----------
    absorption, scattering, full_hiding : ndarray, shape (36,)
    scattering_spread : Quantity
        Factor on S (and K, which moves with it at a fixed colour).
    """

    absorption: Spectrum
    scattering: Spectrum
    full_hiding: Spectrum
    scattering_spread: Quantity


def surface() -> tuple[float, float]:
    """Saunderson's k1 and k2 of an ink film, from the shipped table."""
    table = read_table("optics")["ink film"]
    return table["outer_reflectance"].value, table["inner_reflectance"].value


def internal(measured: Spectrum) -> Spectrum:
    """Internal reflectance of a measured one; what is darker than the surface's own gloss counts as black."""
    from laydown.physics.saunderson import internal_reflectance

    k1, k2 = surface()
    return np.asarray(internal_reflectance(np.clip(measured, k1, 1.0), k1=k1, k2=k2))


@lru_cache(maxsize=256)
def ink_spectra(ink: Ink) -> InkSpectra:
    """Kubelka-Munk spectra of an ink.

    Where the shelf has spectra of K and S, they are taken. Otherwise the colour of a full-hiding layer gives K/S
    in each band, and one S for all bands follows from the contrast ratio: the luminance over a black and over a
    white card at the thickness of the drawdown (ISO 6504-1's quantity).

    Raises
    ------
    InvalidInput
        When the ink has no optics, or no scattering gives the contrast ratio that its sheet states.
    """
    optics = ink.optics
    if optics is None:
        raise InvalidInput(f"{ink.name} has no optics, so its colour cannot be foretold", where="inks.toml")
    full = reflectance(optics.colour)
    one = Quantity.exact(1.0, ink.grade, ink.source)
    if optics.scattering:
        return InkSpectra(
            absorption=np.array(optics.absorption),
            scattering=np.array(optics.scattering),
            full_hiding=full,
            scattering_spread=one,
        )
    ratio = optics.contrast_ratio
    if ratio is None:
        raise InvalidInput(f"{ink.name} has neither spectra nor a contrast ratio", where="inks.toml")
    r_full = np.clip(internal(full), LOWEST_REFLECTIVITY, 0.985)
    per_s = (1 - r_full) ** 2 / (2 * r_full)
    values = [_scattering(r, per_s, optics.contrast_thickness, ink.name) for r in (ratio.value, ratio.low, ratio.high)]
    return InkSpectra(
        absorption=per_s * values[0],
        scattering=np.full_like(per_s, values[0]),
        full_hiding=full,
        scattering_spread=Quantity(
            value=1.0,
            low=min(1.0, values[1] / values[0]),
            high=max(1.0, values[2] / values[0]),
            grade=ratio.grade,
            source=ratio.source,
        ),
    )


def _scattering(contrast_ratio: float, per_s: Spectrum, thickness: float, name: str) -> float:
    """S [1/m] that gives a luminance ratio over black and white, by bisection on its logarithm."""
    from laydown.physics.optics import film_reflectance
    from laydown.physics.saunderson import measured_reflectance

    k1, k2 = surface()
    luminance = tristimulus_weights("D65/10")[:, 1]

    def ratio(s: float) -> float:
        over = [
            measured_reflectance(film_reflectance(per_s * s, s, thickness, card), k1=k1, k2=k2) @ luminance
            for card in (CARD_BLACK, CARD_WHITE)
        ]
        return float(over[0] / over[1])

    low, high = 1.0, 1e9
    if not ratio(low) < contrast_ratio < ratio(high):
        raise InvalidInput(
            f"{name}: no film has a contrast ratio of {contrast_ratio:g} at {thickness * 1e6:g} µm with this colour; "
            f"possible are {ratio(low):.3f} to {ratio(high):.3f}",
            where="inks.toml",
        )
    for _ in range(60):
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if ratio(middle) < contrast_ratio else (low, middle)
    return float(np.sqrt(low * high))
