"""JPEG: density, orientation, CMYK turned over where it is marked so."""

from __future__ import annotations

from typing import Any, BinaryIO

from laydown.artwork.reading.raster import Opened, usable

_ORIENTATION, _ACROSS, _DOWN, _UNIT = 274, 282, 283, 296
_CENTIMETRE = 3
_CM_PER_INCH = 2.54


def _exif(image: Any) -> dict[int, Any]:
    try:
        return dict(image.getexif())
    except (OSError, ValueError, SyntaxError, KeyError, TypeError, ZeroDivisionError):
        return {}


def _density(image: Any, exif: dict[int, Any]) -> tuple[float, float] | None:
    """From the JFIF header, else from Exif; a density without a unit is none."""
    unit = image.info.get("jfif_unit", 0)
    if unit in {1, 2}:
        factor = 1.0 if unit == 1 else _CM_PER_INCH
        return usable([one * factor for one in image.info["jfif_density"]])
    factor = _CM_PER_INCH if exif.get(_UNIT) == _CENTIMETRE else 1.0
    found = usable((exif.get(_ACROSS), exif.get(_DOWN)))
    return usable((found[0] * factor, found[1] * factor)) if found else None


def open_jpeg(file: BinaryIO, page: int) -> Opened:
    """Read the header of a JPEG; ``page`` is always 1."""
    del page
    from PIL import JpegImagePlugin

    image = JpegImagePlugin.JpegImageFile(file)
    exif = _exif(image)
    orientation = exif.get(_ORIENTATION, 1)
    if orientation not in range(1, 9):
        orientation = 1
    notes = ["the JPEG was turned as its orientation mark says"] if orientation != 1 else []
    return Opened(image=image, bits=8, per_inch=_density(image, exif), orientation=orientation, notes=notes)


__all__ = ["open_jpeg"]
