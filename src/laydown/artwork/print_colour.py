"""What a print of overlapping, partly toned plates looks like on one cloth.

Each plate is either there or not at a point, so a point shows one of 2^plates *primaries*: a stack of films whose
colour the layered optics give (`print_colour_primaries`). A tone is the share of the area that a plate's dots cover.
How dots of two plates fall on one another is left to chance, because a press registers no better than about one pitch
of the dots (Demichel). The mean of the primaries, weighted by their shares of the area, is what the eye sees
(Neugebauer).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.domain.ink import Ink, InkKind
from laydown.domain.validity import within
from laydown.errors import InvalidInput
from laydown.models.ink_optics import ink_spectra

Values = NDArray[np.float64]

BANDS = 36
MANY = 4000
"""Points from which several threads are worth starting."""

MOST_PLATES = 18
"""Plates that the optics follow at once: sixteen inks, an underbase and a highlight white."""

WHITE_FILM = 55e-6
"""Cured white under a print [m]: two hits through a 43/80 mesh with a flash between, at the transfer and the surface
fill of the shipped tables. Assumed."""

COLOUR_FILM = 15e-6
"""Cured colour [m]: one hit through a 77/55 mesh at the shipped transfer. Assumed."""

HIGHLIGHT_FILM = 20e-6
"""Cured highlight white [m]: one hit through a 61/64 mesh at the shipped transfer. Assumed."""

BARRIER_FILM = 20e-6
"""Cured barrier above the cloth [m]: one hit through a 43/80 mesh. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkFilm:
    """One ink as a plate lays it down.

    Attributes
    ----------
    name : str
    absorption, scattering : ndarray, shape (36,)
        Kubelka-Munk K and S [1/m].
    film : float
        Cured thickness [m].
    on_cloth : float or None
        Thickness where nothing lies below it but cloth, which drinks some of it [m]; None: the same.
    full_hiding : ndarray, shape (36,), or None
        Measured reflectance of a film that hides completely; None: what K and S give.
    """

    name: str
    absorption: Values
    scattering: Values
    film: float
    on_cloth: float | None = None
    full_hiding: Values | None = None

    def __post_init__(self) -> None:
        for label, spectrum in (("absorption", self.absorption), ("scattering", self.scattering)):
            if spectrum.shape != (BANDS,) or not (np.isfinite(spectrum).all() and (spectrum >= 0).all()):
                raise InvalidInput(f"the {label} of {self.name} needs {BANDS} finite values that are not negative")
        for thickness in (self.film, self.film if self.on_cloth is None else self.on_cloth):
            within(f"film of {self.name}", thickness, 0.0, 2e-3, "m")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintLayers:
    """The films of one print on one cloth.

    Attributes
    ----------
    cloth : ndarray, shape (36,)
        Measured reflectance of the bare cloth.
    white : InkFilm or None
        Underbase; it is also what shows where the art is white.
    barrier : InkFilm or None
        Lies under all of the white.
    colours : tuple of InkFilm
        In printing order.
    highlight : InkFilm or None
        White printed last, over everything.
    condition : str
        Illuminant and observer.
    variation : float
        Relative standard deviation of the local film thickness; 0: even films.
    """

    cloth: Values
    white: InkFilm | None = None
    barrier: InkFilm | None = None
    colours: tuple[InkFilm, ...] = ()
    highlight: InkFilm | None = None
    condition: str = "D65/10"
    variation: float = 0.0

    def __post_init__(self) -> None:
        if self.cloth.shape != (BANDS,) or not ((self.cloth >= 0) & (self.cloth <= 1)).all():
            raise InvalidInput(f"the cloth's reflectance needs {BANDS} values from 0 to 1")
        if self.barrier is not None and self.white is None:
            raise InvalidInput("a barrier lies under white, but there is no white")
        if not self.axes:
            raise InvalidInput("a print needs at least one ink")
        if len(self.axes) > MOST_PLATES:
            raise InvalidInput(
                f"{len(self.axes)} plates are more than the {MOST_PLATES} that the optics follow at once"
            )
        names = [ink.name for ink in self.colours]
        if len(set(names)) < len(names):
            raise InvalidInput(f"an ink stands twice among the colours: {', '.join(names)}")
        within("variation of the film", self.variation, 0.0, 1.5, "")

    @property
    def axes(self) -> tuple[InkFilm, ...]:
        """Inks whose tones are free, in printing order: underbase, colours, highlight; a barrier follows the white."""
        ends = ((self.white,) if self.white else ()), ((self.highlight,) if self.highlight else ())
        return (*ends[0], *self.colours, *ends[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Films:
    """Cured film of each kind of plate [m]; the defaults are assumed.

    ``colour_on_cloth`` is that of a colour with nothing but cloth below it: such colours are printed through a mesh
    coarse enough that the same film is left above the cloth.
    """

    white: float = WHITE_FILM
    colour: float = COLOUR_FILM
    colour_on_cloth: float = COLOUR_FILM
    highlight: float = HIGHLIGHT_FILM
    barrier: float = BARRIER_FILM


USUAL_FILMS = Films()


def print_layers(
    cloth: Values,
    *,
    white: Ink | None = None,
    colours: tuple[Ink, ...] = (),
    barrier: Ink | None = None,
    highlight: Ink | None = None,
    films: Films = USUAL_FILMS,
    condition: str = "D65/10",
    variation: float = 0.0,
) -> PrintLayers:
    """Layers of shelf inks on a cloth.

    Parameters
    ----------
    cloth : ndarray, shape (36,)
        Measured reflectance.
    white, barrier, highlight : Ink or None
    colours : tuple of Ink
        In printing order.
    films : Films
    condition : str
    variation : float
        As `PrintLayers`; `laydown.models.cloth.Cloth.roughness` is what the forecast uses.

    Raises
    ------
    InvalidInput
        When an ink has no optics, or is of a kind that prints no colour.
    """
    for ink in colours:
        if ink.kind not in {InkKind.COLOUR, InkKind.WHITE}:
            raise InvalidInput(f"{ink.name!r} is a {ink.kind.value}, not an ink to print a colour with")
    return PrintLayers(
        cloth=np.asarray(cloth, dtype=np.float64),
        white=None if white is None else ink_film(white, films.white),
        barrier=None if barrier is None else ink_film(barrier, films.barrier),
        colours=tuple(ink_film(ink, films.colour, on_cloth=films.colour_on_cloth) for ink in colours),
        highlight=None if highlight is None else ink_film(highlight, films.highlight),
        condition=condition,
        variation=variation,
    )


def ink_film(ink: Ink, film: float, *, on_cloth: float | None = None) -> InkFilm:
    """Film of a shelf ink, with the spectra that the forecast uses."""
    spectra = ink_spectra(ink)
    return InkFilm(
        name=ink.name,
        absorption=spectra.absorption,
        scattering=spectra.scattering,
        film=film,
        on_cloth=on_cloth,
        full_hiding=spectra.full_hiding,
    )


def print_xyz(tones: ArrayLike, layers: PrintLayers) -> Values:
    """Tristimulus values of a print.

    Parameters
    ----------
    tones : array_like, shape (..., plate)
        Shares of the area that each plate covers, 0 to 1, in the order of ``layers.axes``.
    layers : PrintLayers

    Returns
    -------
    ndarray, shape (..., 3)
        XYZ under ``layers.condition``, Y of the perfect white 100.

    Raises
    ------
    InvalidInput
        Tones outside 0 to 1 or of another number of plates.

    Notes
    -----
    Exact for solids (it is then the layered film's own colour) and linear in each tone. Dots are taken wide against
    the film, so that no light crosses from dot to gap: no optical dot gain. Mechanical gain is the tone curve's part.
    """
    from laydown.artwork.print_colour_kernel import mix, mix_few
    from laydown.artwork.print_colour_primaries import primaries

    array = np.asarray(tones, dtype=np.float64)
    plates = len(layers.axes)
    if array.shape[-1:] != (plates,):
        raise InvalidInput(f"tones of shape {array.shape} do not fit {plates} plates", where="tones")
    if not ((array >= 0) & (array <= 1)).all():
        raise InvalidInput("a tone lies between 0 and 1", where="tones")
    flat = np.ascontiguousarray(array.reshape(-1, plates))
    table = primaries(layers)
    xyz: Values = mix(flat, table) if len(flat) >= MANY else mix_few(flat, table)
    return xyz.reshape(*array.shape[:-1], 3)


def print_lab(tones: ArrayLike, layers: PrintLayers) -> Values:
    """CIELAB of a print under ``layers.condition``; arguments as `print_xyz`."""
    from laydown.data.colorimetric import white_point
    from laydown.physics.colorimetry import xyz_to_lab

    return xyz_to_lab(print_xyz(tones, layers), white_point(layers.condition))


def print_linear_srgb(tones: ArrayLike, layers: PrintLayers) -> Values:
    """Linear sRGB of a print, for showing it: computed under D65 and the 2° observer, which sRGB is defined by.

    Returns
    -------
    ndarray, shape (..., 3)
        1 is the perfect white; colours outside sRGB keep values outside 0 to 1.
    """
    from dataclasses import replace

    from laydown.physics.colorimetry import SRGB_TO_XYZ

    here = layers if layers.condition == "D65/2" else replace(layers, condition="D65/2")
    linear: Values = print_xyz(tones, here) @ np.linalg.inv(SRGB_TO_XYZ).T
    return linear


__all__ = [
    "USUAL_FILMS",
    "Films",
    "InkFilm",
    "PrintLayers",
    "ink_film",
    "print_lab",
    "print_layers",
    "print_linear_srgb",
    "print_xyz",
]
