"""SVG: its size on paper, and drawing it with resvg."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any, BinaryIO

from laydown.artwork.reading.canvas import Canvas
from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.svg_gate import through_gate
from laydown.errors import InvalidInput

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_PER_INCH = {"mm": 25.4, "cm": 2.54, "in": 1.0, "pt": 72.0, "pc": 6.0, "q": 101.6, "px": 96.0, "": 96.0}
_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*([a-z]*)\s*\Z", re.IGNORECASE)
_PX = 96.0

TEXT_NOTE = (
    "the SVG has text, and text is not drawn because fonts differ from machine to machine: convert it to outlines "
    "and export again"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Size:
    """Width and height in inches, or only their shape, and where the drawing's own units lie."""

    width: float
    height: float
    known: bool
    in_pixels: bool
    viewbox: str | None


def _length(text: str | None) -> tuple[float, str] | None:
    """A length in inches and its unit; None where there is none or it is relative."""
    found = _LENGTH.match(text) if text else None
    if not found or found[2].lower() not in _PER_INCH:
        return None
    value = float(found[1]) / _PER_INCH[found[2].lower()]
    return (value, found[2].lower()) if math.isfinite(value) and value > 0 else None


def _viewbox(text: str | None) -> tuple[float, float] | None:
    if not text:
        return None
    try:
        _, _, width, height = (float(one) for one in re.split(r"[\s,]+", text.strip()))
    except ValueError:
        return None
    if all(math.isfinite(one) and 0 < one < 1e9 for one in (width, height)):
        return width, height
    return None


def _size(root: Element) -> _Size:
    width, height = _length(root.get("width")), _length(root.get("height"))
    shape = _viewbox(root.get("viewBox"))
    units = {one[1] for one in (width, height) if one}
    if width and height:
        wide, high = width[0], height[0]
    elif shape is None:
        raise InvalidInput("the SVG has neither a width and height nor a viewBox, so its shape is unknown; add one")
    elif width:
        wide, high = width[0], width[0] * shape[1] / shape[0]
    elif height:
        wide, high = height[0] * shape[0] / shape[1], height[0]
    else:
        wide, high = shape[0] / _PX, shape[1] / _PX
    return _Size(
        width=wide,
        height=high,
        known=bool(units),
        in_pixels=bool(units & {"", "px"}),
        viewbox=None if shape is None else root.get("viewBox"),
    )


def inspect_svg(file: BinaryIO, limits: Limits) -> dict[str, Any]:
    """What the SVG says of itself."""
    root, gate = through_gate(file.read(limits.text_bytes + 1), limits)
    size = _size(root)
    notes = [TEXT_NOTE] if gate.has_text else []
    if size.known and size.in_pixels:
        notes.append(
            "the SVG states its size in pixels without a real unit; 96 of them were taken as an inch: check the size"
        )
    return {
        "columns": None,
        "rows": None,
        "extent": [size.width, size.height],
        "per_inch": [1, 1] if size.known else None,
        "bits": 8,
        "colour": "vector",
        "alpha": True,
        "profile": "",
        "pages": 1,
        "spots": [],
        "notes": notes,
    }


def decode_svg(file: BinaryIO, columns: int, rows: int, limits: Limits, canvas: Canvas) -> dict[str, Any]:
    """Draw it on so many pixels."""
    from xml.etree.ElementTree import tostring

    import resvg_py

    from laydown.artwork.reading.png import open_png
    from laydown.artwork.reading.raster import decode

    root, _ = through_gate(file.read(limits.text_bytes + 1), limits)
    size = _size(root)
    root.set("width", str(columns))
    root.set("height", str(rows))
    if size.viewbox is None:
        root.set("viewBox", f"0 0 {size.width * _PX!r} {size.height * _PX!r}")
        root.set("preserveAspectRatio", "none")
    drawn = resvg_py.svg_to_bytes(svg_string=tostring(root, encoding="unicode"), skip_system_fonts=True, dpi=_PX)
    del root
    return decode(open_png(BytesIO(drawn), 1), canvas)


__all__ = ["TEXT_NOTE", "decode_svg", "inspect_svg"]
