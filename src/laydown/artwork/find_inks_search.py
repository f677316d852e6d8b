"""Search for the few shelf inks whose prints and mixtures come closest to a picture's colours.

The picture is stood for by its flat colours and a coarse sample of the rest (`palette`). A set of inks is as good as
`Bench.error` says: the mean over the palette of what exceeds 2 CIEDE2000, after each colour was printed as well as
these inks can. Inks are added one by one, each time the one that helps most; then each is tried without. Everything
is decided by numbers and, on ties, by the order of the shelf, so the same picture gets the same inks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.print_colour import Films, PrintLayers, print_lab, print_layers
from laydown.artwork.separate_cells import ColourCells
from laydown.artwork.separate_plates import label_cells
from laydown.artwork.separate_solids import CLOSE_ENOUGH, FlatPrint, own_colours, print_flats, solid_options
from laydown.artwork.separate_solve import solve_tones
from laydown.domain.ink import Ink

Values = NDArray[np.float64]

UNSEEN = 2.0
"""CIEDE2000 that does not count: about what two neighbouring areas of one print differ by anyway. Assumed."""

TEXTURE = 0.5
"""Weight of pixels in textures and at edges, beside 1 in even areas, where a wrong colour shows most. Assumed."""

LEAST_SHARE = 0.01
"""A flat colour weighs as if it filled at least this share of the picture: an emblem counts. Assumed."""

MOST_SAMPLES = 120
"""Colours that stand for a picture beside its flat ones."""

WORTH = 0.1
"""Mean error that another ink must take away. Assumed."""

MOST_COLOURS = 8
"""Colours that a picture in dots gets where nobody says how many. Assumed: the heads of a usual press."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Palette:
    """Colours that stand for a picture; those that are left open are not among them.

    Attributes
    ----------
    lab, srgb : ndarray, shape (n, 3)
    weight : ndarray, shape (n,)
        How much an error in each counts; their sum is 1.
    pixels : ndarray, shape (n,)
        Pixels that each stands for.
    flat : ndarray of bool, shape (n,)
    """

    lab: Values
    srgb: Values
    weight: Values
    pixels: Values
    flat: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bench:
    """What stays the same while sets of inks are tried; the attributes are those of `print_layers`.

    ``highlight`` says whether the white may also be printed last, ``never_open`` that every colour is printed, even
    one that bare cloth comes closest to.
    """

    cloth: Values
    barrier: Ink | None
    highlight: bool
    films: Films
    condition: str
    variation: float
    least_tone: float
    never_open: bool = False

    def layers(self, white: Ink | None, colours: tuple[Ink, ...]) -> PrintLayers:
        """Layers of a set of inks."""
        return print_layers(
            self.cloth,
            white=white,
            colours=colours,
            barrier=None if white is None else self.barrier,
            highlight=white if self.highlight else None,
            films=self.films,
            condition=self.condition,
            variation=self.variation,
        )

    def prints(self, palette: Palette, layers: PrintLayers) -> FlatPrint:
        """How each colour of the palette is printed; only flat ones may ask for an ink by its own colour."""
        from laydown.physics.ciede2000 import ciede2000

        flat = palette.flat
        tones = np.zeros((len(palette.lab), len(layers.axes)))
        asked = np.zeros(len(palette.lab))
        if flat.any():
            flats = print_flats(palette.lab[flat], layers, least=self.least_tone)
            tones[flat], asked[flat] = flats.tones, flats.asked
        if not flat.all():
            tones[~flat] = solve_tones(palette.lab[~flat], layers, least=self.least_tone).tones
        printed = np.asarray(ciede2000(print_lab(tones, layers), palette.lab))
        asked[~flat] = printed[~flat]
        bare = ~tones.any(axis=1)
        if self.never_open and bare.any():
            covered = print_flats(palette.lab[bare], layers, least=self.least_tone, never_open=True)
            tones[bare], printed[bare], asked[bare] = covered.tones, covered.printed, covered.printed
        return FlatPrint(tones=tones, printed=printed, asked=asked)

    def error(self, palette: Palette, white: Ink | None, colours: tuple[Ink, ...]) -> float:
        """Mean of what exceeds ``UNSEEN``."""
        if white is None and not colours:
            return np.inf
        off = self.prints(palette, self.layers(white, colours)).asked
        return float(palette.weight @ np.maximum(0.0, off - UNSEEN))


def palette(cells: ColourCells, left_open: NDArray[np.bool_]) -> Palette:
    """Colours that stand for a picture.

    Parameters
    ----------
    cells : ColourCells
    left_open : ndarray of bool, shape (n,)
        Cells that print nothing.

    Returns
    -------
    Palette
        Every flat colour that prints, and the heaviest coarse cells of what is neither flat nor an edge between two
        flat colours.
    """
    parts: list[tuple[NDArray[Any], ...]] = []
    weight = cells.inside + TEXTURE * (cells.pixels - cells.inside)
    total = max(1.0, float(weight.sum()))
    if cells.flats.size:
        member = cells.flat >= 0
        number = cells.flats.size
        area = np.bincount(cells.flat[member], weights=weight[member], minlength=number)
        count = np.bincount(cells.flat[member], weights=cells.pixels[member].astype(float), minlength=number)
        prints = ~left_open[cells.flats]
        rows = cells.flats[prints]
        least = np.maximum(area[prints], LEAST_SHARE * total)
        parts.append((cells.lab[rows], cells.srgb[rows], least, count[prints], np.ones(rows.size, dtype=bool)))
    loose = (cells.flat < 0) & ~left_open
    loose[label_cells(cells).mixed] = False
    rows = np.flatnonzero(loose)
    if rows.size:
        parts.append(_coarse(cells, rows, weight))
    if not parts:
        none = np.zeros((0, 3))
        return Palette(lab=none, srgb=none, weight=np.zeros(0), pixels=np.zeros(0), flat=np.zeros(0, dtype=bool))
    lab, srgb, heavy, pixels, flat = (np.concatenate(column) for column in zip(*parts, strict=True))
    return Palette(lab=lab, srgb=srgb, weight=heavy / max(heavy.sum(), 1e-12), pixels=pixels, flat=flat)


def _coarse(cells: ColourCells, rows: NDArray[np.int64], weight: Values) -> tuple[NDArray[Any], ...]:
    """Means of coarse cells, the heaviest of them, which then weigh as much as all."""
    cell = cells.cell[rows]
    coarse = ((cell >> 15) << 6) | (((cell >> 9) & 7) << 3) | ((cell >> 3) & 7)
    _, group = np.unique(coarse, return_inverse=True)
    heavy = np.bincount(group, weights=weight[rows])
    pixels = np.bincount(group, weights=cells.pixels[rows].astype(float))

    def mean(values: Values) -> Values:
        sums = [np.bincount(group, weights=weight[rows] * values[rows, c]) for c in range(3)]
        return np.stack(sums, axis=-1) / heavy[:, None]

    keep = np.argsort(-heavy, kind="stable")[:MOST_SAMPLES]
    kept = heavy[keep] * (heavy.sum() / heavy[keep].sum())
    return mean(cells.lab)[keep], mean(cells.srgb)[keep], kept, pixels[keep], np.zeros(keep.size, dtype=bool)


def choose_inks(
    found: Palette, bench: Bench, white: Ink | None, shelf: tuple[Ink, ...], *, at_most: int | None, drawn: bool
) -> tuple[Ink | None, tuple[Ink, ...]]:
    """White (None where it is not needed) and colours, light to dark.

    Parameters
    ----------
    found : Palette
    bench : Bench
    white : Ink or None
        The white of the shelf.
    shelf : tuple of Ink
        Colours of the shelf.
    at_most : int or None
        White included.
    drawn : bool
        Whether the art is drawn: then each flat colour gets its nearest ink first.
    """
    order = by_lightness(shelf, bench)
    answers: list[tuple[float, Ink | None, tuple[Ink, ...]]] = []
    for base in dict.fromkeys((None, white)):
        room = (MOST_COLOURS if at_most is None else at_most) - (base is not None)
        if drawn and at_most is None:
            room = len(order)
        if room < 0:
            continue
        colours = _grow(found, bench, base, order, room, _nearest(found, bench, base, order) if drawn else ())
        answers.append((bench.error(found, base, colours), base, colours))
    best = min(answers, key=lambda answer: answer[0])
    # A white has to earn its screen as any ink has.
    plain = next((a for a in answers if a[1] is None and a[0] <= best[0] + WORTH), best)
    return plain[1], plain[2]


def by_lightness(inks: tuple[Ink, ...], bench: Bench) -> tuple[Ink, ...]:
    """Inks from light to dark, the usual printing order (common practice: less picks up under the next screen)."""
    from laydown.models.colour import lab_of
    from laydown.models.ink_optics import ink_spectra

    return tuple(sorted(inks, key=lambda ink: -lab_of(ink_spectra(ink).full_hiding, bench.condition)[0]))


def _nearest(found: Palette, bench: Bench, white: Ink | None, order: tuple[Ink, ...]) -> tuple[Ink, ...]:
    """Ink of each flat colour that one ink, or white, comes close enough to."""
    from laydown.physics.ciede2000 import ciede2000

    lab = found.lab[found.flat]
    off = np.full((len(order) + 1, len(lab)), np.inf)
    for k, ink in enumerate(order):
        layers = bench.layers(white, (ink,))
        options = np.minimum(
            ciede2000(print_lab(solid_options(lab, layers), layers), lab[:, None]),
            ciede2000(own_colours(layers), lab[:, None]),
        )
        off[k] = options[:, -1]
        # Bare cloth and white need no colour.
        off[-1] = np.minimum(off[-1], options[:, :-1].min(axis=1))
    nearest = np.argmin(off, axis=0)
    close = off.min(axis=0) <= CLOSE_ENOUGH
    return tuple(ink for k, ink in enumerate(order) if (close & (nearest == k)).any())


def _grow(
    found: Palette,
    bench: Bench,
    white: Ink | None,
    order: tuple[Ink, ...],
    room: int,
    start: tuple[Ink, ...],
) -> tuple[Ink, ...]:
    """Add the ink that helps most until none helps enough, then take out what is not missed or not allowed."""
    colours = start
    error = bench.error(found, white, colours)
    while len(colours) < room:
        tries = [tuple(i for i in order if i in colours or i is ink) for ink in order if ink not in colours]
        errors = [bench.error(found, white, each) for each in tries]
        if not errors or min(errors) > error - WORTH:
            break
        best = int(np.argmin(errors))
        colours, error = tries[best], errors[best]
    while colours:
        tries = [tuple(i for i in colours if i is not ink) for ink in colours]
        errors = [bench.error(found, white, each) for each in tries]
        best = int(np.argmin(errors))
        if len(colours) <= room and errors[best] > error + 0.5 * WORTH:
            break
        colours, error = tries[best], errors[best]
    return colours


__all__ = ["UNSEEN", "Bench", "Palette", "by_lightness", "choose_inks", "palette"]
