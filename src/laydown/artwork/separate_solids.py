"""Tones of flat colours: one solid ink where one comes close enough, white below it only as far as it helps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.print_colour import InkFilm, PrintLayers, print_lab
from laydown.artwork.separate_solve import LEAST_TONE, solve_tones, under_solids
from laydown.models.colour import lab_of
from laydown.models.ink_optics import surface

Values = NDArray[np.float64]

CLOSE_ENOUGH = 6.0
"""CIEDE2000 up to which a solid ink stands for a flat colour, as where an order names colours. Assumed."""

MIXTURE_GAIN = 3.0
"""CIEDE2000 by which dots must bring a flat colour closer than solids to be printed in their place. Assumed: flat
colours are asked for flat, and dots ask for a finer mesh."""

UNSEEN = 1.0
"""CIEDE2000 that nobody sees side by side: for so little no white is laid. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatPrint:
    """How flat colours are printed.

    Attributes
    ----------
    tones : ndarray, shape (n, axis)
        0 or 1 for solids; the white below a solid ink may lie between where neither all nor none of it will do.
    printed : ndarray, shape (n,)
        CIEDE2000 of the finished print to the art.
    asked : ndarray, shape (n,)
        The same, or that of the ink's own colour (a film that hides completely) to the art where it is smaller: art
        that names an ink by its colour asks for that ink, however its film turns out on this cloth.
    """

    tones: Values
    printed: Values
    asked: Values


def print_flats(lab: Values, layers: PrintLayers, *, least: float = LEAST_TONE, never_open: bool = False) -> FlatPrint:
    """Decide how flat colours are printed.

    Parameters
    ----------
    lab : ndarray, shape (n, 3)
    layers : PrintLayers
    least : float
        Smallest dot of a mixture.
    never_open : bool
        Print a solid even where bare cloth or a mixture would be closer.
    """
    from laydown.physics.ciede2000 import ciede2000

    options = solid_options(lab, layers)
    printed = ciede2000(print_lab(options, layers), lab[:, None])
    asked = np.minimum(printed, ciede2000(own_colours(layers), lab[:, None]))
    if never_open:
        asked[:, 0] = np.inf
    else:
        # An ink that leaves the print further from the art than bare cloth is not laid, whatever its own colour.
        asked[printed > printed[:, :1]] = np.inf
    best = np.argmin(asked, axis=1)
    rows = np.arange(len(lab))
    tones: Values = options[rows, best]
    off, wanted = printed[rows, best], asked[rows, best]
    if never_open or not (wanted > CLOSE_ENOUGH).any():
        return FlatPrint(tones=tones, printed=off, asked=wanted)
    mixed = solve_tones(lab, layers, least=least).tones
    closer = ciede2000(print_lab(mixed, layers), lab)
    mixture = (wanted > CLOSE_ENOUGH) & (wanted - closer > MIXTURE_GAIN)
    tones[mixture] = mixed[mixture]
    return FlatPrint(tones=tones, printed=np.where(mixture, closer, off), asked=np.where(mixture, closer, wanted))


def solid_options(lab: Values, layers: PrintLayers) -> Values:
    """Bare cloth, white, and each ink solid with the white that suits it: shape (n, option, axis).

    The white below an ink is none where that is within ``UNSEEN`` of the best amount, else all of it where that is
    within ``MIXTURE_GAIN``, else the best amount. A highlight is laid on white where it brings it nearer by more than
    ``UNSEEN``.
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
        none = off[:, 0] <= off.min(axis=1) + UNSEEN
        full = off[:, 1] <= off.min(axis=1) + MIXTURE_GAIN
        option[:, 0] = np.where(none, 0.0, np.where(full, 1.0, best[:, k]))
    return options


def own_colours(layers: PrintLayers) -> Values:
    """Lab of the bare cloth and of films of white and each colour that hide completely, in the order of the options."""
    inks = (*((layers.white,) if layers.white is not None else ()), *layers.colours)
    return np.stack([lab_of(layers.cloth, layers.condition), *(_own_colour(ink, layers.condition) for ink in inks)])


def _own_colour(ink: InkFilm, condition: str) -> Values:
    from laydown.physics.optics import reflectivity
    from laydown.physics.saunderson import measured_reflectance

    if ink.full_hiding is not None:
        return lab_of(ink.full_hiding, condition)
    k1, k2 = surface()
    inside = reflectivity(ink.absorption, ink.scattering)
    return lab_of(np.asarray(measured_reflectance(inside, k1=k1, k2=k2)), condition)


__all__ = ["CLOSE_ENOUGH", "MIXTURE_GAIN", "UNSEEN", "FlatPrint", "own_colours", "print_flats", "solid_options"]
