"""How far white is pulled back from the edges of a print, so that it does not peek out below a colour.

A press lays one screen on another within its registration tolerance. White below a colour is therefore pulled back from
edges against open cloth by that much: the *choke*. Details too narrow for it get less, in proportion to their width, so
that a fine line keeps white below at least half of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from laydown.artwork.choke_discs import LARGEST_RADIUS, Area, area_from, grown, shrunk
from laydown.artwork.plate import ToneSource
from laydown.domain.validity import within
from laydown.errors import InvalidInput
from laydown.units import to_mm

BAND = 256
"""Rows that are looked at at once."""

TRACE = 6
"""Tone (of 255) below which a pixel counts as open cloth; dots that small are not printed."""

HALF = 128
HALF_PIXEL = 0.4999
"""An edge runs between two pixels, half a pixel from the centre of either."""

WIDTHS = (2.0, 1.5, 1.0)
"""Half-widths of a detail, in chokes, at which its choke changes: from twice the choke it is whole, below half of the
half-width; then by halves down to about two pixels."""

CORE = 0.4
"""A place that a disc does not reach is a narrow detail, not the tip of a corner, when points near it are further than
this share of the disc's radius from the edge: corners sharper than about 75 degrees count as narrow."""

FEW = 3.0
"""Pixels up to which the steps go down; what a disc as small as that does not reach is no corner of a drawn shape."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Choke:
    """Where white below colours stays.

    Attributes
    ----------
    kept : Area
    taken : float
        Share of the printed area from which it is pulled back.
    thin : float
        Share of the printed area that lies in details too narrow for the whole choke.
    width : float
        The choke [m].
    """

    kept: Area
    taken: float
    thin: float
    width: float

    def notes(self) -> tuple[str, ...]:
        """What a printer should know of it."""
        if self.thin < 0.002:
            return ()
        words = (
            f"{self.thin:.1%} of the print lies in details narrower than {to_mm(4 * self.width):.1f} mm; there the "
            f"white is choked by less than {to_mm(self.width):.2f} mm, a quarter of their width on each side, so that "
            "they keep white below them: register these screens with care"
        )
        return (words,)


def choke_width(registration: float, *, pixel: float, finest: float = 0.0) -> float:
    """Choke for a press and a picture [m].

    Parameters
    ----------
    registration : float
        Tolerance of the press between two screens [m], `laydown.domain.press.Press.registration`; 0: no choke.
    pixel : float
        Edge of a pixel of the picture [m]: a choke below it cannot be drawn.
    finest : float
        Finest line that the white's mesh holds [m], where it is known: its stencil edge wanders by up to a quarter of
        that, an opening or so (assumed), which is added.

    Returns
    -------
    float
    """
    within("registration", registration, 0.0, 0.01, "m")
    within("pixel", pixel, 1e-7, 0.1, "m")
    within("finest line", finest, 0.0, 0.01, "m")
    return max(registration + 0.25 * finest, pixel) if registration > 0 else 0.0


def choke_pixels(width: float, pixel: float) -> float:
    """Choke in pixels, not rounded: the edge is moved by exact distance.

    Raises
    ------
    InvalidInput
        When it is more than the tool follows.
    """
    pixels = width / pixel
    if 2 * pixels + 1 > LARGEST_RADIUS:
        raise InvalidInput(
            f"a choke of {to_mm(width):.2f} mm is {pixels:.0f} pixels; allowed are {LARGEST_RADIUS / 2:.0f}"
        )
    return pixels


def printed_area(inked: ToneSource) -> Area:
    """Pixels that carry ink, from the largest tone of any plate.

    A pixel next to open cloth that is covered by less than half is the smoothed edge of a shape and counts as open, so
    the edge lies where half the pixel is covered.
    """
    import numpy as np

    rows, columns = inked.shape
    width = (columns + 63) // 64
    any_ink, half = (np.empty((rows, width), dtype=np.uint64) for _ in range(2))
    for start in range(0, rows, BAND):
        stop = min(rows, start + BAND)
        tones = inked.band(start, stop)
        any_ink[start:stop] = area_from(tones, TRACE).words
        half[start:stop] = area_from(tones, HALF).words
    some, most = Area(words=any_ink, columns=columns), Area(words=half, columns=columns)
    edge = some.without(most).within(grown(some.rest(), 1.5))
    return some.without(edge)


def choke(printed: Area, *, width: float, pixel: float) -> Choke:
    """Where white below colours may stay.

    Parameters
    ----------
    printed : Area
        Pixels that carry any ink; beyond the picture is open cloth.
    width : float
        Choke [m].
    pixel : float
        [m].

    Notes
    -----
    A pixel stays when the edge against open cloth is further from its centre than the choke. Where the largest disc
    that fits into the print around a place has a radius below twice the choke, the choke there is half of the radius,
    in steps. Distances are exact (Euclidean).
    """
    radius = choke_pixels(width, pixel)
    total = max(1, printed.size())
    if radius <= 0:
        return Choke(kept=printed, taken=0.0, thin=0.0, width=width)
    steps = [factor * radius for factor in WIDTHS]
    while steps[-1] > FEW:
        steps.append(steps[-1] / 2)
    wider = _wide(printed, steps[0])
    kept = wider.within(shrunk(printed, radius + HALF_PIXEL))
    thin = 0
    for bigger, step in zip(steps, (*steps[1:], 0.0), strict=True):
        rest = printed.without(wider)
        if not rest.size():
            break
        # Of a right corner's tip nothing is so far from the edge; of a line its middle is.
        middle = rest.within(shrunk(printed, CORE * bigger + (HALF_PIXEL if bigger > FEW else 0.0)))
        narrow = rest.within(grown(middle, bigger + 1.0))
        thin = thin or narrow.size()
        wide = _wide(printed, step)
        kept = kept.joined(narrow.within(wide).within(shrunk(printed, 0.5 * step + HALF_PIXEL if step else 0.0)))
        wider = wider.joined(wide)
    return Choke(kept=kept, taken=printed.without(kept).size() / total, thin=thin / total, width=width)


def _wide(printed: Area, radius: float) -> Area:
    """Places around which a disc of that radius fits into the print; half a pixel more, so that no edge is jagged."""
    if radius <= 0:
        return printed
    return grown(shrunk(printed, radius + HALF_PIXEL), radius + 1.0).within(printed)


__all__ = ["Choke", "choke", "choke_pixels", "choke_width", "printed_area"]
