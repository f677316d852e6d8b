"""Which inks of the shelf print a picture, and how far each of its colours is from them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.artwork.find_inks_search import UNSEEN, Bench, Palette, by_lightness, choose_inks, palette
from laydown.artwork.picture import Picture
from laydown.artwork.print_colour import USUAL_FILMS, Films, PrintLayers
from laydown.artwork.separate import DRAWN, OPEN_LIMIT
from laydown.artwork.separate_cells import ColourCells, colour_cells
from laydown.artwork.separate_solids import CLOSE_ENOUGH
from laydown.artwork.separate_solve import LEAST_TONE
from laydown.domain.art import MOST_INKS
from laydown.domain.ink import Ink, InkKind
from laydown.domain.validity import within
from laydown.errors import InvalidInput

Values = NDArray[np.float64]

MOST_SHOWN = 24
"""Colours of a picture that are told one by one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourMatch:
    """One colour of the art and what prints it.

    Attributes
    ----------
    srgb : str
        ``#rrggbb``.
    lab : tuple of float
        Under the working condition.
    share : float
        Of the picture's rectangle.
    inks : tuple of (str, float)
        Names and tones, in printing order; empty where the cloth is left open.
    difference : float
        CIEDE2000 between the finished print and the art.
    asked : float
        The same, or that of the ink's own colour to the art where it is smaller (flat colours only).
    flat : bool
        Whether the art has it as a flat colour.
    """

    srgb: str
    lab: tuple[float, float, float]
    share: float
    inks: tuple[tuple[str, float], ...]
    difference: float
    asked: float
    flat: bool

    @property
    def open(self) -> bool:
        """Whether the cloth shows through."""
        return not self.inks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkChoice:
    """Inks for a picture.

    Attributes
    ----------
    white : Ink or None
        None where nothing needs it.
    colours : tuple of Ink
        In printing order, light to dark.
    highlight : bool
        Whether a highlight white was allowed.
    drawn : bool
        Whether the art is drawn in flat colours; otherwise it has gradations, and is printed in dots.
    matches : tuple of ColourMatch
        The art's colours, the largest first: all flat ones of drawn art, otherwise the heaviest of a coarse sample.
    difference : float
        Mean CIEDE2000 between print and art over the inked pixels.
    unseen : float
        Share of those pixels where it is at most 2.
    notes : tuple of str
    layers : PrintLayers or None
        What `laydown.artwork.separate.separate` takes; None where the whole picture is left open.
    cells : ColourCells
        The picture's colours, counted once.
    """

    white: Ink | None
    colours: tuple[Ink, ...]
    highlight: bool
    drawn: bool
    matches: tuple[ColourMatch, ...]
    difference: float
    unseen: float
    notes: tuple[str, ...]
    layers: PrintLayers | None
    cells: ColourCells

    @property
    def inks(self) -> tuple[Ink, ...]:
        """All inks, white first."""
        return (*((self.white,) if self.white is not None else ()), *self.colours)


def find_inks(
    picture: Picture,
    shelf: Sequence[Ink],
    *,
    cloth: Values,
    at_most: int | None = None,
    named: Sequence[Ink] = (),
    open_cloth: bool = True,
    open_limit: float = OPEN_LIMIT,
    highlight: bool = False,
    barrier: Ink | None = None,
    films: Films = USUAL_FILMS,
    condition: str = "D65/10",
    variation: float = 0.0,
) -> InkChoice:
    """Find the inks that print a picture on a cloth.

    Parameters
    ----------
    picture : Picture
    shelf : sequence of Ink
        Whites and colours are considered, the rest is passed over. The first white is the one below colours.
    cloth : ndarray, shape (36,)
        Measured reflectance of the bare cloth.
    at_most : int, optional
        Inks at most, a white that is needed included; None: as many as the art needs.
    named : sequence of Ink
        Print with these and no others; a white of the shelf is still laid below them where they need it.
    open_cloth : bool
        Leave colours open that equal the cloth's.
    open_limit : float
        How equal [CIEDE2000].
    highlight : bool
        Allow a second white on top.
    barrier : Ink, optional
        Lies under all white.
    films : Films
    condition : str
    variation : float
        As `laydown.artwork.print_colour.print_layers`.

    Returns
    -------
    InkChoice

    Raises
    ------
    InvalidInput
        When no ink could be used, or the named ones are more than asked for.

    Notes
    -----
    What makes a choice good is the mean of what exceeds 2 CIEDE2000, weighted by area: pixels in even areas count
    whole, those of textures and edges half, and each flat colour as at least 1 % of the picture, so that a small
    emblem is not given up for a large ground. See `laydown.artwork.find_inks_search`.
    """
    from laydown.models.colour import lab_of
    from laydown.physics.ciede2000 import ciede2000

    if at_most is not None:
        within("number of inks", at_most, 1, MOST_INKS, "inks")
        if len({ink.name for ink in named}) > at_most:
            raise InvalidInput(f"{len(named)} inks are named, but at most {at_most} are asked for")
    white, usable = _usable(shelf, named)
    cells = colour_cells(picture, condition=condition)
    bench = Bench(
        cloth=np.asarray(cloth, dtype=np.float64),
        barrier=barrier,
        highlight=highlight,
        films=films,
        condition=condition,
        variation=variation,
        least_tone=LEAST_TONE,
        never_open=not open_cloth,
    )
    left_open = np.zeros(len(cells.cell), dtype=bool)
    if open_cloth and left_open.size:
        left_open = np.asarray(ciede2000(cells.lab, lab_of(bench.cloth, condition)) <= open_limit)
    found = palette(cells, left_open)
    drawn = cells.drawn >= DRAWN
    colours: tuple[Ink, ...] = ()
    layers = None
    if found.lab.size:
        if named:
            colours = by_lightness(tuple(ink for ink in usable if ink.kind is InkKind.COLOUR), bench)
        else:
            white, colours = choose_inks(found, bench, white, usable, at_most=at_most, drawn=drawn)
        layers = bench.layers(white, colours)
    else:
        white = None
    matches = (*_printed(found, bench, layers, cells), *_open(cells, left_open))
    return InkChoice(
        white=white,
        colours=colours,
        highlight=highlight,
        drawn=drawn,
        matches=tuple(sorted(matches, key=lambda match: -match.share)[:MOST_SHOWN]),
        difference=_mean(matches),
        unseen=_unseen(matches),
        notes=_notes(matches, drawn=drawn),
        layers=layers,
        cells=cells,
    )


def _usable(shelf: Sequence[Ink], named: Sequence[Ink]) -> tuple[Ink | None, tuple[Ink, ...]]:
    """White and colours that may be printed with; of the shelf's colours those that some white goes with."""
    whites = [ink for ink in (*named, *shelf) if ink.kind is InkKind.WHITE]
    for ink in named:
        if ink.kind not in {InkKind.WHITE, InkKind.COLOUR}:
            raise InvalidInput(f"{ink.name!r} is a {ink.kind.value}, not an ink to print a colour with")
    families = {ink.family for ink in whites}
    colours = named or [ink for ink in shelf if not families or ink.family in families]
    usable = tuple({ink.name: ink for ink in colours if ink.kind is InkKind.COLOUR}.values())
    if not whites and not usable:
        raise InvalidInput("the shelf has neither a white nor a colour, so nothing can be printed")
    return (whites[0] if whites else None), usable


def _printed(found: Palette, bench: Bench, layers: PrintLayers | None, cells: ColourCells) -> tuple[ColourMatch, ...]:
    """What prints each colour of the palette."""
    if layers is None:
        return ()
    prints = bench.prints(found, layers)
    names = [ink.name for ink in layers.axes]
    if layers.highlight is not None:
        names[-1] = f"{names[-1]} as highlight"
    return tuple(
        ColourMatch(
            srgb=_hex(found.srgb[i]),
            lab=_triple(found.lab[i]),
            share=float(found.pixels[i] / cells.picture_pixels),
            inks=tuple((name, round(float(t), 3)) for name, t in zip(names, prints.tones[i], strict=True) if t > 0),
            difference=float(prints.printed[i]),
            asked=float(prints.asked[i]),
            flat=bool(found.flat[i]),
        )
        for i in range(len(found.lab))
    )


def _open(cells: ColourCells, left_open: NDArray[np.bool_]) -> tuple[ColourMatch, ...]:
    """The colour of the art that is left open, as one: its mean."""
    pixels = cells.pixels[left_open]
    if not pixels.sum():
        return ()
    lab = np.average(cells.lab[left_open], axis=0, weights=pixels)
    return (
        ColourMatch(
            srgb=_hex(np.average(cells.srgb[left_open], axis=0, weights=pixels)),
            lab=_triple(lab),
            share=float(pixels.sum() / cells.picture_pixels),
            inks=(),
            difference=0.0,
            asked=0.0,
            flat=bool((cells.flat[left_open] >= 0).any()),
        ),
    )


def _notes(matches: Sequence[ColourMatch], *, drawn: bool) -> tuple[str, ...]:
    notes: list[str] = []
    flats = [match for match in matches if match.flat and match.inks]
    for match in sorted(flats, key=lambda match: -match.share):
        words = " with ".join(_ink_words(name, tone) for name, tone in reversed(match.inks))
        if match.asked > CLOSE_ENOUGH:
            notes.append(
                f"no ink comes close to {match.srgb}: it prints as {words}, ΔE00 {match.difference:.1f} away; mix the "
                "colour and check it before the run"
            )
        else:
            cloth = f", {match.difference:.1f} as its film turns out here" if match.asked < match.difference else ""
            notes.append(f"{match.srgb} prints as {words} (ΔE00 {match.asked:.1f}{cloth})")
    graded = [match for match in matches if not match.flat and match.inks]
    if graded and not drawn:
        far = sum(m.share for m in graded if m.difference > CLOSE_ENOUGH) / max(sum(m.share for m in graded), 1e-12)
        notes.append(
            f"the art has gradations, so it prints in dots: on average ΔE00 {_mean(graded):.1f} from the art"
            + (f", and more than {CLOSE_ENOUGH:g} in {far:.0%} of them" if far >= 0.005 else "")
        )
    return tuple(notes)


def _ink_words(name: str, tone: float) -> str:
    return name if tone >= 1 else f"{tone:.0%} {name}"


def _mean(matches: Sequence[ColourMatch]) -> float:
    total = sum(match.share for match in matches if match.inks)
    return sum(match.share * match.difference for match in matches if match.inks) / total if total else 0.0


def _unseen(matches: Sequence[ColourMatch]) -> float:
    total = sum(match.share for match in matches if match.inks)
    return sum(m.share for m in matches if m.inks and m.difference <= UNSEEN) / total if total else 1.0


def _hex(srgb: Values) -> str:
    return "#" + "".join(f"{int(level):02x}" for level in np.rint(srgb))


def _triple(lab: Values) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])


__all__ = ["ColourMatch", "InkChoice", "find_inks"]
