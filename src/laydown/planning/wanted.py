"""From the colours that an order names to inks that stand on the shelf."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from laydown.domain.colour import Colour
from laydown.domain.ink import Ink, InkKind
from laydown.domain.order import Print
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput, NotFound
from laydown.models.colour import lab_of, reflectance
from laydown.models.ink_optics import ink_spectra
from laydown.planning.candidates import WHITE_PLATE, Wanted

CLOSE_ENOUGH = 6.0
"""CIEDE2000 up to which a shelf ink stands in for an asked colour; beyond it the ink has to be mixed. Assumed."""

_SRGB = re.compile(r"#[0-9a-fA-F]{6}\Z")


def resolve_inks(shop: Shop, print_: Print, *, condition: str) -> tuple[Wanted, tuple[str, ...]]:
    """Find the shelf inks of a print.

    Parameters
    ----------
    shop : Shop
    print_ : Print
        Its inks are ``white``, names of the shelf, or sRGB colours.
    condition : str
        Illuminant and observer in which colours are compared.

    Returns
    -------
    Wanted, tuple of str
        The inks, and a note for every colour that a shelf ink stands in for.

    Raises
    ------
    NotFound
        When a named ink is not on the shelf.
    InvalidInput
        When a named ink cannot be printed on its own, or two whites are named for one print.
    """
    white_coverage = 0.0
    whites: tuple[Ink, ...] = tuple(i for i in shop.inks_of(InkKind.WHITE))
    colours: list[tuple[Ink, float]] = []
    notes: list[str] = []
    named = ""
    for use in print_.inks:
        if use.ink.strip().lower() == "white":
            white_coverage += use.coverage
            continue
        if _SRGB.match(use.ink):
            ink, difference = nearest_colour(shop, Colour(srgb=use.ink), condition=condition)
            name = "white" if ink.kind is InkKind.WHITE else ink.name
            notes.append(_stand_in(print_.place, use.ink, name, difference))
        else:
            ink = shop.ink(use.ink)
        if ink.kind is InkKind.WHITE:
            white_coverage += use.coverage
            if _SRGB.match(use.ink):
                continue
            if named:
                raise InvalidInput(
                    f"{named!r} and {ink.name!r} are both whites; one print takes one white",
                    where=f"print {print_.place!r}",
                )
            whites, named = (ink,), ink.name
        elif ink.kind is InkKind.COLOUR:
            colours.append((ink, use.coverage))
        else:
            raise InvalidInput(
                f"{ink.name!r} is a {ink.kind.value}, not an ink to print a colour with",
                where=f"print {print_.place!r}",
            )
    merged: dict[str, tuple[Ink, float]] = {}
    for ink, share in colours:
        known = merged.get(ink.name)
        merged[ink.name] = (ink, share + (known[1] if known else 0.0))
    wanted = Wanted(white_coverage=min(1.0, white_coverage), whites=whites, colours=tuple(merged.values()))
    return _with_art(wanted, print_), (*notes, *(print_.art.warnings if print_.art is not None else ()))


def _with_art(wanted: Wanted, print_: Print) -> Wanted:
    """Add what was measured on the art: where white is needed, what lies on the cloth, how long the edges are."""
    art = print_.art
    if art is None:
        return wanted
    edges: list[tuple[str, float]] = []
    for plate in art.plates:
        name = WHITE_PLATE if plate.ink.strip().lower() == "white" else plate.ink
        if plate.area > 0:
            edges.append((name, plate.edge_length / plate.area))
    return replace(wanted, underbase=art.underbase, on_cloth=frozenset(art.on_cloth), edges=tuple(edges))


def nearest_colour(shop: Shop, colour: Colour, *, condition: str) -> tuple[Ink, float]:
    """Shelf ink (white or colour) whose full-hiding colour is nearest, and the CIEDE2000 difference."""
    from laydown.physics.ciede2000 import ciede2000

    whites = shop.inks_of(InkKind.WHITE)
    families = {white.family for white in whites}
    # A colour that no white of the shelf goes with could not be printed on dark cloth.
    inks = (*(i for i in shop.inks_of(InkKind.COLOUR) if not families or i.family in families), *whites)
    if not inks:
        raise NotFound("ink", str(colour), ())
    target = lab_of(reflectance(colour), condition)
    labs = np.array([lab_of(ink_spectra(ink).full_hiding, condition) for ink in inks])
    differences = ciede2000(labs, np.broadcast_to(target, labs.shape))
    best = int(np.argmin(differences))
    return inks[best], float(differences[best])


def _stand_in(place: str, asked: str, name: str, difference: float) -> str:
    if difference <= CLOSE_ENOUGH:
        return f"{place}: {name} stands in for {asked} (ΔE00 {difference:.1f})"
    return (
        f"{place}: no shelf ink is close to {asked}; planned with {name}, ΔE00 {difference:.1f} away: "
        "mix the colour and check it before the run"
    )
