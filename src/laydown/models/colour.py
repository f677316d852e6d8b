"""Colours as spectra: the smoothest reflectance that has a given colour, and Lab in the working condition."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.data.colorimetric import tristimulus_weights
from laydown.domain.colour import Colour
from laydown.errors import InvalidInput

Spectrum = NDArray[np.float64]


@lru_cache(maxsize=512)
def _reflectance(colour: Colour) -> tuple[float, ...]:
    from laydown.physics.spectrum import reflectance_of_lab, reflectance_of_srgb

    if colour.spectrum:
        return colour.spectrum
    try:
        if colour.srgb:
            levels = np.array([int(colour.srgb[i : i + 2], 16) / 255 for i in (1, 3, 5)])
            found = reflectance_of_srgb(levels, tristimulus_weights("D65/2"))
        else:
            found = reflectance_of_lab(np.array(colour.lab), tristimulus_weights(colour.lab_condition))
    except InvalidInput as error:
        raise InvalidInput(f"{colour} is a colour that no surface can have ({error.what})") from error
    return tuple(float(r) for r in found)


def reflectance(colour: Colour) -> Spectrum:
    """Measured reflectance factor of a surface of this colour, shape (36,).

    A measured spectrum is taken as it is; sRGB and Lab get the smoothest spectrum that has that colour.

    Raises
    ------
    InvalidInput
        When no surface can have the colour.
    """
    return np.array(_reflectance(colour))


def lab_of(spectrum: Spectrum, condition: str) -> Spectrum:
    """CIELAB of reflectance factors, shape (..., 36) to (..., 3), under the working illuminant and observer."""
    from laydown.physics.colorimetry import reflectance_to_xyz, xyz_to_lab

    weights = tristimulus_weights(condition)
    return np.asarray(xyz_to_lab(reflectance_to_xyz(spectrum, weights), weights.sum(axis=0)))
