"""What stands beside the image on a film: targets, centre marks, words and the tone strip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from laydown import units
from laydown.artwork.films.sheet import SIDE, PackedRows, Sheet, Stamp
from laydown.artwork.films.tone_strip import Patch, strip_patches
from laydown.artwork.halftone import Screening, told_screening
from laydown.artwork.tone_curve import ToneCurve

if TYPE_CHECKING:
    from PIL import Image, ImageFont

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
    """Everything beside the image, for the unmirrored sheet: small pieces, each in whole bytes of a row.

    Parameters
    ----------
    sheet : Sheet
    words : Words
        Lines that are too long are set smaller, and cut where they would be too small to read.
    """
    return (*_targets(sheet), *_ticks(sheet), *_head(sheet, words), *_foot(sheet, words))


def _targets(sheet: Sheet) -> tuple[Stamp, ...]:
    """One in each corner: a cross in a ring, two opposite quarters filled; what is off by a hair shows as a wedge."""
    from PIL import Image, ImageDraw

    ring, half, line = sheet.pixels(RING), sheet.pixels(TARGET), sheet.pixels(LINE)
    image = Image.new("1", (2 * half + line, 2 * half + line))
    draw = ImageDraw.Draw(image)
    box = (half - ring, half - ring, half + ring, half + ring)
    draw.ellipse(box, outline=1, width=line)
    for start in (0, 180):
        draw.pieslice(box, start, start + 90, fill=1)
    draw.rectangle((half - line // 2, 0, half - line // 2 + line - 1, image.height), fill=1)
    draw.rectangle((0, half - line // 2, image.width, half - line // 2 + line - 1), fill=1)
    bits = _packed(image)
    away = (sheet.pixels(SIDE) - image.width) // 2
    left, right = away // 8, (sheet.columns - away) // 8 - bits.shape[1]
    below = sheet.rows - _below(sheet)
    heights = ((sheet.top - image.height) // 2, below + (sheet.rows - below - image.height) // 2)
    return tuple(Stamp(left=x, top=y, bits=bits) for y in heights for x in (left, right))


def _ticks(sheet: Sheet) -> tuple[Stamp, ...]:
    """Marks at the middles of the image's four sides."""
    long, thick = sheet.pixels(TICK), sheet.pixels(LINE)
    upright = _packed_bits(np.ones((long, thick), np.bool_))
    lying = np.full((thick, max(1, long // 8)), 255, np.uint8)
    x = (sheet.left + (sheet.image_columns - thick) // 2) // 8
    y = max(0, sheet.top + (sheet.image_rows - thick) // 2)
    away = -(-sheet.pixels(GAP) // 8)
    after = -(-(sheet.left + sheet.image_columns) // 8)
    return (
        Stamp(left=x, top=sheet.top - sheet.pixels(GAP) - long, bits=upright),
        Stamp(left=x, top=sheet.top + sheet.image_rows + sheet.pixels(GAP), bits=upright),
        Stamp(left=sheet.left // 8 - away - lying.shape[1], top=y, bits=lying),
        Stamp(left=after + away, top=y, bits=lying),
    )


def _head(sheet: Sheet, words: Words) -> tuple[Stamp, ...]:
    """Plate, what it is for, and which way the film reads."""
    left, room = sheet.pixels(SIDE) // 8, sheet.columns - 2 * sheet.pixels(SIDE)
    y = sheet.pixels(units.from_mm(0.8))
    stamps = []
    for text, height in zip(words.lines(), (LARGE, SMALL, SMALL), strict=True):
        stamps.append(Stamp(left=left, top=y, bits=_line(sheet, text, height, room)))
        y += sheet.pixels(1.22 * height)
    return tuple(stamps)


def _foot(sheet: Sheet, words: Words) -> tuple[Stamp, ...]:
    """Two rows of patches, known dots to measure the gain with and dots that should print the tones; sizes."""
    left, step = sheet.pixels(SIDE) // 8, sheet.pixels(STEP) // 8
    end = sheet.columns - sheet.pixels(SIDE)
    y = sheet.rows - _below(sheet) + sheet.pixels(GAP + TICK + units.from_mm(0.6))
    stamps = []
    for label, patches in strip_patches(words.screening, words.curve, sheet.resolution, sheet.pixels(PATCH)):
        for index, patch in enumerate(patches):
            x = left + index * step
            below = y + sheet.pixels(1.04 * PATCH)
            stamps.append(Stamp(left=x, top=y, bits=_packed_bits(patch.bits)))
            stamps.append(Stamp(left=x, top=below, bits=_line(sheet, _told(patch), TINY, 8 * step)))
        after = left + len(patches) * step
        told = _line(sheet, label, TINY, end - 8 * after)
        stamps.append(Stamp(left=after, top=y + sheet.pixels(PATCH / 3), bits=told))
        y += sheet.pixels(PATCH + 1.35 * TINY)
    stamps.append(Stamp(left=left, top=y, bits=_line(sheet, _sizes(sheet, words.curve), TINY, end - 8 * left)))
    return tuple(stamps)


def _sizes(sheet: Sheet, curve: ToneCurve) -> str:
    undone = f"tone curve undone: {curve.name}" if curve.gains else "no tone curve undone"
    image_width, image_height = sheet.image_columns / sheet.resolution, sheet.image_rows / sheet.resolution
    return (
        f"{undone} · film {_mm(sheet.width)} × {_mm(sheet.height)} mm, "
        f"image {_mm(image_width)} × {_mm(image_height)} mm, {units.to_per_inch(sheet.resolution):.6g} pixels/in"
    )


def _below(sheet: Sheet) -> int:
    """Rows below the image."""
    return sheet.rows - sheet.top - sheet.image_rows


def _told(patch: Patch) -> str:
    wanted, film = f"{units.to_percent(patch.tone):g}", f"{units.to_percent(patch.film):.3g}"
    return wanted if wanted == film else f"{wanted} ({film})"


def _line(sheet: Sheet, text: str, height: float, room: int) -> PackedRows:
    """A line of words, at most ``room`` pixels long."""
    from PIL import Image, ImageDraw

    size = sheet.pixels(height)
    font = _font(size)
    if font.getlength(text) > room:
        font = _font(max(6, sheet.pixels(TINY) * 3 // 4, math.floor(size * room / font.getlength(text))))
    cut = text
    while cut and font.getlength(cut) > room:
        cut = f"{cut.removesuffix('…')[:-1].rstrip()}…" if len(cut) > 1 else ""
    image = Image.new("1", (max(1, min(room, math.ceil(font.getlength(cut)) + 2)), math.ceil(1.25 * size)))
    ImageDraw.Draw(image).text((0, 0), cut, fill=1, font=font)
    return _packed(image)


@lru_cache(maxsize=16)
def _font(size: int) -> ImageFont.FreeTypeFont:
    from PIL import ImageFont

    from laydown.data.typefaces import TEXT_FACE, font_folder

    return ImageFont.truetype(str(font_folder() / TEXT_FACE), size, layout_engine=ImageFont.Layout.BASIC)


def _packed(image: Image.Image) -> PackedRows:
    return np.frombuffer(image.tobytes(), np.uint8).reshape(image.height, -1)


def _packed_bits(bits: NDArray[np.bool_]) -> PackedRows:
    return np.packbits(bits, axis=1)


def _mm(length: float) -> str:
    return f"{units.to_mm(length):.1f}"


__all__ = ["Words", "film_stamps", "reading_side"]
