"""Numbers of readings that need a decision: per cent or factor, which white, and whether colour and spectrum agree."""

from __future__ import annotations

import math
from collections.abc import Iterable

from laydown.data.colorimetric import CONDITIONS, tristimulus_weights, white_point
from laydown.documents.measurement_file import Scale
from laydown.domain.measurement import HIGHEST_FACTOR, ColourMeasurement, Conditions
from laydown.errors import InvalidInput

NO_GLOW_NM = 550.0
"""Above this wavelength whiteners do not glow; above 1 there, a number is in per cent or of a fluorescent ink."""

LARGEST_LIGHTNESS_GAP = 15.0
"""Difference of L* between a colour and its own spectrum that no choice of illuminant and observer makes."""

Triple = tuple[float, float, float]


def percent_of(
    values: Iterable[tuple[float, float]], *, stated: bool | None, asked: Scale | None, where: str
) -> tuple[bool, tuple[str, ...]]:
    """Whether the reflectances of a table stand in per cent, and what is to be told about it.

    Parameters
    ----------
    values : iterable of (float, float)
        Wavelength [nm] and the number as it stands.
    stated : bool or None
        What the file says.
    asked : str or None
        What the person says, which goes before.

    Raises
    ------
    InvalidInput
        When nobody says and the numbers could be either.
    """
    highest, highest_red = 0.0, 0.0
    for nm, value in values:
        highest = max(highest, value)
        if nm > NO_GLOW_NM:
            highest_red = max(highest_red, value)
    if highest == 0.0:
        return False, ()
    if asked:
        return asked == "percent", (f"reflectance taken in {asked} as asked for; the largest number is {highest:g}",)
    if stated is not None:
        return stated, ()
    if highest > HIGHEST_FACTOR:
        return True, (f"reflectance taken in per cent, as the largest number is {highest:g}",)
    if highest_red > 1.05:
        raise InvalidInput(
            f"the largest reflectance is {highest:g}: a black in per cent, or a fluorescent colour as a share of one; "
            "say which, 'percent' or 'factor'",
            where=where,
        )
    return False, (f"reflectance taken as a share of one, as the largest number is {highest:g}",)


def lab_of_lch(lightness: float, chroma: float, hue: float) -> Triple:
    """L*, a*, b* of L*, chroma and hue [rad]."""
    if chroma < 0:
        raise InvalidInput(f"the chroma is {chroma:g}; it must not be below 0")
    return lightness, chroma * math.cos(hue), chroma * math.sin(hue)


def lab_of_xyz(
    xyz: Triple, conditions: Conditions, white: Triple | None, warnings: list[str], *, needed: bool
) -> Triple | None:
    """L*, a*, b* of tristimulus values, against the white given or that of their illuminant and observer.

    Returns None, with a warning, where no white is known and a spectrum makes the colour needless.

    Raises
    ------
    InvalidInput
        When no white is known and the colour is needed.
    """
    from laydown.physics.colorimetry import xyz_to_lab

    if white is None:
        condition = conditions.condition
        if condition in dict(CONDITIONS):
            x, y, z = white_point(condition)
            white = (float(x), float(y), float(z))
        elif not needed:
            warnings.append("X, Y, Z are left out, as nobody said their white; the spectra are used")
            return None
        else:
            names = ", ".join(name for name, _ in CONDITIONS)
            raise InvalidInput(
                f"X, Y, Z need their white, and the file gives {condition or 'no illuminant and observer'}; say which "
                f"of {names} they were taken under, or give the white"
            )
    lightness, a, b = xyz_to_lab(xyz, white)
    return float(lightness), float(a), float(b)


def white_named(white: Triple) -> str:
    """Illuminant and observer whose white this is, on a scale of 1 or 100, to within 0.15 of 100; or empty."""
    scale = 100 / white[1] if white[1] > 0 else 0.0
    for name, _ in CONDITIONS:
        if max(abs(scale * one - other) for one, other in zip(white, white_point(name), strict=True)) <= 0.15:
            return name
    return ""


def checked(measurement: ColourMeasurement, warnings: list[str]) -> ColourMeasurement:
    """Raise InvalidInput when a measurement's colour and its spectrum cannot be of one sample.

    The commonest reasons are per cent taken as shares of one and columns that were mixed up.
    """
    from laydown.physics.colorimetry import reflectance_to_xyz, xyz_to_lab
    from laydown.physics.spectrum_bands import in_bands

    if measurement.spectrum is None:
        return measurement
    spectrum = measurement.spectrum
    try:
        bands = in_bands(spectrum.values, start_nm=spectrum.start_nm, step_nm=spectrum.step_nm)
    except InvalidInput as error:
        if measurement.lab is None:
            raise
        warnings.append(f"spectra are kept but give no colour: {error.what}")
        return measurement
    if measurement.lab is not None:
        weights = tristimulus_weights("D65/10")
        lightness = float(xyz_to_lab(reflectance_to_xyz(bands, weights), weights.sum(axis=0))[0])
        if abs(lightness - measurement.lab[0]) > LARGEST_LIGHTNESS_GAP:
            raise InvalidInput(
                f"L* is {measurement.lab[0]:.4g}, but the spectrum gives {lightness:.4g}; they cannot be of one sample "
                "(are reflectances in per cent or shares of one? say which)"
            )
    return measurement
