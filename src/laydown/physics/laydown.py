"""How much ink a screen lays on the cloth, and how much of it stands on the cloth as a film."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.physics.range_check import require_range

FloatArray = NDArray[np.float64]

MODEL = "laydown"

THICKEST = 0.01
"""A centimetre [m]: more ink than that is no print but a slip of units."""

LONGEST_EDGE = 1e6
"""Edge per area of lines two micrometres wide [1/m]; no stencil holds finer ones."""

THINNEST = 1e-12
"""Below this fill [m] a cloth has no voids to speak of."""


def wet_laydown(theoretical_volume: ArrayLike, transfer: ArrayLike, stencil_share: ArrayLike = 0.0) -> FloatArray:
    """Wet ink that one hit leaves on the garment, cloth and film together.

    Parameters
    ----------
    theoretical_volume : array_like
        Volume of the mesh's open cells per area [m3/m2], >= 0.
    transfer : array_like
        Share of it that leaves the screen [1], 0 to 1.5. Published rules run from one third to all; uncertain until
        garments were weighed before and after printing.
    stencil_share : array_like, optional
        What the stencil's height adds [m], see `stencil_share`; 0 inside large areas.

    Returns
    -------
    ndarray
        [m3/m2], broadcast over the inputs: metres of wet film if none sank in. Hits add.

    Raises
    ------
    OutOfRange
        When a number is negative, not finite or absurdly large, or more than one and a half times the cells'
        volume would leave.
    """
    volume, share = np.asarray(theoretical_volume, dtype=np.float64), np.asarray(transfer, dtype=np.float64)
    stencil = np.asarray(stencil_share, dtype=np.float64)
    require_range(MODEL, "theoretical volume", volume, 0.0, THICKEST, "m")
    require_range(MODEL, "transfer", share, 0.0, 1.5, "")
    require_range(MODEL, "stencil share", stencil, 0.0, THICKEST, "m")
    return volume * share + stencil


def stencil_share(emulsion_over_mesh: ArrayLike, edge_length: ArrayLike, edge_band: ArrayLike) -> FloatArray:
    """Wet ink per printed area that the stencil's height adds near the edges of the print.

    Parameters
    ----------
    emulsion_over_mesh : array_like
        Stencil height above the mesh [m], >= 0.
    edge_length : array_like
        Length of edge per printed area [1/m], >= 0: 2/s for lines of width s, 0 for an endless solid.
    edge_band : array_like
        Width beside an edge in which the mesh still hangs on the stencil [m], > 0.

    Returns
    -------
    ndarray
        [m]; 0 in a solid, up to the full stencil height in the finest lines.

    Notes
    -----
    At the edge the mesh rests on the stencil and its full height is filled; the mesh sags to the cloth over the band,
    so the height that is filled falls linearly to 0. Averaged over lines of width s = 2/P with band b:
    ``h P b/2`` while the bands do not meet (P b <= 1), and ``h (1 - 1/(2 P b))`` when they do. Both give h/2 at
    P b = 1. The band is assumed (a few openings of the mesh); no published figure was found.
    """
    height = np.asarray(emulsion_over_mesh, dtype=np.float64)
    edge, band = np.asarray(edge_length, dtype=np.float64), np.asarray(edge_band, dtype=np.float64)
    require_range(MODEL, "emulsion over mesh", height, 0.0, THICKEST, "m")
    require_range(MODEL, "edge length per area", edge, 0.0, LONGEST_EDGE, "1/m")
    require_range(MODEL, "edge band", band, THINNEST, THICKEST, "m")
    bands = edge * band
    return height * np.where(bands <= 1, bands / 2, 1 - 0.5 / np.maximum(bands, 1))


def ink_in_cloth(
    hits: Sequence[ArrayLike], on_gelled: Sequence[bool], surface_fill: ArrayLike, void_reach: ArrayLike
) -> FloatArray:
    """Wet ink of each hit that sinks into the cloth's surface instead of standing on it.

    Parameters
    ----------
    hits : sequence of array_like
        Wet laydown of each hit in the order of printing [m], >= 0; each broadcasts with the rest.
    on_gelled : sequence of bool
        For each hit, whether the film below it has been gelled by a flash; False for the first on bare cloth.
    surface_fill : array_like
        Wet ink that the cloth's surface takes up at most [m], >= 0.
    void_reach : array_like
        Share of the voids still open that a hit on a gelled film can reach [1], 0 to 1.

    Returns
    -------
    ndarray, shape (number of hits, ...)
        [m]; never more than the hit laid down, in total never more than ``surface_fill``.

    Notes
    -----
    The thinner the ink, the more of it finds a void: a laydown L takes up ``f (1 - exp(-L/f))`` of a fill f, which is
    nearly all of a thin laydown and f of a thick one. Hits wet on wet go on along the same curve, so that two hits
    take up what one of both their ink would. A gelled film bridges the voids: at each hit on a gelled film only
    ``void_reach`` of what is open stays open, and the hit lays less into the cloth.
    The curve is assumed; at its thick end the film is the laydown minus the surface fill.
    """
    fill, reach = np.asarray(surface_fill, dtype=np.float64), np.asarray(void_reach, dtype=np.float64)
    laydowns = [np.asarray(hit, dtype=np.float64) for hit in hits]
    require_range(MODEL, "surface fill", fill, 0.0, THICKEST, "m")
    require_range(MODEL, "void reach", reach, 0.0, 1.0, "")
    for laydown in laydowns:
        require_range(MODEL, "wet laydown of a hit", laydown, 0.0, THICKEST, "m")
    shape = np.broadcast_shapes(fill.shape, reach.shape, *(laydown.shape for laydown in laydowns))
    taken = np.zeros((len(laydowns), *shape))
    reachable = np.broadcast_to(fill, shape).copy()
    scale = np.maximum(fill, THINNEST)
    for index, (laydown, gelled) in enumerate(zip(laydowns, on_gelled, strict=True)):
        if gelled:
            reachable = reachable * reach
        taken[index] = reachable * -np.expm1(-laydown / scale)
        reachable = reachable - taken[index]
    return taken


def wet_film(
    hits: Sequence[ArrayLike], on_gelled: Sequence[bool], surface_fill: ArrayLike, void_reach: ArrayLike
) -> FloatArray:
    """Wet film that each hit adds above the cloth: its laydown less what sinks in.

    Parameters
    ----------
    hits, on_gelled, surface_fill, void_reach
        As for `ink_in_cloth`.

    Returns
    -------
    ndarray, shape (number of hits, ...)
        [m], >= 0.
    """
    taken = ink_in_cloth(hits, on_gelled, surface_fill, void_reach)
    laydowns = np.stack([np.broadcast_to(np.asarray(hit, dtype=np.float64), taken.shape[1:]) for hit in hits])
    return np.maximum(laydowns - taken, 0.0)


def dry_film(wet_thickness: ArrayLike, volume_solids: ArrayLike) -> FloatArray:
    """Film that is left after cure.

    Parameters
    ----------
    wet_thickness : array_like
        [m], >= 0.
    volume_solids : array_like
        Share of the wet volume that stays [1], 0 to 1; nearly 1 for plastisol.

    Returns
    -------
    ndarray
        [m].
    """
    wet, solids = np.asarray(wet_thickness, dtype=np.float64), np.asarray(volume_solids, dtype=np.float64)
    require_range(MODEL, "wet film", wet, 0.0, THICKEST, "m")
    require_range(MODEL, "volume solids", solids, 0.0, 1.0, "")
    return wet * solids


def ink_mass(laydown: ArrayLike, density: ArrayLike) -> FloatArray:
    """Mass of wet ink per printed area [kg/m2].

    Parameters
    ----------
    laydown : array_like
        [m], >= 0.
    density : array_like
        Of the wet ink [kg/m3], > 0.
    """
    thickness, rho = np.asarray(laydown, dtype=np.float64), np.asarray(density, dtype=np.float64)
    require_range(MODEL, "wet laydown", thickness, 0.0, THICKEST, "m")
    require_range(MODEL, "ink density", rho, 1.0, 2e4, "kg/m³")
    return thickness * rho
