"""A measured colour under the illuminant and observer that is asked for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.colorimetric import CONDITIONS, tristimulus_weights
from laydown.domain.colour import Colour
from laydown.domain.measurement import ColourMeasurement
from laydown.errors import InvalidInput
from laydown.models.colour import lab_of

LARGEST_DISAGREEMENT = 1.0
"""ΔE*ab between a reading's own L*, a*, b* and those of its spectrum from which on it is told. Assumed: several times
what rounding and the tables of weights make."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabReading:
    """A colour under one illuminant and observer.

    Attributes
    ----------
    lab : tuple of float
        CIELAB.
    condition : str
        ``D65/10`` and so on.
    from_spectrum : bool
        Whether it was computed of the reading's spectrum, or is the L*, a*, b* that was read.
    warnings : tuple of str
    """

    lab: tuple[float, float, float]
    condition: str
    from_spectrum: bool
    warnings: tuple[str, ...] = ()


def lab_under(measurement: ColourMeasurement, condition: str) -> LabReading:
    """CIELAB of a reading under an illuminant and observer.

    Parameters
    ----------
    measurement : ColourMeasurement
    condition : str
        One of `laydown.data.colorimetric.CONDITIONS`.

    Returns
    -------
    LabReading
        Of the spectrum where there is one, else the L*, a*, b* that were read.

    Raises
    ------
    InvalidInput
        The reading has L*, a*, b* only and they are of another illuminant or observer, or of one that nobody said;
        or its spectrum does not reach from 400 to 700 nm in steps of up to 20 nm.

    Notes
    -----
    L*, a*, b* of one illuminant do not tell those of another: two samples alike under one may part under the other.
    """
    known = [name for name, _ in CONDITIONS]
    if condition not in known:
        raise InvalidInput(f"there are no weights for {condition!r}; there are: {', '.join(known)}")
    own = measurement.conditions.condition
    if measurement.spectrum is None:
        return LabReading(lab=_own_lab(measurement, condition), condition=condition, from_spectrum=False)
    lab = _triple(lab_of(band_factors(measurement), condition))
    warnings: list[str] = []
    if measurement.lab is not None and own in known:
        again = lab_of(band_factors(measurement), own)
        apart = float(np.linalg.norm(again - np.array(measurement.lab)))
        if apart > LARGEST_DISAGREEMENT:
            warnings.append(
                f"L*, a*, b* of {measurement.name} and its spectrum are ΔE*ab {apart:.1f} apart under {own}; the "
                "spectrum is taken"
            )
    highest = max(measurement.spectrum.values)
    if highest > 1:
        warnings.append(
            f"{measurement.name} reflects {highest:.2f} of the light in a band, so it glows; its colour under another "
            "lamp than the instrument's is not sure"
        )
    return LabReading(lab=lab, condition=condition, from_spectrum=True, warnings=tuple(warnings))


def tristimulus_of(measurement: ColourMeasurement, condition: str) -> NDArray[np.float64]:
    """X, Y, Z of a reading as shares of one, shape (3,); raises as `lab_under`."""
    from laydown.physics.colorimetry import lab_to_xyz

    white = tristimulus_weights(condition).sum(axis=0)
    return np.asarray(lab_to_xyz(lab_under(measurement, condition).lab, white) / 100)


def band_factors(measurement: ColourMeasurement) -> NDArray[np.float64]:
    """Reflectance factors of a reading's spectrum at 380 to 730 nm in 10 nm steps, shape (36,).

    Raises
    ------
    InvalidInput
        When the reading has no spectrum, or one that is too short or too coarse.
    """
    from laydown.physics.spectrum_bands import in_bands

    spectrum = measurement.spectrum
    if spectrum is None:
        raise InvalidInput(f"{measurement.name} has no spectrum; L*, a*, b* alone do not give one")
    try:
        return in_bands(spectrum.values, start_nm=spectrum.start_nm, step_nm=spectrum.step_nm)
    except InvalidInput as error:
        raise InvalidInput(error.what, where=measurement.name) from None


def colour_of(measurement: ColourMeasurement) -> Colour:
    """Colour record of a reading, as shelves hold it: its spectrum, cut to 0 to 1, or its L*, a*, b*.

    Raises
    ------
    InvalidInput
        When nobody said the illuminant and observer of L*, a*, b*.
    """
    if measurement.spectrum is not None:
        return Colour(spectrum=tuple(float(r) for r in np.clip(band_factors(measurement), 0.0, 1.0)))
    condition = measurement.conditions.condition
    return Colour(lab=_own_lab(measurement, condition), lab_condition=condition)


def _own_lab(measurement: ColourMeasurement, condition: str) -> tuple[float, float, float]:
    own = measurement.conditions.condition
    if measurement.lab is None or not own:
        raise InvalidInput(
            f"nobody said under which illuminant and observer the L*, a*, b* of {measurement.name} were taken; say "
            "both, such as D65 and 10"
        )
    if own != condition:
        raise InvalidInput(
            f"{measurement.name} was read as L*, a*, b* under {own}, and {condition} is asked for; only a spectrum can "
            f"be moved to another illuminant or observer, so read its spectrum or ask for {own}"
        )
    return measurement.lab


def _triple(lab: NDArray[np.float64]) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])
