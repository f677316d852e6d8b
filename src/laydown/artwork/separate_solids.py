"""Tones of flat colours: one solid ink where one comes close enough, white below it only as far as it helps."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.print_colour import PrintLayers, print_lab
from laydown.artwork.separate_solve import LEAST_TONE, solve_tones, under_solids

Values = NDArray[np.float64]

CLOSE_ENOUGH = 6.0
"""CIEDE2000 up to which a solid ink stands for a flat colour, as where an order names colours. Assumed."""

MIXTURE_GAIN = 3.0
"""CIEDE2000 by which a mixture of dots must be closer than the best solid ink to be printed in its place. Assumed: flat
colours are asked for flat."""

UNSEEN = 1.0
"""CIEDE2000 that nobody sees side by side: for so little no white is laid, nor broken into dots. Assumed."""


def flat_tones(lab: Values, layers: PrintLayers, *, least: float = LEAST_TONE, never_open: bool = False) -> Values:
    """Tones of flat colours.

    Parameters
    ----------
    lab : ndarray, shape (n, 3)
    layers : PrintLayers
    least : float
        Smallest dot of a mixture.
    never_open : bool
        Print a solid even where bare cloth or a mixture would be closer.

    Returns
    -------
    ndarray, shape (n, axis)
        0 or 1 for solids; the white below a solid ink may lie between where neither all nor none of it will do.
    """
    from laydown.physics.ciede2000 import ciede2000

    options = solid_options(lab, layers)
    differences = ciede2000(print_lab(options, layers), lab[:, None])
    if never_open:
        differences[:, 0] = np.inf
    best = np.argmin(differences, axis=1)
    rows = np.arange(len(lab))
    tones: Values = options[rows, best]
    if never_open:
        return tones
    reached = differences[rows, best]
    mixed = solve_tones(lab, layers, least=least).tones
    gain = reached - ciede2000(print_lab(mixed, layers), lab)
    mixture = (reached > CLOSE_ENOUGH) & (gain > MIXTURE_GAIN)
    tones[mixture] = mixed[mixture]
    return tones


def solid_options(lab: Values, layers: PrintLayers) -> Values:
    """Bare cloth, white, and each ink solid with the white that suits it: shape (n, option, axis).

    The white below an ink is none where that is within ``UNSEEN`` of the best amount, else all of it where that is,
    else the best amount. A highlight is laid on white where it brings it nearer by more than ``UNSEEN``.
    """
    from laydown.physics.ciede2000 import ciede2000

    axes, first = len(layers.axes), int(layers.white is not None)
    options = np.zeros((len(lab), 1 + first + len(layers.colours), axes))
    if layers.white is not None:
        options[:, 1, 0] = 1.0
        if layers.highlight is not None:
            with_highlight = options[:, 1].copy()
            with_highlight[:, -1] = 1.0
            gain = ciede2000(print_lab(options[:, 1], layers), lab) - ciede2000(print_lab(with_highlight, layers), lab)
            options[gain > UNSEEN, 1] = with_highlight[gain > UNSEEN]
    best = under_solids(lab, layers)
    for k in range(len(layers.colours)):
        option = options[:, 1 + first + k]
        option[:, first + k] = 1.0
        if layers.white is None:
            continue
        tries = np.stack([option, option, option], axis=1)
        tries[:, 1, 0], tries[:, 2, 0] = 1.0, best[:, k]
        off = ciede2000(print_lab(tries, layers), lab[:, None])
        near = off <= off[:, 2:] + UNSEEN
        option[:, 0] = np.where(near[:, 0], 0.0, np.where(near[:, 1], 1.0, best[:, k]))
    return options


__all__ = ["CLOSE_ENOUGH", "MIXTURE_GAIN", "UNSEEN", "flat_tones", "solid_options"]
