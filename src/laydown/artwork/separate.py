"""From a picture and the inks of a print to its plates."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.choke import choke, printed_area
from laydown.artwork.picture import Picture
from laydown.artwork.plate import Plate, ToneSource
from laydown.artwork.print_colour import PrintLayers, print_lab
from laydown.artwork.separate_cells import ColourCells, colour_cells
from laydown.artwork.separate_plates import CELLS, CellLabels, CellTones, ChokedTones, label_cells
from laydown.artwork.separate_solids import print_flats
from laydown.artwork.separate_solve import LEAST_TONE, solve_tones
from laydown.domain.stack import Role

Values = NDArray[np.float64]

OPEN_LIMIT = 3.0
"""CIEDE2000 to the bare cloth up to which a colour of the art is left open. Assumed: side by side it is barely seen."""


DRAWN = 0.97
"""Share of the even areas that flat colours fill from which art counts as drawn. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeparationOptions:
    """What a printer may ask of a separation.

    Attributes
    ----------
    open_cloth : bool
        Leave colours open that equal the garment's; otherwise they are printed.
    open_limit : float
        How equal [CIEDE2000].
    choke : float
        How far the white is pulled back from edges between a colour and open cloth [m].
    least_tone : float
        Smallest dot and smallest gap that is printed.
    """

    open_cloth: bool = True
    open_limit: float = OPEN_LIMIT
    choke: float = 0.0
    least_tone: float = LEAST_TONE


DEFAULTS = SeparationOptions()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Separation:
    """A picture's plates.

    Attributes
    ----------
    plates : tuple of Plate
        In printing order; plates that would print nothing are left out.
    layers : PrintLayers
    cells : ColourCells
    tones : ndarray of uint8, shape (n, axis)
        Tones of each cell of colour, in the order of ``layers.axes``.
    difference : ndarray, shape (n,)
        CIEDE2000 of the print to the art in each cell.
    notes : tuple of str
    """

    plates: tuple[Plate, ...]
    layers: PrintLayers
    cells: ColourCells
    tones: NDArray[np.uint8]
    difference: Values
    notes: tuple[str, ...] = ()

    @property
    def mean_difference(self) -> float:
        """Mean CIEDE2000 over all pixels that are not transparent."""
        return float(np.average(self.difference, weights=self.cells.pixels)) if self.difference.size else 0.0


def separate(
    picture: Picture,
    layers: PrintLayers,
    *,
    options: SeparationOptions = DEFAULTS,
    cells: ColourCells | None = None,
) -> Separation:
    """Separate a picture into the plates of a print.

    Parameters
    ----------
    picture : Picture
    layers : PrintLayers
        The cloth and every ink that may be used; inks that the art does not need get no plate.
    options : SeparationOptions
    cells : ColourCells, optional
        The picture's colours where they were counted before, under ``layers.condition``.

    Returns
    -------
    Separation
        Its plates look tones up in the picture, which must not change meanwhile.
    """
    from laydown.physics.ciede2000 import ciede2000

    if cells is None or cells.condition != layers.condition:
        cells = colour_cells(picture, condition=layers.condition)
    labels = label_cells(cells)
    tones = _cell_tones(cells, labels, layers, options)
    difference = ciede2000(print_lab(tones / 255.0, layers), cells.lab)

    def look_up(values: NDArray[np.uint8]) -> CellTones:
        table = np.zeros(CELLS, dtype=np.uint8)
        table[cells.cell] = values
        return CellTones(pixels=picture.pixels, table=table, flat_tones=values[cells.flats], labels=labels)

    plates: list[Plate] = []
    notes: tuple[str, ...] = ()
    white: ToneSource | None = None
    for axis, name, role, ink in _plate_names(layers):
        if not tones[:, axis].any():
            continue
        source: ToneSource = look_up(tones[:, axis])
        if role in {Role.BARRIER, Role.UNDERBASE}:
            if white is None:
                white, notes = _choked(source, tones, layers, look_up, picture.pixel, options.choke)
            source = white
        plates.append(Plate(name=name, role=role, ink=ink, tones=source, width=picture.width, height=picture.height))
    return Separation(
        plates=tuple(plates), layers=layers, cells=cells, tones=tones, difference=np.asarray(difference), notes=notes
    )


def _choked(
    white: ToneSource,
    tones: NDArray[np.uint8],
    layers: PrintLayers,
    look_up: Callable[[NDArray[np.uint8]], CellTones],
    pixel: float,
    width: float,
) -> tuple[ToneSource, tuple[str, ...]]:
    """White pulled back from edges against open cloth as far as a colour covers it."""
    colours = tones[:, 1 : 1 + len(layers.colours)]
    if width <= 0 or not (colours.any(axis=1) & (tones[:, 0] > 0)).any():
        return white, ()
    assert isinstance(white, CellTones)
    found = choke(printed_area(look_up(tones.max(axis=1))), width=width, pixel=pixel)
    open_share = np.prod(1.0 - colours / 255.0, axis=1)
    shown = look_up(np.rint(tones[:, 0] * open_share).astype(np.uint8))
    choked = ChokedTones(whole=white, shown=shown.table, flat_shown=shown.flat_tones, kept=found.kept)
    return choked, found.notes()


def _plate_names(layers: PrintLayers) -> tuple[tuple[int, str, Role, str], ...]:
    """Axis, name, role and ink of every plate in printing order."""
    named: list[tuple[int, str, Role, str]] = []
    axis = 0
    if layers.white is not None:
        if layers.barrier is not None:
            named.append((0, "barrier", Role.BARRIER, layers.barrier.name))
        named.append((0, "underbase" if layers.colours else "white", Role.UNDERBASE, layers.white.name))
        axis = 1
    for ink in layers.colours:
        named.append((axis, ink.name, Role.COLOUR, ink.name))
        axis += 1
    if layers.highlight is not None:
        named.append((axis, "highlight white", Role.HIGHLIGHT, layers.highlight.name))
    return tuple(named)


def _cell_tones(
    cells: ColourCells, labels: CellLabels, layers: PrintLayers, options: SeparationOptions
) -> NDArray[np.uint8]:
    """Tone of each axis in each cell, 0 to 255."""
    from laydown.physics.ciede2000 import ciede2000

    tones = np.zeros((len(cells.cell), len(layers.axes)))
    if not len(cells.cell):
        return tones.astype(np.uint8)
    cloth = print_lab(np.zeros(len(layers.axes)), layers)
    left_open = np.asarray(ciede2000(cells.lab, cloth) <= options.open_limit)
    left_open = left_open if options.open_cloth else np.zeros_like(left_open)
    loose: NDArray[np.bool_] = (cells.flat < 0) & ~left_open
    inks: NDArray[np.bool_] = np.ones(len(layers.axes), dtype=bool)
    if cells.flats.size:
        solid = print_flats(cells.lab[cells.flats], layers, least=options.least_tone).tones
        solid[left_open[cells.flats]] = 0.0
        flat = cells.flat >= 0
        tones[flat] = solid[cells.flat[flat]]
        tones[labels.mixed] = labels.blend(solid)
        loose[labels.mixed] = False
        if cells.drawn >= DRAWN and solid.any():
            # What little is left of drawn art are corners and specks: they bring no ink of their own.
            inks = np.asarray(solid.any(axis=0))
    graded = np.flatnonzero(loose)
    if graded.size:
        tones[np.ix_(graded, inks)] = _graded(cells, graded, _only(layers, inks), options.least_tone)
    if not options.open_cloth:
        bare = np.flatnonzero(~tones.any(axis=1))
        if bare.size:
            tones[bare] = print_flats(cells.lab[bare], layers, least=options.least_tone, never_open=True).tones
    return np.rint(tones * 255).astype(np.uint8)


def _only(layers: PrintLayers, inks: NDArray[np.bool_]) -> PrintLayers:
    """Layers with the marked axes alone."""
    first = int(layers.white is not None)
    white = layers.white if first and inks[0] else None
    return replace(
        layers,
        white=white,
        barrier=layers.barrier if white else None,
        colours=tuple(ink for k, ink in enumerate(layers.colours) if inks[first + k]),
        highlight=layers.highlight if inks[-1] else None,
    )


def _graded(cells: ColourCells, rows: NDArray[np.int64], layers: PrintLayers, least: float) -> Values:
    """Tones of cells that belong to no flat colour: inks found for a coarse cell, tones for each fine one."""
    cell = cells.cell[rows]
    coarse = ((cell >> 14) << 8) | (((cell >> 8) & 15) << 4) | ((cell >> 2) & 15)
    _, parent = np.unique(coarse, return_inverse=True)
    weight = cells.pixels[rows].astype(np.float64)
    total = np.bincount(parent, weights=weight)
    mean = np.stack([np.bincount(parent, weights=weight * cells.lab[rows, c]) for c in range(3)], axis=-1)
    known = solve_tones(mean / total[:, None], layers, least=least)
    return solve_tones(
        cells.lab[rows], layers, parent=parent.astype(np.int64), parent_tones=known.tones, least=least
    ).tones


__all__ = ["DEFAULTS", "OPEN_LIMIT", "Separation", "SeparationOptions", "separate"]
