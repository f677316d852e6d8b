"""The colours that a print's plates can show at a point: one for each set of plates that lie there."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.print_colour import BANDS, InkFilm, PrintLayers
from laydown.data.colorimetric import tristimulus_weights
from laydown.models.appearance import ROUGHNESS_POINTS
from laydown.models.ink_optics import internal, surface

Values = NDArray[np.float64]


@lru_cache(maxsize=16)
def primaries(layers: PrintLayers) -> Values:
    """XYZ of every set of plates.

    Parameters
    ----------
    layers : PrintLayers

    Returns
    -------
    ndarray, shape (2^plates, 3), read-only
        Row ``sum(2^(plates - 1 - k) for each plate k that is there)``, with plates as ``layers.axes``: the plate
        printed first is the highest bit. Row 0 is the bare cloth as measured; every other row is the layered
        Kubelka-Munk film on the cloth's internal reflectance under Saunderson's surface, averaged over the local
        thickness as `laydown.models.appearance` does.
    """
    from laydown.artwork.print_colour_kernel import primary_table
    from laydown.physics.film_variation import thickness_factors

    if layers.variation > 0:
        factors, weights = thickness_factors(layers.variation, points=ROUGHNESS_POINTS)
    else:
        factors, weights = np.ones(1), np.ones(1)
    films = [_film_matrix(ink, ink.film, factors) for ink in layers.axes]
    on_cloth = [_film_matrix(ink, ink.film if ink.on_cloth is None else ink.on_cloth, factors) for ink in layers.axes]
    if layers.barrier is not None:
        below = _film_matrix(layers.barrier, layers.barrier.film, factors)
        films[0] = on_cloth[0] = _stacked(films[0], below)
    k1, k2 = surface()
    table: Values = primary_table(
        np.stack(films),
        np.stack(on_cloth),
        internal(layers.cloth),
        layers.cloth,
        np.ascontiguousarray(weights),
        np.ascontiguousarray(tristimulus_weights(layers.condition)),
        k1,
        k2,
    )
    table.flags.writeable = False
    return table


def _film_matrix(ink: InkFilm, film: float, factors: Values) -> Values:
    """Elements of a film's matrix on (w, s) as the head of `laydown.physics.optics` has it: (node, 4, band)."""
    from laydown.physics.optics import film_numbers

    matrix = np.ones((factors.size, 4, BANDS))
    for node, factor in enumerate(factors):
        matrix[node, 1], matrix[node, 2] = film_numbers(ink.absorption, ink.scattering, film * factor)
    return matrix


def _stacked(upper: Values, lower: Values) -> Values:
    """Matrix of a film on another: the product, element by element."""
    a, b, c, d = (upper[:, i] for i in range(4))
    e, f, g, h = (lower[:, i] for i in range(4))
    return np.stack([a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h], axis=1)


__all__ = ["primaries"]
