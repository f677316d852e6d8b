"""How large the art is printed, and whether its pixels carry that."""

from __future__ import annotations

import math
from dataclasses import dataclass

from laydown.artwork.reading.facts import ArtFacts
from laydown.artwork.reading.limits import Limits
from laydown.errors import InvalidInput
from laydown.units import from_inch, from_mm, to_inch, to_mm

SMALLEST = from_mm(5)
LARGEST = 2.0
_AGREE = 0.01
"""By how much asked width and height may differ from the art's shape."""
_UNCHOSEN = (72, 96)
"""Pixels an inch that programs write when nobody chose any."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSize:
    """Where the art will be on the garment.

    Attributes
    ----------
    width, height : float
        [m].
    columns, rows : int
        Pixels of the picture.
    notes : tuple of str
    """

    width: float
    height: float
    columns: int
    rows: int
    notes: tuple[str, ...] = ()


def _told(width: float, height: float) -> str:
    return f"{to_mm(width):.1f} x {to_mm(height):.1f} mm"


def _asked(facts: ArtFacts, width: float | None, height: float | None) -> tuple[float, float]:
    """Both lengths from what the order and the file say."""
    for name, value in (("width", width), ("height", height)):
        if value is not None and not (math.isfinite(value) and SMALLEST <= value <= LARGEST):
            raise InvalidInput(
                f"the {name} asked for is {to_mm(value):g} mm; allowed is {to_mm(SMALLEST):g} to {to_mm(LARGEST):g} mm"
            )
    if width is not None and height is not None:
        if abs(width / height / facts.aspect - 1) > _AGREE:
            raise InvalidInput(
                f"it was asked to be {_told(width, height)}, but its own shape at that width is "
                f"{_told(width, width / facts.aspect)}; give one of the two, or crop the art"
            )
        return width, height
    if width is not None:
        return width, width / facts.aspect
    if height is not None:
        return height * facts.aspect, height
    if facts.width is None or facts.height is None:
        raise InvalidInput("it does not say how large it is printed; give the width or the height of the print")
    return facts.width, facts.height


def _vector_pixels(width: float, height: float, limits: Limits) -> tuple[int, int, list[str]]:
    """Pixels for art that is drawn at the size asked for."""
    per_inch = limits.resolution_per_inch
    across, down = to_inch(width), to_inch(height)
    # Room for rounding a side up; a thin stripe would otherwise pass the limit by a row.
    most = min(math.sqrt(0.999 * limits.pixels / (across * down)), (limits.side - 1) / max(across, down))
    notes = []
    if per_inch > most:
        per_inch = most
        notes.append(
            f"the art is drawn at {per_inch:.0f} pixels an inch instead of {limits.resolution_per_inch:.0f}, "
            f"because of the limit of {limits.pixels / 1e6:g} million pixels"
        )
    return max(1, round(across * per_inch)), max(1, round(down * per_inch)), notes


def _picture_notes(facts: ArtFacts, width: float, limits: Limits) -> list[str]:
    """What to say about the stored pictures on a page that is drawn."""
    if facts.image_per_inch is None or facts.width is None:
        return []
    per_inch = facts.image_per_inch * facts.width / width
    if per_inch >= limits.coarse_per_inch:
        return []
    note = (
        f"a picture in it has {per_inch:.0f} pixels an inch at {to_mm(width):.0f} mm wide, so it will look coarse: "
        f"place a finer one, or print at most {to_mm(width * per_inch / limits.coarse_per_inch):.0f} mm wide"
    )
    return [note]


def _resolution_notes(facts: ArtFacts, width: float, *, from_file: bool, limits: Limits) -> list[str]:
    """What to say about stored pixels at that size."""
    columns = facts.columns or 1
    per_inch = columns / to_inch(width)
    notes = []
    if from_file and any(abs(per_inch - one) < 0.02 for one in _UNCHOSEN):
        notes.append(
            f"its {per_inch:.0f} pixels an inch are what programs write when nobody chose a size; check the width of "
            f"{to_mm(width):.0f} mm"
        )
    if per_inch < limits.coarse_per_inch:
        needed = math.ceil(to_inch(width) * limits.coarse_per_inch)
        fits = to_mm(from_inch(columns / limits.coarse_per_inch))
        notes.append(
            f"at {to_mm(width):.0f} mm wide it has {per_inch:.0f} pixels an inch, so edges and tones will look coarse: "
            f"supply it at least {needed} pixels wide, or print it at most {fits:.0f} mm wide"
        )
    return notes


def settle_size(facts: ArtFacts, *, width: float | None, height: float | None, limits: Limits) -> PrintSize:
    """Size on the garment and pixels of the picture.

    Parameters
    ----------
    facts : ArtFacts
    width, height : float or None
        What the order asks for [m]. One of them is enough; without any the file must say.
    limits : Limits

    Raises
    ------
    InvalidInput
        No size is known, both asked lengths do not fit the art's shape, or it is out of bounds.
    """
    from_file = width is None and height is None
    wide, high = _asked(facts, width, height)
    if not (SMALLEST <= wide <= LARGEST and SMALLEST <= high <= LARGEST):
        says = "it says that it is" if from_file else "it would be"
        raise InvalidInput(
            f"{says} {_told(wide, high)} large; allowed is {to_mm(SMALLEST):g} to {to_mm(LARGEST):g} mm a side, "
            f"so give another width or height"
        )
    if facts.columns is None or facts.rows is None:
        columns, rows, notes = _vector_pixels(wide, high, limits)
        notes += _picture_notes(facts, wide, limits)
    else:
        columns, rows = facts.columns, facts.rows
        notes = _resolution_notes(facts, wide, from_file=from_file, limits=limits)
    if not from_file and facts.width is not None and facts.height is not None:
        asked, own = _told(wide, high), _told(facts.width, facts.height)
        if asked != own:
            notes.insert(0, f"printed at {asked} as the order asks, not the file's {own}")
    return PrintSize(width=wide, height=high, columns=columns, rows=rows, notes=tuple(notes))


__all__ = ["LARGEST", "SMALLEST", "PrintSize", "settle_size"]
