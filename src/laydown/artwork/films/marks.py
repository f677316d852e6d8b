"""What stands beside the image on a film: targets, centre marks, words and the tone strip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from laydown import units
from laydown.artwork.films.sheet import SIDE, Sheet, Stamp
from laydown.artwork.films.tone_strip import Patch, strip_patches
from laydown.artwork.halftone import Screening, told_screening
from laydown.artwork.tone_curve import ToneCurve

if TYPE_CHECKING:
    from PIL import Image, ImageDraw, ImageFont

LINE = units.from_mm(0.25)
TARGET = units.from_mm(5.0)
"""Half the length of a target's cross [m]."""

RING = units.from_mm(3.0)
TICK = units.from_mm(4.0)
GAP = units.from_mm(1.0)
"""Radius of a target's ring, length of a centre mark, and its distance from the image [m]."""

LARGE, SMALL, TINY = units.from_mm(3.6), units.from_mm(2.4), units.from_mm(1.9)
"""Heights of the words [m]."""

PATCH = units.from_mm(5.0)
STEP = units.from_mm(9.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What a film says.

    Attributes
    ----------
    plate, order, ink, mesh : str
        ``order`` and ``mesh`` may be empty.
    screening : Halftone or Stochastic
    curve : ToneCurve
    mirrored : bool
    """

    plate: str
    order: str
    ink: str
    mesh: str
    screening: Screening
    curve: ToneCurve
    mirrored: bool

    def lines(self) -> tuple[str, str, str]:
        """Name of the plate; what it is for; which way it reads."""
        parts = [f"order {self.order}" if self.order else "", self.ink, f"mesh {self.mesh}" if self.mesh else ""]
        about = " · ".join([part for part in parts if part] + [told_screening(self.screening)])
        return self.plate, about, reading_side(mirrored=self.mirrored)


def reading_side(*, mirrored: bool) -> str:
    """Sentence that says from which side a film reads right.

    Notes
    -----
    The film lies with its inked side on the stencil's print side; from the squeegee's side one then looks at the inked
    side, and sees what the print will be. So a film that is not mirrored is the usual one.
    """
    if mirrored:
        return "Mirrored: reads right seen through the film, from the side that is not inked."
    return "Not mirrored: reads right seen from the inked side; lay the inked side on the stencil."


def film_stamps(sheet: Sheet, words: Words) -> tuple[Stamp, ...]:
    """Everything beside the image, for the unmirrored sheet.

    Parameters
    ----------
    sheet : Sheet
    words : Words
        Lines that are too long are set smaller, and cut where they would be too small to read.
    """
    from PIL import Image, ImageDraw

    top = Image.new("1", (sheet.columns, sheet.top))
    bottom_top = sheet.top + sheet.image_rows
    bottom = Image.new("1", (sheet.columns, sheet.rows - bottom_top))
    for image, tick in ((top, sheet.top - sheet.pixels(GAP + TICK)), (bottom, sheet.pixels(GAP))):
        draw = ImageDraw.Draw(image)
        middle = round(sheet.pixels(SIDE) / 2)
        for x in (middle, sheet.columns - 1 - middle):
            _target(draw, sheet, x, image.height // 2)
        _bar(draw, _centre(sheet), tick, sheet.pixels(LINE), sheet.pixels(TICK))
    draw = ImageDraw.Draw(top)
    y = sheet.pixels(units.from_mm(0.8))
    for text, height in zip(words.lines(), (LARGE, SMALL, SMALL), strict=True):
        _text(draw, sheet, text, x=sheet.pixels(SIDE), y=y, height=height)
        y += sheet.pixels(1.22 * height)
    _strip(bottom, sheet, words)
    return (
        Stamp(left=0, top=0, bits=_packed(top)),
        Stamp(left=0, top=bottom_top, bits=_packed(bottom)),
        *_side_ticks(sheet),
    )


def _strip(image: Image.Image, sheet: Sheet, words: Words) -> None:
    """Two rows of patches: known dots to measure the gain with, and dots that should print the tones."""
    from PIL import Image, ImageDraw

    draw = ImageDraw.Draw(image)
    y = sheet.pixels(GAP + TICK + units.from_mm(0.6))
    left = sheet.pixels(SIDE)
    for label, patches in strip_patches(words.screening, words.curve, sheet.resolution, sheet.pixels(PATCH)):
        for index, patch in enumerate(patches):
            x = left + index * sheet.pixels(STEP)
            image.paste(Image.fromarray(patch.bits.astype(np.uint8) * 255).convert("1"), (x, y))
            _text(draw, sheet, _told(patch), x=x, y=y + sheet.pixels(1.04 * PATCH), height=TINY, room=STEP)
        after = left + len(patches) * sheet.pixels(STEP)
        _text(draw, sheet, label, x=after, y=y + sheet.pixels(PATCH / 3), height=TINY)
        y += sheet.pixels(PATCH + 1.35 * TINY)
    curve = f"tone curve undone: {words.curve.name}" if words.curve.gains else "no tone curve undone"
    film, image_size = (
        f"{_mm(width)} × {_mm(height)} mm"
        for width, height in (
            (sheet.width, sheet.height),
            (sheet.image_columns / sheet.resolution, sheet.image_rows / sheet.resolution),
        )
    )
    device = f"{units.to_per_inch(sheet.resolution):.6g} pixels/in"
    size = f"{curve} · film {film}, image {image_size}, {device}"
    _text(draw, sheet, size, x=left, y=y, height=TINY)


def _told(patch: Patch) -> str:
    wanted, film = f"{units.to_percent(patch.tone):g}", f"{units.to_percent(patch.film):.3g}"
    return wanted if wanted == film else f"{wanted} ({film})"


def _target(draw: ImageDraw.ImageDraw, sheet: Sheet, x: int, y: int) -> None:
    """Cross in a ring, two opposite quarters of which are filled: what is off by a hair shows as a wedge."""
    ring, half, line = sheet.pixels(RING), sheet.pixels(TARGET), sheet.pixels(LINE)
    box = (x - ring, y - ring, x + ring, y + ring)
    draw.ellipse(box, outline=1, width=line)
    for start in (0, 180):
        draw.pieslice(box, start, start + 90, fill=1)
    _bar(draw, x - line // 2, y - half, line, 2 * half)
    _bar(draw, x - half, y - line // 2, 2 * half, line)


def _bar(draw: ImageDraw.ImageDraw, x: int, y: int, width: int, height: int) -> None:
    draw.rectangle((x, y, x + width - 1, y + height - 1), fill=1)


def _centre(sheet: Sheet) -> int:
    """Left end of the upright marks at the middle of the image."""
    return sheet.left + sheet.image_columns // 2 - sheet.pixels(LINE) // 2


def _side_ticks(sheet: Sheet) -> tuple[Stamp, Stamp]:
    """Marks left and right at half the image's height, in whole bytes of a row."""
    long, thick = max(1, sheet.pixels(TICK) // 8), sheet.pixels(LINE)
    y = sheet.top + (sheet.image_rows - thick) // 2
    away = -(-sheet.pixels(GAP) // 8)
    bits = np.full((thick, long), 255, np.uint8)
    right = -(-(sheet.left + sheet.image_columns) // 8) + away
    return (
        Stamp(left=sheet.left // 8 - away - long, top=max(0, y), bits=bits),
        Stamp(left=right, top=max(0, y), bits=bits),
    )


def _text(
    draw: ImageDraw.ImageDraw, sheet: Sheet, text: str, *, x: int, y: int, height: float, room: float | None = None
) -> None:
    """A line of words that ends before the right-hand target."""
    most = sheet.columns - sheet.pixels(SIDE) - x if room is None else sheet.pixels(room)
    size = sheet.pixels(height)
    least = max(6, sheet.pixels(TINY) * 3 // 4)
    font = _font(size)
    if font.getlength(text) > most:
        size = max(least, math.floor(size * most / font.getlength(text)))
        font = _font(size)
    cut = text
    while len(cut) > 1 and font.getlength(cut) > most:
        cut = cut[: -2 if cut.endswith("…") else -1].rstrip() + "…"
        if cut == "…":
            return
    draw.text((x, y), cut, fill=1, font=font)


@lru_cache(maxsize=16)
def _font(size: int) -> ImageFont.FreeTypeFont:
    from PIL import ImageFont

    from laydown.data.typefaces import TEXT_FACE, font_folder

    return ImageFont.truetype(str(font_folder() / TEXT_FACE), size, layout_engine=ImageFont.Layout.BASIC)


def _packed(image: Image.Image) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    return np.frombuffer(image.tobytes(), np.uint8).reshape(image.height, -1)


def _mm(length: float) -> str:
    return f"{units.to_mm(length):.1f}"


__all__ = ["Words", "film_stamps", "reading_side"]
