"""Half-transparent art laid over the cloth, as the person who drew it saw it over a dark or light ground."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.picture import Picture

BAND = 256
"""Rows that are worked on at once."""

REACH = 2
"""Pixels around one that tell a soft transition from an edge: an edge rises within two."""

EDGE = 96
"""Rise of alpha within that reach from which it is an edge, whose alpha is a share of area. Assumed."""


def flattened(picture: Picture, cloth: tuple[int, int, int]) -> Picture:
    """Picture whose soft transparency is mixed with the cloth's colour.

    A half-transparent blue on black cloth asks for a dark blue, not for dots of blue and dots of white side by side.
    Edges keep their alpha: there it says how much of a pixel is covered.

    Parameters
    ----------
    picture : Picture
    cloth : tuple of int
        sRGB of the garment, 0 to 255.

    Returns
    -------
    Picture
        The same one where nothing is softly transparent; otherwise a copy.

    Notes
    -----
    Mixed in encoded sRGB, as drawing programs do.
    """
    from laydown.artwork.flatten_kernel import soft_pixels

    ground = np.array(cloth, dtype=np.float32)
    out: NDArray[np.uint8] | None = None
    for start in range(0, picture.rows, BAND):
        stop = min(picture.rows, start + BAND)
        soft = soft_pixels(picture.pixels, start, stop, REACH, EDGE)
        if not soft.any():
            continue
        if out is None:
            out = picture.pixels.copy()
        rows = out[start:stop]
        chosen = rows[soft].astype(np.float32)
        alpha = chosen[:, 3:] / np.float32(255)
        chosen[:, :3] = np.rint(alpha * chosen[:, :3] + (1 - alpha) * ground)
        chosen[:, 3] = 255
        rows[soft] = chosen.astype(np.uint8)
    return picture if out is None else replace(picture, pixels=out)
