"""The plates of a plan: its art separated for the chosen stack, checked against the meshes, put on film."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from laydown.domain.art import PlateMeasure
from laydown.domain.ink import InkKind
from laydown.domain.plan import Plan, PrintPlan
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.errors import InvalidInput
from laydown.models.cloth import Cloth, describe_cloth
from laydown.services.art import choke_of, named_inks, on_cloth, printing_inks
from laydown.services.art_spots import spot_inks
from laydown.units import from_per_inch

if TYPE_CHECKING:
    from laydown.artwork.films.write import Film, FilmKind, WrittenFilm
    from laydown.artwork.halftone import Screening
    from laydown.artwork.mesh_checks import MeshCheck
    from laydown.artwork.picture import Picture
    from laydown.artwork.plate import Plate
    from laydown.artwork.print_colour import PrintLayers

FILM_RESOLUTION = from_per_inch(720.0)
"""Of a film printer where nobody says otherwise [pixels per metre]. Assumed: a usual ink-jet film device."""

WHITES = frozenset({Role.UNDERBASE, Role.WHITE})


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmWishes:
    """How films are to be made; None: as usual.

    Attributes
    ----------
    resolution : float
        Of the film printer [pixels per metre].
    angle : float or None
        Of the rows of dots [rad].
    shape : str
        ``round``, ``elliptical``, ``square``, ``line`` or ``scattered``.
    undo_gain : bool
        Whether the dot gain is undone: by the shop's own strip, or by a mesh maker's example.
    mirrored : bool
    """

    resolution: float = FILM_RESOLUTION
    angle: float | None = None
    shape: str = "elliptical"
    undo_gain: bool = True
    mirrored: bool = False


USUAL_WISHES = FilmWishes()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintPlates:
    """Plates of one print of a plan.

    Attributes
    ----------
    place : str
    picture : Picture
    layers : PrintLayers
        Films of the chosen stack.
    plates : tuple of Plate
        In printing order.
    passes : tuple of Pass
        For each plate the pass that prints it first.
    notes : tuple of str
    """

    place: str
    picture: Picture
    layers: PrintLayers
    plates: tuple[Plate, ...]
    passes: tuple[Pass, ...]
    ruling: float | None = None
    notes: tuple[str, ...] = field(default=())


def plates_of(shop: Shop, plan: Plan, folder: Path | str, *, print_index: int = 0) -> PrintPlates:
    """Separate the art of a print for the stack that the plan chose.

    Parameters
    ----------
    shop : Shop
    plan : Plan
    folder : Path
        That the order's art lies in.
    print_index : int
        Which print, counted from 0.

    Raises
    ------
    InvalidInput
        When the print has no measured art or no stack, or the file cannot be read.
    """
    from laydown.artwork.reading import read_picture
    from laydown.artwork.separate import SeparationOptions, separate
    from laydown.artwork.separate_spots import separate_spots
    from laydown.documents.beside import file_beside

    print_, planned = plan.order.prints[print_index], plan.prints[print_index]
    if print_.art is None:
        raise InvalidInput(
            "this print states its inked shares itself; name an art file and leave the coverage out to get plates",
            where=print_.place,
        )
    if planned.stack is None:
        raise InvalidInput("no stack passes for this print, so there is nothing to make plates for", where=print_.place)
    request = print_.art.request
    path = file_beside(print_.artwork, Path(folder), where=print_.place)
    cloth = describe_cloth(plan.order.garment, condition=shop.preferences.condition)
    picture = on_cloth(read_picture(path, width=request.width, height=request.height, page=request.page), cloth)
    layers = stack_layers(cloth, planned, condition=shop.preferences.condition)
    choke = _choke(shop, planned, picture)
    named = named_inks(request, shop, shop.preferences.condition)
    spots = spot_inks(picture, printing_inks(shop), named, condition=shop.preferences.condition)
    if spots is not None:
        there = {ink.name for ink in layers.axes}
        inks = {s: ink for s, ink in spots.by_name(layers.white.name if layers.white else None).items() if ink in there}
        plates, said = separate_spots(picture, layers, inks, choke_width=choke)
    else:
        options = SeparationOptions(open_cloth=request.open_cloth, choke=choke)
        separation = separate(picture, layers, options=options)
        plates, said = separation.plates, separation.notes
    return PrintPlates(
        place=print_.place,
        picture=picture,
        layers=layers,
        plates=plates,
        passes=tuple(_pass_of(planned.stack, plate) for plate in plates),
        ruling=print_.ruling,
        notes=tuple(dict.fromkeys((*picture.notes, *said))),
    )


def _choke(shop: Shop, planned: PrintPlan, picture: Picture) -> float:
    """How far white is pulled back [m], by the registration of the chosen press and what its mesh can hold."""
    from laydown.artwork.choke import choke_width
    from laydown.models.film import finest_detail

    white = next((p for p in planned.stack.inked if p.role in WHITES), None) if planned.stack is not None else None
    mesh = white.screen.mesh if white is not None else None
    if planned.settings is None or mesh is None:
        return choke_of(shop)
    registration = shop.press(planned.settings.press).registration
    return choke_width(registration, pixel=picture.pixel, finest=finest_detail(mesh))


def stack_layers(cloth: Cloth, planned: PrintPlan, *, condition: str) -> PrintLayers:
    """Films of a planned stack as the separation takes them: medians of the forecast, all whites as one film."""
    from laydown.artwork.print_colour import PrintLayers, ink_film

    stack, forecast = planned.stack, planned.forecast
    if stack is None or forecast is None:
        raise InvalidInput("this print has no stack", where=planned.place)
    films = [laid.film.p50 for laid in forecast.passes]
    rows = list(zip(stack.inked, films, strict=True))
    whites = [(p.ink, film) for p, film in rows if p.role in WHITES and p.ink is not None]
    barriers = [(p.ink, film) for p, film in rows if p.role is Role.BARRIER and p.ink is not None]
    highlights = [(p.ink, film) for p, film in rows if p.role is Role.HIGHLIGHT and p.ink is not None]
    white = next((ink for ink, _ in whites if ink.kind is InkKind.WHITE), None)
    return PrintLayers(
        cloth=cloth.reflectance(),
        white=None if white is None else ink_film(white, sum(film for _, film in whites)),
        barrier=ink_film(barriers[0][0], sum(film for _, film in barriers)) if barriers and white is not None else None,
        colours=tuple(ink_film(p.ink, film) for p, film in rows if p.role is Role.COLOUR and p.ink is not None),
        highlight=ink_film(highlights[0][0], sum(film for _, film in highlights)) if highlights else None,
        condition=condition,
        variation=forecast.film_variation,
    )


def measures_of(made: PrintPlates) -> tuple[PlateMeasure, ...]:
    """Measure every plate, in printing order."""
    from laydown.artwork.measure import measure_plate

    return tuple(measure_plate(plate) for plate in made.plates)


def checks_of(
    made: PrintPlates, wishes: FilmWishes = USUAL_WISHES, *, measures: tuple[PlateMeasure, ...] | None = None
) -> tuple[tuple[str, MeshCheck], ...]:
    """What each plate asks of its mesh, and whether the mesh holds it: name of the plate and the answer.

    Parameters
    ----------
    made : PrintPlates
    wishes : FilmWishes
    measures : tuple of PlateMeasure, optional
        From `measures_of`, when they are there already.
    """
    from laydown.artwork.mesh_checks import mesh_checks

    found: list[tuple[str, MeshCheck]] = []
    for plate, pass_, measured in zip(made.plates, made.passes, measures or measures_of(made), strict=True):
        mesh = pass_.screen.mesh
        if mesh is None:
            continue
        screening = screening_of(made, wishes) if measured.toned > 0 and made.ruling is not None else None
        found += [
            (plate.name, check)
            for check in mesh_checks(mesh, screening, finest_line=measured.finest_line, finest_gap=measured.finest_gap)
        ]
    return tuple(found)


def screening_of(made: PrintPlates, wishes: FilmWishes) -> Screening:
    """Dots that the tones of a print are broken into."""
    from laydown.artwork.halftone import DotShape, Halftone, Stochastic
    from laydown.artwork.mesh_checks import dot_limits
    from laydown.services.art import USUAL_RULING

    ruling = made.ruling or USUAL_RULING
    if wishes.shape == "scattered":
        meshes = [p.screen.mesh for p in made.passes if p.screen.mesh is not None]
        usual = Halftone(ruling=ruling)
        return Stochastic(dot=max((dot_limits(mesh, usual).dot for mesh in meshes), default=0.2e-3))
    shapes = tuple(str(shape) for shape in DotShape)
    if wishes.shape not in shapes:
        raise InvalidInput(
            f"there is no dot {wishes.shape!r}; allowed are {', '.join(shapes)} and scattered", where="dot"
        )
    kept = {} if wishes.angle is None else {"angle": wishes.angle}
    return Halftone(ruling=ruling, shape=DotShape(wishes.shape), **kept)


def films_of(shop: Shop, made: PrintPlates, wishes: FilmWishes = USUAL_WISHES) -> tuple[Film, ...]:
    """Every plate with its dots, its mesh and the gain that is undone."""
    from laydown.artwork.films.write import Film
    from laydown.artwork.mesh_checks import dot_limits
    from laydown.artwork.tone_curve import STRAIGHT, starting_curve, strip_curve

    strip = shop.practice.tone_strip
    curve = (
        (strip_curve(shop.practice.tone_source or "the shop's own strip", strip) if strip else starting_curve())
        if wishes.undo_gain
        else STRAIGHT
    )
    screening = screening_of(made, wishes)
    films: list[Film] = []
    for plate, pass_ in zip(made.plates, made.passes, strict=True):
        mesh = pass_.screen.mesh
        limits = None if mesh is None else dot_limits(mesh, screening)
        held = limits is not None and limits.least < limits.most
        films.append(
            Film(
                plate=plate,
                screening=screening,
                mesh=mesh.name if mesh is not None else "",
                curve=curve,
                least=limits.least if limits is not None and held else 0.0,
                most=limits.most if limits is not None and held else 1.0,
            )
        )
    return tuple(films)


def write_plates(
    shop: Shop,
    plan: Plan,
    made: PrintPlates,
    folder: Path | str,
    *,
    wishes: FilmWishes = USUAL_WISHES,
    kinds: Sequence[FilmKind] | None = None,
    finished: Callable[[int], None] | None = None,
) -> tuple[WrittenFilm, ...]:
    """Write the films of a print into a folder: all of them or none.

    Parameters
    ----------
    shop, plan, made
        See `plates_of`.
    folder : Path
    wishes : FilmWishes
    kinds : sequence of FilmKind, optional
        TIFF and PDF when absent.
    finished : callable, optional
        Told how many films are done.
    """
    from laydown.artwork.films.write import FilmKind, write_films

    order = plan.order.identifier or plan.order.name
    name = order if len(plan.prints) == 1 else f"{order} {made.place}"
    return write_films(
        films_of(shop, made, wishes),
        Path(folder),
        order=name,
        resolution=wishes.resolution,
        mirrored=wishes.mirrored,
        kinds=tuple(FilmKind) if kinds is None else kinds,
        finished=finished,
    )


def _pass_of(stack: Stack, plate: Plate) -> Pass:
    """First pass of a stack that prints a plate."""
    for pass_ in stack.inked:
        same = pass_.role is plate.role or (pass_.role in WHITES and plate.role in WHITES)
        if same and (pass_.role is not Role.COLOUR or (pass_.ink is not None and pass_.ink.name == plate.ink)):
            return pass_
    raise InvalidInput(f"no pass of the stack prints the plate {plate.name!r}")
