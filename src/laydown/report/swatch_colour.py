"""A colour in any of its forms as sRGB, for a patch on paper or screen."""

from __future__ import annotations

from laydown.domain.colour import Colour

FALLBACK = "#8a8a8a"
"""Grey for things that have no colour of their own."""


def srgb_of(colour: Colour | None) -> str:
    """Nearest sRGB colour as ``#rrggbb``, cut to the gamut; only good enough to look at.

    Parameters
    ----------
    colour : Colour or None
        None gives `FALLBACK`.
    """
    if colour is None:
        return FALLBACK
    if colour.srgb:
        return colour.srgb.lower()
    return _lab_to_srgb(colour.lab, colour.lab_condition) if colour.lab else _spectrum_to_srgb(colour.spectrum)


def lab_to_srgb(lab: tuple[float, float, float], condition: str = "D65/10") -> str:
    """Nearest sRGB colour of a CIELAB colour of the given illuminant and observer."""
    return _lab_to_srgb(lab, condition)


def _lab_to_srgb(lab: tuple[float, ...], condition: str) -> str:
    from laydown.data.colorimetric import white_point
    from laydown.physics.colorimetry import lab_to_xyz

    white = white_point(condition)
    return _xyz_to_srgb(lab_to_xyz(lab, white), white)


def _spectrum_to_srgb(spectrum: tuple[float, ...]) -> str:
    from laydown.data.colorimetric import tristimulus_weights, white_point
    from laydown.physics.colorimetry import reflectance_to_xyz

    condition = "D65/10"
    return _xyz_to_srgb(reflectance_to_xyz(spectrum, tristimulus_weights(condition)), white_point(condition))


def _xyz_to_srgb(xyz: object, white: object) -> str:
    from laydown.physics.colorimetry import adapt_bradford, srgb_to_8bit, srgb_to_xyz, xyz_to_srgb

    adapted = adapt_bradford(xyz, white, srgb_to_xyz((1.0, 1.0, 1.0)))  # type: ignore[arg-type]
    return "#" + "".join(f"{channel:02x}" for channel in srgb_to_8bit(xyz_to_srgb(adapted)))
