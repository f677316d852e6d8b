"""What the header of an art file says, checked before anybody trusts it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.reader import clean
from laydown.errors import InvalidInput
from laydown.units import from_inch

_NOTES = 40
_NOTE_LENGTH = 400
_NAME_LENGTH = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class ArtFacts:
    """An art file without its pixels.

    Attributes
    ----------
    kind : str
        PNG, TIFF, JPEG, SVG or PDF.
    columns, rows : int or None
        Pixels; None for art that is drawn from vectors.
    width, height : float or None
        Size on paper as the file states it [m]; None where it states none.
    aspect : float
        Width over height as printed.
    bits : int
        Bits a channel.
    colour : str
        In words: RGB, CMYK, grey, palette, Lab, black and white, vector.
    alpha : bool
        Whether parts may be transparent.
    profile : str
        What its colour profile calls itself; empty when it has none that can be used.
    spots : tuple of str
        Names of the spot colours that it defines.
    image_per_inch : float or None
        Pixels an inch, at the file's own size, of the coarsest picture that a PDF page shows; None without any.
    pages : int
    notes : tuple of str
    """

    kind: str
    columns: int | None
    rows: int | None
    width: float | None
    height: float | None
    aspect: float
    bits: int
    colour: str
    alpha: bool
    profile: str
    spots: tuple[str, ...] = ()
    image_per_inch: float | None = None
    pages: int = 1
    notes: tuple[str, ...] = ()


class Unusable(Exception):
    """An answer of the worker has not the form it should have."""


def whole(value: object, low: int, high: int) -> int:
    """Take a whole number between two bounds from an answer."""
    if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
        raise Unusable
    return value


def words(value: object, longest: int = _NAME_LENGTH) -> str:
    """Take printable text from an answer."""
    if not isinstance(value, str):
        raise Unusable
    return clean(value, longest)


def listed(value: object, most: int) -> list[Any]:
    """Take a list from an answer."""
    if not isinstance(value, list) or len(value) > most:
        raise Unusable
    return value


def notes_of(answer: Mapping[str, Any]) -> tuple[str, ...]:
    """Notes from an answer."""
    return tuple(words(note, _NOTE_LENGTH) for note in listed(answer.get("notes"), _NOTES))


def _pair(value: object) -> tuple[float, float]:
    pair = listed(value, 2)
    if len(pair) != 2 or not all(isinstance(one, int | float) and not isinstance(one, bool) for one in pair):
        raise Unusable
    across, down = float(pair[0]), float(pair[1])
    if not all(math.isfinite(one) and 0 < one < 1e9 for one in (across, down)):
        raise Unusable
    return across, down


def facts_from(answer: Mapping[str, Any], kind: str, limits: Limits) -> ArtFacts:
    """Facts from what the worker answered.

    Raises
    ------
    Unusable
        It is not of the agreed form.
    InvalidInput
        The shape of the art cannot be printed.
    """
    extent = _pair(answer.get("extent"))
    columns = rows = None
    if answer.get("columns") is not None:
        columns = whole(answer["columns"], 1, limits.side)
        rows = whole(answer.get("rows"), 1, limits.side)
        if columns * rows > limits.pixels:
            raise Unusable
    per_inch = None if answer.get("per_inch") is None else _pair(answer["per_inch"])
    across, down = per_inch or (1.0, 1.0)
    aspect = (extent[0] / across) / (extent[1] / down)
    if not 1e-3 <= aspect <= 1e3:
        raise InvalidInput(f"its width is {aspect:g} times its height; allowed is 0.001 to 1000")
    if not isinstance(answer.get("alpha"), bool):
        raise Unusable
    return ArtFacts(
        kind=kind,
        columns=columns,
        rows=rows,
        width=from_inch(extent[0] / across) if per_inch else None,
        height=from_inch(extent[1] / down) if per_inch else None,
        aspect=aspect,
        bits=whole(answer.get("bits"), 1, 64),
        colour=words(answer.get("colour")),
        alpha=answer["alpha"],
        profile=words(answer.get("profile")),
        spots=tuple(words(name) for name in listed(answer.get("spots"), limits.spots)),
        image_per_inch=None if answer.get("image_per_inch") is None else _pair([answer["image_per_inch"], 1])[0],
        pages=whole(answer.get("pages"), 1, 10_000_000),
        notes=notes_of(answer),
    )


__all__ = ["ArtFacts", "Unusable", "facts_from", "listed", "notes_of", "whole", "words"]
