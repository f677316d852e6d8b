"""How a print will look on its garment: on the day it is made, and after the dye has come into it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.picture import Picture
from laydown.artwork.plate import Plate
from laydown.artwork.print_colour import PrintLayers
from laydown.domain.stack import Role
from laydown.domain.validity import within
from laydown.errors import InvalidInput

Values = NDArray[np.float64]
Image = NDArray[np.float64]

BAND = 128
"""Rows of art that are worked on at once."""

SPOT = 2e-3
"""Edge of the patches over which a colour difference is averaged before the worst is named [m]: what an eye at arm's
length takes in as one spot. Assumed."""

SEEN_TONE = 16
"""Tone, of 255, from which a plate names a place. Assumed: six per cent of dots are seen."""

SHOWN_AS = "D65/2"
"""sRGB is defined by this illuminant and observer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StainKey:
    """Which of a print's colours: the ink on top ('' for the underbase), whether white lies below, the highlight."""

    ink: str
    on_white: bool
    highlight: bool = False


Stain = Mapping[StainKey, Values]
"""What the dye leaves of each colour: XYZ of the stained over XYZ of the clean print, shape (3,)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintImage:
    """A print on its cloth as an image.

    Attributes
    ----------
    xyz : ndarray, shape (rows, columns, 3)
        Under D65 and the 2° observer, Y of the perfect white 100.
    width, height : float
        [m].
    """

    xyz: Image
    width: float
    height: float

    @property
    def srgb(self) -> NDArray[np.uint8]:
        """Pixels for a screen, shape (rows, columns, 3); colours that sRGB lacks are cut off at its edge."""
        from laydown.physics.colorimetry import srgb_to_8bit, xyz_to_srgb

        return srgb_to_8bit(xyz_to_srgb(self.xyz))


def print_image(
    plates: Sequence[Plate], layers: PrintLayers, *, columns: int, stain: Stain | None = None
) -> PrintImage:
    """Image of a print by the layered optics of its plates.

    Parameters
    ----------
    plates : sequence of Plate
        As `laydown.artwork.separate.separate` gives them for ``layers``.
    layers : PrintLayers
    columns : int
        Pixels across; the height follows.
    stain : mapping or None
        What dye leaves of each colour; None: the clean print.

    Raises
    ------
    InvalidInput
        When there is no plate, or one that the layers do not know.

    Notes
    -----
    Colours are mixed at the art's own resolution and then averaged in linear light, so an edge between two solids is
    not taken for their overprint. Where colours overlap, the stain is that of the one on top.
    """
    if not plates:
        raise InvalidInput("there is no plate to show")
    within("width of the preview", columns, 16, 20_000, "pixels")
    table = _table(layers, stain)
    axes = _axes(plates, layers)
    rows, across = plates[0].shape
    step = max(1, across // columns)
    used = max(1, across // step) * step
    pieces: list[Image] = []
    for start in range(0, rows, BAND * step):
        stop = min(rows, start + BAND * step)
        pieces.append(_band(axes, table, start, stop, used, step))
    small = np.concatenate(pieces)
    high = max(1, round(columns * plates[0].height / plates[0].width))
    return PrintImage(xyz=_resized(small, columns, high), width=plates[0].width, height=plates[0].height)


def art_image(picture: Picture, layers: PrintLayers, *, columns: int) -> PrintImage:
    """The art itself over the bare cloth, as the person who drew it sees it: the aim of the print."""
    from laydown.physics.colorimetry import srgb_to_xyz

    step = max(1, picture.columns // columns)
    used = max(1, picture.columns // step) * step
    cloth = _table(layers, None)[0]
    # Tristimulus values add up over the channels, so each level of each channel is looked up.
    levels = np.arange(256) / 255.0
    red, green, blue = (srgb_to_xyz(np.outer(levels, unit)) for unit in np.eye(3))
    pieces: list[Image] = []
    for start in range(0, picture.rows, BAND * step):
        pixels = picture.pixels[start : start + BAND * step, :used]
        alpha = pixels[..., 3:] / 255.0
        xyz = red[pixels[..., 0]] + green[pixels[..., 1]] + blue[pixels[..., 2]]
        xyz = xyz * alpha + cloth * (1 - alpha)
        pieces.append(_box(xyz, step))
    high = max(1, round(columns * picture.height / picture.width))
    return PrintImage(xyz=_resized(np.concatenate(pieces), columns, high), width=picture.width, height=picture.height)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Difference:
    """Colour difference of two images.

    Attributes
    ----------
    map : ndarray, shape (rows, columns)
        CIEDE2000, averaged over patches of `SPOT`.
    mean, worst : float
    across, down : float
        Where the worst patch lies, from the left and top edge of the print [m].
    """

    map: Values
    mean: float
    worst: float
    across: float
    down: float


def difference(first: PrintImage, second: PrintImage) -> Difference:
    """CIEDE2000 of two images of one print, patch by patch.

    Raises
    ------
    InvalidInput
        When they are not of one size.
    """
    from laydown.data.colorimetric import white_point
    from laydown.physics.ciede2000 import ciede2000
    from laydown.physics.colorimetry import xyz_to_lab

    if first.xyz.shape != second.xyz.shape:
        raise InvalidInput("the two images are not of one size")
    white = white_point(SHOWN_AS)
    one, other = (xyz_to_lab(_patches(i), white) for i in (first, second))
    found = np.asarray(ciede2000(one, other))
    row, column = np.unravel_index(int(np.argmax(found)), found.shape)
    return Difference(
        map=found,
        mean=float(found.mean()),
        worst=float(found[row, column]),
        across=(float(column) + 0.5) / found.shape[1] * first.width,
        down=(float(row) + 0.5) / found.shape[0] * first.height,
    )


def seen_at(plates: Sequence[Plate], layers: PrintLayers, *, across: float, down: float) -> str:
    """Name what is printed at a place [m] from the left and top edge: ``Beacon Red on white``, or ``bare cloth``."""
    rows, columns = plates[0].shape
    row = min(rows - 1, max(0, int(down / plates[0].height * rows)))
    column = min(columns - 1, max(0, int(across / plates[0].width * columns)))
    tones = [(plate, int(plate.tones.band(row, row + 1)[0, column])) for plate in plates]
    tops = [(tone, plate) for plate, tone in tones if plate.role in {Role.COLOUR, Role.HIGHLIGHT} and tone >= SEEN_TONE]
    white = any(tone >= SEEN_TONE for plate, tone in tones if plate.role in {Role.UNDERBASE, Role.WHITE})
    if tops:
        name = max(tops, key=lambda one: one[0])[1].name
        return f"{name} on white" if white else f"{name} on the cloth"
    return "white" if white and layers.white is not None else "bare cloth"


def plate_picture(plate: Plate, *, columns: int) -> tuple[bytes, tuple[int, int]]:
    """PNG of a plate in small, black where it prints, and its columns and rows."""
    from PIL import Image as Pictures

    rows, across = plate.shape
    step = max(1, across // columns)
    used = max(1, across // step) * step
    pieces: list[Image] = []
    for start in range(0, rows, BAND * step):
        tones = plate.tones.band(start, min(rows, start + BAND * step))[:, :used]
        pieces.append(_box(tones[..., None].astype(np.float64), step)[..., 0])
    grey = np.rint(255 - np.concatenate(pieces)).astype(np.uint8)
    high = max(1, round(columns * plate.height / plate.width))
    small = np.asarray(Pictures.fromarray(grey).resize((columns, high), Pictures.Resampling.BILINEAR))
    return png_bytes(small, width=plate.width), (columns, high)


def png_bytes(pixels: NDArray[np.uint8], *, width: float) -> bytes:
    """PNG of sRGB pixels that says so, with its physical size.

    Parameters
    ----------
    pixels : ndarray of uint8, shape (rows, columns, 3) or (rows, columns)
    width : float
        What it shows across [m].
    """
    from io import BytesIO

    from PIL import Image as Pictures
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    # The sRGB chunk, rendering intent "relative colorimetric": what the pixels mean, without a profile's date.
    info.add(b"sRGB", b"\x01")
    per_inch = pixels.shape[1] / (width / 0.0254)
    out = BytesIO()
    Pictures.fromarray(pixels).save(out, "PNG", pnginfo=info, dpi=(per_inch, per_inch))
    return out.getvalue()


def map_pixels(found: Difference, *, columns: int, most: float = 10.0) -> NDArray[np.uint8]:
    """Difference map as grey pixels, shape (rows, columns): white is 0, black ``most`` CIEDE2000 and above."""
    from PIL import Image as Pictures

    grey = np.rint(255 * (1 - np.clip(found.map / most, 0, 1))).astype(np.uint8)
    high = max(1, round(columns * found.map.shape[0] / found.map.shape[1]))
    return np.asarray(Pictures.fromarray(grey).resize((columns, high), Pictures.Resampling.NEAREST))


def with_cloth(image: PrintImage, layers: PrintLayers, *, margin: float) -> PrintImage:
    """Image with a margin [m] of bare cloth around the print."""
    rows, columns, _ = image.xyz.shape
    pixels = round(margin / image.width * columns)
    cloth = np.broadcast_to(_table(layers, None)[0], (rows + 2 * pixels, columns + 2 * pixels, 3)).copy()
    cloth[pixels : pixels + rows, pixels : pixels + columns] = image.xyz
    grown = 2 * pixels / columns * image.width
    return PrintImage(xyz=cloth, width=image.width + grown, height=image.height + grown)


def _table(layers: PrintLayers, stain: Stain | None) -> Values:
    """XYZ of every set of plates, with what the dye leaves of it."""
    from laydown.artwork.print_colour_primaries import primaries

    table: Values = primaries(replace(layers, condition=SHOWN_AS))
    if stain is None:
        return table
    plates = len(layers.axes)
    stained = table.copy()
    for row in range(1, 1 << plates):
        left = stain.get(_top(row, plates, layers))
        if left is not None:
            stained[row] = table[row] * left
    return stained


def _top(row: int, plates: int, layers: PrintLayers) -> StainKey:
    """What lies on top in a set of plates."""
    there = [k for k in range(plates) if row >> (plates - 1 - k) & 1]
    white = layers.white is not None and 0 in there
    top = there[-1]
    if layers.highlight is not None and top == plates - 1:
        return StainKey(ink=layers.axes[top].name, on_white=white, highlight=True)
    if white and top == 0:
        return StainKey(ink="", on_white=True)
    return StainKey(ink=layers.axes[top].name, on_white=white)


def _axes(plates: Sequence[Plate], layers: PrintLayers) -> tuple[Plate | None, ...]:
    """Plate of each axis; None for an ink that the art does not need."""
    found: list[Plate | None] = []
    for k, axis in enumerate(layers.axes):
        first, last = k == 0 and layers.white is not None, k == len(layers.axes) - 1 and layers.highlight is not None
        roles = {Role.UNDERBASE, Role.WHITE} if first else {Role.HIGHLIGHT} if last else {Role.COLOUR}
        found.append(next((p for p in plates if p.role in roles and p.ink == axis.name), None))
    known = {id(plate) for plate in found if plate is not None}
    strange = [p.name for p in plates if id(p) not in known and p.role is not Role.BARRIER]
    if strange:
        raise InvalidInput(f"the layers have no film for the plate {strange[0]!r}")
    return tuple(found)


def _band(axes: tuple[Plate | None, ...], table: Values, start: int, stop: int, columns: int, step: int) -> Image:
    """Rows of art as XYZ, averaged over squares of ``step`` pixels."""
    from laydown.artwork.preview_kernel import band_colours

    tones = np.zeros((len(axes), stop - start, columns), dtype=np.uint8)
    for k, plate in enumerate(axes):
        if plate is not None:
            tones[k] = plate.tones.band(start, stop)[:, :columns]
    colours: Image = band_colours(tones, table, step)
    return colours


def _box(xyz: Image, step: int) -> Image:
    """Mean over squares of ``step`` pixels; what is left at the bottom is a lower square."""
    if step == 1:
        return xyz
    rows, columns, channels = xyz.shape
    starts = np.arange(0, rows, step)
    counts = np.diff(np.append(starts, rows))[:, None, None]
    across = xyz.reshape(rows, columns // step, step, channels).mean(axis=2)
    return np.asarray(np.add.reduceat(across, starts, axis=0) / counts)


def _resized(xyz: Image, columns: int, rows: int) -> Image:
    """Image of another size: averaged when it shrinks, interpolated when it grows."""
    from PIL import Image as Pictures

    if xyz.shape[:2] == (rows, columns):
        return xyz
    channels = [
        np.asarray(
            Pictures.fromarray(xyz[..., c].astype(np.float32)).resize((columns, rows), Pictures.Resampling.BILINEAR)
        )
        for c in range(3)
    ]
    return np.stack(channels, axis=-1).astype(np.float64)


def _patches(image: PrintImage) -> Image:
    columns = max(1, min(image.xyz.shape[1], round(image.width / SPOT)))
    rows = max(1, min(image.xyz.shape[0], round(image.height / SPOT)))
    return _resized(image.xyz, columns, rows)
