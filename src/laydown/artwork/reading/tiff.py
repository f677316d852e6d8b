"""TIFF: pages, resolution, extra channels, orientation."""

from __future__ import annotations

from typing import Any, BinaryIO

from laydown.artwork.reading.raster import Opened, usable
from laydown.errors import InvalidInput

_BITS, _PHOTOMETRIC, _ORIENTATION, _ACROSS, _DOWN, _UNIT, _EXTRA = 258, 262, 274, 282, 283, 296, 338
_WHITE_IS_ZERO = 0
_CENTIMETRE = 3
_NO_UNIT = 1
_CM_PER_INCH = 2.54


def _resolution(tags: Any) -> tuple[float, float] | None:
    if tags.get(_UNIT, 2) == _NO_UNIT:
        return None
    found = usable((tags.get(_ACROSS), tags.get(_DOWN)))
    factor = _CM_PER_INCH if tags.get(_UNIT) == _CENTIMETRE else 1.0
    return usable((found[0] * factor, found[1] * factor)) if found else None


def open_tiff(file: BinaryIO, page: int) -> Opened:
    """Read the header of one page of a TIFF.

    Raises
    ------
    InvalidInput
        There is no such page.
    """
    from PIL import TiffImagePlugin

    image = TiffImagePlugin.TiffImageFile(file)
    pages = image.n_frames
    if page > pages:
        raise InvalidInput(f"it has {pages} page{'s' * (pages > 1)}, so there is no page {page}")
    image.seek(page - 1)
    tags = image.tag_v2
    bits = tags.get(_BITS, (1,))
    notes = []
    extra = tags.get(_EXTRA, ())
    spare = [one for one in (extra if isinstance(extra, tuple) else (extra,)) if one not in {1, 2, 999}]
    if spare:
        notes.append(f"{len(spare)} channel{'s' * (len(spare) > 1)} of the TIFF without a stated use left aside")
    orientation = tags.get(_ORIENTATION, 1)
    return Opened(
        image=image,
        bits=int(bits[0] if isinstance(bits, tuple) else bits),
        per_inch=_resolution(tags),
        inverted=image.mode == "I;16" and tags.get(_PHOTOMETRIC) == _WHITE_IS_ZERO,
        turned=orientation in range(2, 9),
        across=orientation in range(5, 9),
        pages=pages,
        notes=notes,
    )


__all__ = ["open_tiff"]
