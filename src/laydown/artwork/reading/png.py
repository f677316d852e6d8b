"""PNG: header, size on paper, transparent colours."""

from __future__ import annotations

from typing import Any, BinaryIO

from laydown.artwork.reading.raster import Opened, usable

_LONGEST_TEXT = 16 << 20
_GREY_WITH_ALPHA = 4
_SRGB_GAMMA = 1 / 2.2


def _clear(image: Any, bits: int, notes: list[str]) -> Any:
    """The transparent colour in steps of the decoded picture."""
    clear = image.info.pop("transparency", None)
    if clear is None or image.mode in {"P", "I;16", "1"}:
        return clear
    if image.mode == "L":
        return int(clear) * 255 // (2**bits - 1)
    if bits == 16:
        notes.append("the one transparent colour was matched on the upper 8 of 16 bits")
        return tuple(int(one) >> 8 for one in clear)
    return tuple(int(one) & 255 for one in clear)


def open_png(file: BinaryIO, page: int) -> Opened:
    """Read the header of a PNG; ``page`` is always 1."""
    del page
    from PIL import PngImagePlugin

    PngImagePlugin.MAX_TEXT_CHUNK = _LONGEST_TEXT  # large table profiles are longer than Pillow's limit
    file.seek(24)
    bits, colour_type = file.read(2)
    file.seek(0)
    image = PngImagePlugin.PngImageFile(file)
    notes = []
    if getattr(image, "is_animated", False):
        notes.append("the PNG is animated; its first picture was read")
    gamma = image.info.get("gamma")
    if gamma and abs(gamma - _SRGB_GAMMA) > 0.02 and not {"icc_profile", "srgb"} & image.info.keys():
        notes.append(f"the PNG states a gamma of {gamma:g} without a profile; its colours were taken as sRGB")
    return Opened(
        image=image,
        bits=bits,
        per_inch=usable(image.info.get("dpi")),
        clear=_clear(image, bits, notes),
        grey=colour_type == _GREY_WITH_ALPHA and image.mode == "RGBA",
        notes=notes,
    )


__all__ = ["open_png"]
