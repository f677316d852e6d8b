"""The narrowest line, or the narrowest gap, of an area."""

from __future__ import annotations

import math

import numpy as np

from laydown.artwork.choke_discs import Area, grown, inner_part, shrunk

RADII = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0)
"""Radii of the discs that are fitted in [pixels]; coarser ones at half the resolution each time."""

COARSER = (2.5, 3.0, 3.5, 4.0)

CORE = 0.6
"""Of what a disc does not reach, the part whose distance to the edge is above this share of the disc's radius is looked
at: a right corner has no such part, a line always has. Points sharper than about 45 degrees have one, and count."""

BORDER = 2
"""Open pixels that lie around the plate."""

LONG = 4.0
"""A detail counts when its length is this many times its width, all places of that width taken together: single specks
do not."""


def finest_width(area: Area, left_out: Area, *, outside: bool) -> float | None:
    """Width of the narrowest detail of an area.

    Parameters
    ----------
    area : Area
    left_out : Area
        Pixels in which no detail counts.
    outside : bool
        Whether what lies beyond the picture belongs to the area.

    Returns
    -------
    float or None
        In pixels, good to about one pixel, or a quarter where it is wider than eight; at most half the shorter side of
        the picture, which is what a wider one counts as, or None where ``outside``. None where nothing counts.

    Notes
    -----
    Single pixels are left out. The area is then opened by discs of growing radius. What an opening takes away is
    narrower than the disc; it counts when it is more than the rounding of a corner, and long enough in all.
    """
    from laydown.artwork.measure_kernel import without_lone

    scale = 1.0
    radii: tuple[float, ...] = RADII
    widest = min(area.shape) / 2
    area = Area(words=np.asarray(without_lone(area.words)), columns=area.columns)
    while area.size():
        for radius in radii:
            if 2 * radius * scale > widest:
                return None if outside else widest
            found = _narrower(area, left_out, radius, outside=outside)
            if found is not None:
                return found * scale
        area, left_out = _half(area), _half(left_out)
        scale *= 2
        radii = COARSER
    return None


def _narrower(area: Area, left_out: Area, radius: float, *, outside: bool) -> float | None:
    """Mean width of the details narrower than two radii; None where there are none that count."""
    opened = shrunk(area, radius, outside_open=not outside)
    if not opened.size():
        # Nothing wider is there: this is the width of the whole, if it is more than specks.
        rest = area.without(grown(left_out, 2 * radius + 1.0))
        return _width(rest, radius) if rest.size() >= LONG * radius else None
    # Discs that lie half beyond the picture are not followed: nothing counts where they would reach.
    rest_of = inner_part(area, BORDER + math.ceil(radius + 1.0)) if outside else area
    rest = rest_of.without(grown(opened, radius + 1.0))
    if rest.size() >= LONG * (2 * radius) ** 2 and left_out.size():
        # What borders on dots is no detail of its own.
        rest = rest.without(grown(left_out, 2 * radius + 1.0))
    if rest.size() < LONG * (2 * radius) ** 2:
        return None
    core = rest.within(shrunk(area, CORE * radius, outside_open=not outside))
    rest = rest.within(grown(core, radius + 1.0))
    if rest.size() < LONG * (2 * radius) ** 2:
        return None
    return _width(rest, radius)


def _width(detail: Area, radius: float) -> float:
    """Width of lines that a disc just does not fit into: twice their area by their edge, within one pixel."""
    from laydown.artwork.measure import edge_pixels

    edge = edge_pixels(detail, Area(words=np.zeros_like(detail.words), columns=detail.columns))
    return float(np.clip(2 * detail.size() / max(edge, 1e-9), max(1.0, 2 * radius - 1), 2 * radius))


def _half(area: Area) -> Area:
    from laydown.artwork.measure_kernel import halved

    return Area(words=np.asarray(halved(area.words, area.columns)), columns=(area.columns + 1) // 2)


__all__ = ["finest_width"]
