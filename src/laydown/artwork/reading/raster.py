"""Stored pixels of any kind as sRGB with straight alpha, band by band."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from laydown.artwork.reading.canvas import STORED_IN_FOUR_BYTES, Canvas
from laydown.artwork.reading.profiles import Conversion, conversion, to_rgb
from laydown.errors import InvalidInput

if TYPE_CHECKING:
    from PIL import Image
    from PIL.ImageFile import ImageFile

_BAND = 1 << 20
"""Pixels converted at once: small beside the picture, large beside the cost of a call."""

_COLOURS = {"1": "black and white", "L": "grey", "P": "palette", "RGB": "RGB", "CMYK": "CMYK", "LAB": "Lab"}
_BASE = {
    "1": "L",
    "L": "L",
    "LA": "L",
    "La": "L",
    "I;16": "L",
    "I;16B": "L",
    "RGBA": "RGB",
    "YCbCr": "RGB",
    "P": "RGB",
    "PA": "RGB",
}


@dataclass(slots=True, kw_only=True)
class Opened:
    """A file of pixels whose header has been read.

    Attributes
    ----------
    image : ImageFile
        Not yet decoded.
    bits : int
    per_inch : tuple of float or None
        Pixels an inch across and down as the file says, before it is turned.
    clear : int, tuple of int or None
        The one colour that is transparent, or a table of alphas for a palette (as bytes), in steps of 8 bits except
        for 16-bit grey.
    orientation : int
        As in Exif, where the decoder does not turn by itself.
    inverted : bool
        16-bit grey that counts from white.
    turned : bool
        Whether Pillow will turn the picture while it decodes.
    across : bool
        Whether that turning swaps columns and rows; ``image.size`` has been swapped already.
    grey : bool
        Grey that Pillow decodes as RGB.
    pages : int
    notes : list of str
    """

    image: ImageFile
    bits: int
    per_inch: tuple[float, float] | None = None
    clear: Any = None
    orientation: int = 1
    inverted: bool = False
    turned: bool = False
    across: bool = False
    grey: bool = False
    pages: int = 1
    notes: list[str] = field(default_factory=list)

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows, the right way up."""
        columns, rows = self.image.size
        return (rows, columns) if self.orientation >= 5 else (columns, rows)

    @property
    def upright_per_inch(self) -> tuple[float, float] | None:
        """Pixels an inch across and down, the right way up."""
        if self.per_inch is None:
            return None
        across, down = self.per_inch
        return (down, across) if self.orientation >= 5 or self.across else (across, down)


def usable(per_inch: Any) -> tuple[float, float] | None:
    """A resolution from a header as numbers, or None when it is none."""
    try:
        across, down = (float(one) for one in per_inch)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    if all(math.isfinite(one) and 0.1 <= one <= 1e6 for one in (across, down)):
        return across, down
    return None


def base_mode(opened: Opened) -> str:
    """The colour mode that a profile has to fit.

    Raises
    ------
    InvalidInput
        The pixels are of a kind that is not art.
    """
    mode = "L" if opened.grey else _BASE.get(opened.image.mode, opened.image.mode)
    if mode not in {"L", "RGB", "CMYK", "LAB"}:
        raise InvalidInput(
            "its pixels have 32 bits a channel or an unusual layout; save it with 8 or 16 bits a channel"
        )
    return mode


def describe(opened: Opened) -> dict[str, Any]:
    """What the header says, as the reader expects it."""
    image = opened.image
    columns, rows = opened.size
    icc = image.info.get("icc_profile")
    made = conversion(icc, base_mode(opened))
    per_inch = opened.upright_per_inch
    return {
        "columns": columns,
        "rows": rows,
        "extent": [columns, rows],
        "per_inch": list(per_inch) if per_inch else None,
        "bits": opened.bits,
        "colour": _COLOURS[image.mode if image.mode in {"1", "P"} else base_mode(opened)],
        "alpha": image.mode in {"RGBA", "LA", "La", "PA"} or opened.clear is not None,
        "profile": made.name,
        "pages": opened.pages,
        "spots": [],
        "notes": [*opened.notes, *made.notes],
    }


def _high_bytes(band: Image.Image, opened: Opened) -> tuple[Image.Image, Image.Image | None]:
    """16-bit grey as its upper 8 bits, and the alpha when one exact grey is transparent."""
    from PIL import Image, ImageChops

    raw = band.tobytes()
    order = (1, 0) if band.mode == "I;16" else (0, 1)
    high, low = (Image.frombytes("L", band.size, raw[start::2]) for start in order)
    alpha = None
    if opened.clear is not None:
        parts = zip((high, low), divmod(int(opened.clear), 256), strict=True)
        first, second = (part.point([255 * (value == wanted) for value in range(256)]) for part, wanted in parts)
        alpha = ImageChops.invert(ImageChops.darker(first, second))
    return (ImageChops.invert(high) if opened.inverted else high), alpha


def _parts(band: Image.Image, opened: Opened) -> tuple[Image.Image, Image.Image | None]:
    """Colour in its base mode and alpha, of one band."""
    mode = band.mode
    if mode in {"I;16", "I;16B"}:
        return _high_bytes(band, opened)
    if mode in {"LA", "La"}:
        grey, alpha = band.convert("LA").split()
        return grey, alpha
    if mode in {"P", "PA"} or opened.clear is not None:
        if opened.clear is not None:
            band.info["transparency"] = opened.clear
        band = band.convert("RGBA")
        mode = "RGBA"
    if mode == "RGBA":
        alpha = band.getchannel("A")
        colour = band.convert("RGB")
        return (colour.getchannel("R") if opened.grey else colour), alpha
    return band.convert(_BASE.get(mode, mode)), None


def _convert(source: Image.Image, opened: Opened, made: Conversion, canvas: Canvas) -> None:
    """Write a decoded picture to the canvas, band by band; it may lie on that canvas itself."""
    transform = made.transform() if made.profile is not None else None
    step = max(1, _BAND // canvas.columns)
    for start in range(0, canvas.rows, step):
        stop = min(canvas.rows, start + step)
        colour, alpha = _parts(source.crop((0, start, canvas.columns, stop)), opened)
        done = to_rgb(colour, transform).convert("RGBA")
        if alpha is not None:
            done.putalpha(alpha)
        canvas.write_rows(start, done.tobytes())


def decode(opened: Opened, canvas: Canvas) -> dict[str, Any]:
    """Decode, turn the right way up, bring to sRGB.

    Returns
    -------
    dict
        The answer to the reader: columns, rows, bits, profile, notes.
    """
    image = opened.image
    made = conversion(image.info.get("icc_profile"), base_mode(opened))
    canvas.open(*opened.size)
    turning = opened.orientation != 1 or opened.turned
    shared = None
    if image.mode in STORED_IN_FOUR_BYTES and not turning:
        shared = canvas.core(image.mode)
        image.im = shared  # Pillow decodes into an image that is there already, and so straight into the canvas
    image.load()
    source: Image.Image = image
    if opened.orientation != 1:
        from PIL import ImageOps

        source = ImageOps.exif_transpose(image)
    in_place = shared is not None and image.im is shared
    finished = image.mode in {"RGB", "RGBA"} and opened.clear is None and not opened.grey
    if in_place and finished:
        if made.profile is not None:
            made.transform(image.mode).apply_in_place(image)
    else:
        _convert(source, opened, made, canvas)
    return {
        "columns": canvas.columns,
        "rows": canvas.rows,
        "bits": opened.bits,
        "profile": made.name,
        "notes": [],
        "spots": [],
    }


__all__ = ["Opened", "base_mode", "decode", "describe", "usable"]
