"""Art files: read, separated into plates, measured, and made part of an order."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from laydown.domain.art import Art, ArtRequest, PlateMeasure
from laydown.domain.colour import Colour
from laydown.domain.garment import Garment
from laydown.domain.ink import Ink, InkKind
from laydown.domain.order import InkUse, Print
from laydown.domain.shop import Shop
from laydown.domain.stack import Role
from laydown.errors import InvalidInput, LaydownError, NotFound
from laydown.models.cloth import Cloth, describe_cloth
from laydown.planning.candidates import WHITE_PLATE
from laydown.services.art_spots import SpotInks, spot_inks
from laydown.units import from_threads_per_inch, to_mm, to_threads_per_inch

if TYPE_CHECKING:
    from laydown.artwork.picture import Picture
    from laydown.artwork.plate import Plate
    from laydown.artwork.print_colour import Films

USUAL_RULING = from_threads_per_inch(45.0)
"""Ruling that toned art gets when the order states none: 45 lines per inch, usual on garments (common practice, no
source)."""

TONED = 0.01
"""From this share of dots on any plate art counts as toned. Assumed; edges of drawn art stay below."""

SHOWS = 0.002
"""White that is seen on less of the rectangle is no colour of its own. Assumed: slivers along edges."""

USUAL_BITS = 8
"""Bits a channel that are not worth a word."""

NO_INK = "no ink comes close"
"""How `laydown.artwork.find_inks` begins to say that a colour has no ink."""

MIXED_SPOTS = (
    "the file prints more than its spot plates, so all of it is separated anew; leave only spot colours in it to use "
    "its plates as they are"
)

_SRGB = re.compile(r"#[0-9a-fA-F]{6}\Z")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeparatedArt:
    """An art file on one garment, ready to be measured, put on film or shown.

    Attributes
    ----------
    picture : Picture
        With soft transparency laid over the cloth.
    plates : tuple of Plate
        In printing order.
    notes : tuple of str
        What prints each colour, and how far it is from it.
    warnings : tuple of str
        What somebody should look at before the run.
    """

    picture: Picture
    plates: tuple[Plate, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def read_art_print(
    path: Path, request: ArtRequest, *, name: str, place: str, garment: Garment, shop: Shop, where: str
) -> Print:
    """Print that an art file makes on a garment, with the inks and shares that were found in it.

    Parameters
    ----------
    path : Path
    request : ArtRequest
    name : str
        What the order calls the file.
    place : str
    garment : Garment
    shop : Shop
    where : str
        File and key of the order, for messages.

    Raises
    ------
    InvalidInput
        When the file cannot be read or used, or needs no ink on this garment.
    NotFound
        When a named ink is not on the shelf.
    """
    try:
        art = separate_art(path, request, garment=garment, shop=shop)
        return _print(art, request, name=name, place=place)
    except NotFound as error:
        raise NotFound(error.kind, error.name, error.known, where=error.where or where) from None
    except InvalidInput as error:
        raise InvalidInput(f"{error.where}: {error.what}" if error.where else error.what, where=where) from None


def inspect_file(path: Path, *, page: int = 1) -> tuple[str, ...]:
    """Lines that say what an art file is, without reading its picture.

    Raises
    ------
    InvalidInput
        When it cannot be read.
    """
    from laydown.artwork.reading import inspect_art

    facts = inspect_art(path, page=page)
    pixels = f", {facts.columns} × {facts.rows} pixels" if facts.columns and facts.rows else ""
    depth = f", {facts.bits} bits a channel" if facts.bits != USUAL_BITS else ""
    profile = f", profile {facts.profile}" if facts.profile else ""
    lines = [f"{path.name}: {facts.kind}, {facts.colour}{pixels}{depth}{profile}"]
    if facts.width and facts.height:
        lines.append(f"{to_mm(facts.width):.1f} × {to_mm(facts.height):.1f} mm as the file says")
    else:
        lines.append("the file states no size on paper")
    if facts.pages > 1:
        lines.append(f"{facts.pages} pages; this is page {page}")
    if facts.spots:
        lines.append(f"spot plates: {', '.join(facts.spots)}")
    return (*lines, *facts.notes)


def separate_art(path: Path, request: ArtRequest, *, garment: Garment, shop: Shop) -> SeparatedArt:
    """Read an art file, find its inks and separate it, for a white and colours of usual thickness on this cloth.

    Raises
    ------
    InvalidInput, NotFound
        As `read_art_print`.
    """
    from laydown.artwork.find_inks import find_inks
    from laydown.artwork.reading import read_picture
    from laydown.artwork.separate import SeparationOptions, separate

    condition = shop.preferences.condition
    cloth = describe_cloth(garment, condition=condition)
    picture = on_cloth(read_picture(path, width=request.width, height=request.height, page=request.page), cloth)
    named = named_inks(request, shop, condition)
    films = _films(shop, cloth, request)
    spots = spot_inks(picture, printing_inks(shop), named, condition=condition)
    if spots is not None:
        return _from_spots(picture, spots, shop, cloth, films)
    choice = find_inks(
        picture,
        printing_inks(shop),
        cloth=cloth.reflectance(),
        at_most=request.at_most,
        named=named,
        open_cloth=request.open_cloth,
        films=films,
        condition=condition,
        variation=cloth.roughness.value,
    )
    if choice.layers is None:
        raise InvalidInput(
            f"all of it equals the colour of {garment.name or 'the garment'}, so nothing would be printed; set "
            "open_cloth = false to print it all the same"
        )
    separation = separate(
        picture,
        choice.layers,
        options=SeparationOptions(open_cloth=request.open_cloth, choke=choke_of(shop)),
        cells=choice.cells,
    )
    far = tuple(note for note in choice.notes if note.startswith(NO_INK))
    also = (MIXED_SPOTS,) if picture.spots else ()
    warnings = tuple(dict.fromkeys((*picture.notes, *also, *far, *separation.notes)))
    return SeparatedArt(picture=picture, plates=separation.plates, notes=choice.notes, warnings=warnings)


def _from_spots(picture: Picture, spots: SpotInks, shop: Shop, cloth: Cloth, films: Films) -> SeparatedArt:
    """Use the plates that the file names, with white below them as this cloth needs it."""
    from laydown.artwork.print_colour import print_layers
    from laydown.artwork.separate_spots import separate_spots

    white = next((ink for ink in printing_inks(shop) if ink.kind is InkKind.WHITE), None)
    layers = print_layers(
        cloth.reflectance(),
        white=white,
        colours=tuple(dict.fromkeys(spots.colours)),
        films=films,
        condition=shop.preferences.condition,
        variation=cloth.roughness.value,
    )
    inks = spots.by_name(None if white is None else white.name)
    plates, said = separate_spots(picture, layers, inks, choke_width=choke_of(shop))
    warnings = tuple(dict.fromkeys((*picture.notes, *spots.warnings, *said)))
    return SeparatedArt(picture=picture, plates=plates, notes=spots.notes, warnings=warnings)


def on_cloth(picture: Picture, cloth: Cloth) -> Picture:
    """Picture with its soft transparency laid over the cloth's colour."""
    from laydown.artwork.flatten import flattened
    from laydown.data.colorimetric import tristimulus_weights
    from laydown.physics.colorimetry import reflectance_to_xyz, srgb_to_8bit, xyz_to_srgb

    srgb = srgb_to_8bit(xyz_to_srgb(reflectance_to_xyz(cloth.reflectance(), tristimulus_weights("D65/2"))))
    return flattened(picture, (int(srgb[0]), int(srgb[1]), int(srgb[2])))


def choke_of(shop: Shop) -> float:
    """How far white is pulled back under colours [m]: the registration of the least exact press of the shop."""
    return max((press.registration for press in shop.presses), default=0.0)


def named_inks(request: ArtRequest, shop: Shop, condition: str) -> tuple[Ink, ...]:
    """Shelf inks that an order names, white left out."""
    from laydown.planning.wanted import nearest_colour

    found: dict[str, Ink] = {}
    for name in request.inks:
        if name.strip().lower() == WHITE_PLATE:
            continue
        ink = nearest_colour(shop, Colour(srgb=name), condition=condition)[0] if _SRGB.match(name) else shop.ink(name)
        found[ink.name] = ink
    return tuple(found.values())


def printing_inks(shop: Shop) -> tuple[Ink, ...]:
    """Whites and colours with known optics; of the colours those whose chemistry some white has."""
    known = tuple(ink for ink in shop.inks if ink.optics is not None)
    families = {ink.family for ink in known if ink.kind is InkKind.WHITE}
    return tuple(
        ink
        for ink in known
        if ink.kind is InkKind.WHITE or (ink.kind is InkKind.COLOUR and (not families or ink.family in families))
    )


def _films(shop: Shop, cloth: Cloth, request: ArtRequest) -> Films:
    """Films of usual thickness on this cloth; where the rack lacks a screen for them, the assumed ones."""
    from laydown.artwork.print_colour import USUAL_FILMS, Films
    from laydown.planning.usual_films import usual_film

    white = next((ink for ink in printing_inks(shop) if ink.kind is InkKind.WHITE), None)
    colour = next((ink for ink in printing_inks(shop) if ink.kind is InkKind.COLOUR), None)
    if white is None or colour is None:
        return USUAL_FILMS
    try:
        return Films(
            # Two hits are what most prints on dark cloth end up with.
            white=2 * usual_film(shop, cloth, white, Role.UNDERBASE, ruling=request.ruling).film,
            colour=usual_film(shop, cloth, colour, Role.COLOUR, below=white, ruling=request.ruling).film,
            colour_on_cloth=usual_film(shop, cloth, colour, Role.COLOUR, ruling=request.ruling).film,
        )
    except LaydownError:
        return USUAL_FILMS


def _print(art: SeparatedArt, request: ArtRequest, *, name: str, place: str) -> Print:
    from laydown.artwork.measure import measure_plate
    from laydown.artwork.shares import plate_shares

    plates = art.plates
    if not plates:
        raise InvalidInput("the art needs no ink on this garment")
    shares = plate_shares(plates)
    measures: list[PlateMeasure] = []
    for plate in plates:
        found = measure_plate(plate)
        white = plate.role in {Role.UNDERBASE, Role.WHITE}
        measures.append(replace(found, ink=WHITE_PLATE) if white else found)
    uses = [
        InkUse(ink=m.ink, coverage=m.coverage)
        for plate, m in zip(plates, measures, strict=True)
        if plate.role is Role.COLOUR and m.coverage > 0
    ]
    named_white = next((w for w in request.inks if any(w == p.ink for p in plates if p.role is Role.UNDERBASE)), None)
    if shares.white_shows > SHOWS or not uses:
        uses.insert(0, InkUse(ink=named_white or WHITE_PLATE, coverage=max(shares.white_shows, 1e-6)))
    toned = max(m.toned for m in measures) > TONED
    details = [d for m in measures for d in (m.finest_line, m.finest_gap) if d is not None]
    warnings = list(art.warnings)
    if toned and request.ruling is None:
        warnings.append(
            f"the {place} has tones: dots of {to_threads_per_inch(USUAL_RULING):.0f} lines per inch are taken; lpi in "
            "the order sets another ruling"
        )
    return Print(
        place=place,
        width=art.picture.width,
        height=art.picture.height,
        inks=tuple(uses),
        artwork=name,
        finest_detail=request.finest_detail if request.finest_detail is not None else min(details, default=None),
        ruling=request.ruling if request.ruling is not None else (USUAL_RULING if toned else None),
        art=Art(
            request=request,
            plates=tuple(measures),
            inked=shares.inked,
            underbase=next((m.coverage for m in measures if m.ink == WHITE_PLATE), 0.0),
            on_cloth=tuple(
                next(p.ink for p in plates if p.name == plate) for plate, share in shares.on_white if share < 0.5
            ),
            notes=art.notes,
            warnings=tuple(warnings),
        ),
    )
