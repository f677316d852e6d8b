"""Tones of all plates that bring a colour of the art closest on this cloth.

For each colour the tones x, 0 to 1, make least of ::

    4 (sqrt(1 + E^2/4) - 1) + sum of price_k x_k

with E the colour difference of the finished print to the art (CIEDE2000, linearised at the art's colour) and a small
price on ink, so that of prints that look alike the one with least ink is taken. A full coat of white has to bring
about half a unit of E nearer where the print is far from the art, and one and a half where it then meets it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.print_colour import PrintLayers

Values = NDArray[np.float64]
Numbers = NDArray[np.int64]

WHITE_PRICE = 1.0
COLOUR_PRICE = 0.5
"""Price of a full coat in the objective above. Assumed: white is the thicker film, and the one felt most."""

LEAST_TONE = 0.02
"""Dots smaller than this share are not printed, and gaps smaller than it are filled. Assumed: no screen holds them."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solution:
    """Tones found for colours of the art.

    Attributes
    ----------
    tones : ndarray, shape (n, plate)
        0 to 1, plates in the order of `PrintLayers.axes`.
    objective : ndarray, shape (n,)
    """

    tones: Values
    objective: Values


def prices(layers: PrintLayers) -> Values:
    """Price of a full coat of each plate."""
    price = np.full(len(layers.axes), COLOUR_PRICE)
    if layers.white is not None:
        price[0] = WHITE_PRICE
    if layers.highlight is not None:
        price[-1] = WHITE_PRICE
    return price


def difference_metric(lab: Values) -> Values:
    """CIEDE2000 linearised at colours: E = |M (Lab - lab)| for small differences.

    Parameters
    ----------
    lab : ndarray, shape (n, 3)

    Returns
    -------
    ndarray, shape (n, 3, 3)

    Notes
    -----
    The weights of Sharma, Wu and Dalal (2005) with all means taken at the colour itself.
    """
    lightness, a, b = lab.T
    c7 = np.hypot(a, b) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(c7 / (c7 + 25.0**7))
    chroma = np.hypot(stretch * a, b)
    hue = np.arctan2(b, stretch * a)
    t = (
        1
        - 0.17 * np.cos(hue - np.radians(30))
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + np.radians(6))
        - 0.20 * np.cos(4 * hue - np.radians(63))
    )
    scale_l = 1 + 0.015 * (lightness - 50) ** 2 / np.sqrt(20 + (lightness - 50) ** 2)
    scale_c = 1 + 0.045 * chroma
    scale_h = 1 + 0.015 * chroma * t
    blue = np.exp(-(((np.degrees(hue) % 360 - 275) / 25) ** 2))
    c7 = chroma**7
    turn = -2 * np.sqrt(c7 / (c7 + 25.0**7)) * np.sin(np.radians(60 * blue))
    metric = np.zeros((len(lab), 3, 3))
    metric[:, 0, 0] = 1 / scale_l
    chroma_row = np.stack([stretch * np.cos(hue), np.sin(hue)], axis=-1) / scale_c[:, None]
    hue_row = np.stack([-stretch * np.sin(hue), np.cos(hue)], axis=-1) / scale_h[:, None]
    metric[:, 1, 1:] = chroma_row + 0.5 * turn[:, None] * hue_row
    metric[:, 2, 1:] = np.sqrt(1 - 0.25 * turn**2)[:, None] * hue_row
    return metric


def solve_tones(
    lab: Values,
    layers: PrintLayers,
    *,
    parent: Numbers | None = None,
    parent_tones: Values | None = None,
    least: float = LEAST_TONE,
) -> Solution:
    """Tones for colours of the art.

    Parameters
    ----------
    lab : ndarray, shape (n, 3)
        Art under ``layers.condition``.
    layers : PrintLayers
    parent : ndarray of int, shape (n,), optional
        Row of ``parent_tones`` whose inks a colour is restricted to; that of a neighbour in colour, solved before.
    parent_tones : ndarray, shape (m, plate), optional
    least : float
        Smallest dot and smallest gap.

    Returns
    -------
    Solution

    Notes
    -----
    At most three colour inks at one place, beside the white below and above. Of a colour without a parent the pairs of
    the six inks that do best alone are tried, then each third ink beside the best pair; deterministic.
    """
    from laydown.artwork.print_colour_primaries import primaries
    from laydown.artwork.separate_solve_kernel import solve_colours
    from laydown.data.colorimetric import white_point

    plates = len(layers.axes)
    if parent is None or parent_tones is None:
        parent, parent_tones = np.full(len(lab), -1, dtype=np.int64), np.zeros((1, plates))
    tones, objective = solve_colours(
        np.ascontiguousarray(lab),
        difference_metric(lab),
        primaries(layers) / white_point(layers.condition),
        prices(layers),
        len(layers.colours),
        int(layers.white is not None),
        parent,
        np.ascontiguousarray(parent_tones),
        least,
    )
    return Solution(tones=tones, objective=objective)


def under_solids(lab: Values, layers: PrintLayers) -> Values:
    """Underbase tone that brings each solid ink closest to a colour.

    Parameters
    ----------
    lab : ndarray, shape (n, 3)
    layers : PrintLayers

    Returns
    -------
    ndarray, shape (n, colour)
        0 to 1; all 0 where the print has no white.
    """
    from laydown.artwork.print_colour_primaries import primaries
    from laydown.artwork.separate_solve_kernel import solve_under_solids
    from laydown.data.colorimetric import white_point

    plates = len(layers.axes)
    if layers.white is None or not layers.colours:
        return np.zeros((len(lab), len(layers.colours)))
    rows = np.array([1 << (plates - 2 - k) for k in range(len(layers.colours))], dtype=np.int64)
    under, _ = solve_under_solids(
        np.ascontiguousarray(lab),
        difference_metric(lab),
        primaries(layers) / white_point(layers.condition),
        prices(layers),
        rows,
    )
    return np.asarray(under)


__all__ = ["LEAST_TONE", "Solution", "difference_metric", "prices", "solve_tones", "under_solids"]
