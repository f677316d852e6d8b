"""What a stack lays down: wet ink of each pass, film above the cloth, and how uneven it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.costs import Practice
from laydown.domain.forecast import PassLaydown
from laydown.domain.ink import Ink
from laydown.domain.screen import Mesh
from laydown.domain.stack import Pass, Role, Stack
from laydown.errors import InvalidInput, OutOfRange
from laydown.models.cloth import Cloth
from laydown.models.sampling import SampleSet, percentiles

Values = NDArray[np.float64]

TRANSFER = "transfer"
"""Share of the mesh's theoretical volume that a hit leaves: rank 1, as weighing garments narrows it."""

TRADE_PRESS = "trade press"
"""Wet height by the trade press's formulas: rank 2, without a spread of its own."""

LAYDOWN_MODELS = (TRANSFER, TRADE_PRESS)
"""Rival models of the wet laydown, best first; chosen by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """Film of a stack in all samples; rows follow the stack's inked passes.

    Attributes
    ----------
    passes : tuple of Pass
    wet, dry : ndarray, shape (pass, size)
        Wet laydown of all hits of a pass, and cured film it adds above the cloth [m].
    variation : ndarray, shape (size,)
        Relative standard deviation of the local film thickness.
    model : str
        Which of `LAYDOWN_MODELS` laid it down.
    """

    passes: tuple[Pass, ...]
    wet: Values
    dry: Values
    variation: Values
    model: str = TRANSFER

    def total(self) -> Values:
        """Film thickness where all passes lie on each other, shape (size,) [m]."""
        return np.asarray(self.dry.sum(axis=0))

    def before(self, pass_: Pass) -> Values:
        """Film when the given pass has just been printed, shape (size,) [m]."""
        index = next(i for i, p in enumerate(self.passes) if p is pass_)
        return np.asarray(self.dry[: index + 1].sum(axis=0))


def build_film(
    stack: Stack, cloth: Cloth, samples: SampleSet, *, practice: Practice, model: str = LAYDOWN_MODELS[0]
) -> Film:
    """Lay down a stack on a cloth.

    Parameters
    ----------
    stack : Stack
    cloth : Cloth
    samples : SampleSet
    practice : Practice
        What the shop has weighed; without a weighing the transfer is only known from published rules.
    model : str
        One of `LAYDOWN_MODELS`. A mesh that no formula of the trade press covers is laid down by its transfer; the
        forecast says so (`laydown.models.registry.out_of_range`).

    Raises
    ------
    InvalidInput
        When there is no such model.

    Notes
    -----
    By transfer, a second hit on wet ink leaves less than the first, as the screen lifts some off again (assumed
    share). The trade press multiplies its height by the number of prints, whatever lies below.
    Inside large areas, so without the stencil's share at edges: artwork measures edges, an order file does not.
    A mixture's solids are those of its ink.
    """
    from laydown.physics.film_variation import smoothed_variation
    from laydown.physics.laydown import dry_film, wet_film, wet_laydown

    if model not in LAYDOWN_MODELS:
        raise InvalidInput(f"there is no laydown model {model!r}; known are {', '.join(map(repr, LAYDOWN_MODELS))}")
    table = read_table("laydown")
    transfer = np.minimum(samples.of(practice.transfer or table["stroke"]["transfer"], "transfer"), 1.5)
    on_wet = np.clip(samples.of(table["stroke on wet ink"]["transfer"], "wet hit"), 0.0, 1.0)
    fill = samples.of(cloth.surface_fill, "surface fill")
    hits: list[Values] = []
    gelled: list[bool] = []
    owner: list[int] = []
    flashed_below = False
    for index, pass_ in enumerate(stack.inked):
        mesh = pass_.screen.mesh
        volume = samples.of(mesh.theoretical_volume, "mesh volume") if mesh is not None else np.zeros(samples.size)
        height = trade_press_height(mesh) if mesh is not None and model == TRADE_PRESS else None
        for hit in range(pass_.hits):
            laid = wet_laydown(volume, transfer * (on_wet if hit else 1.0))
            hits.append(np.asarray(laid if height is None else np.full(samples.size, height)))
            gelled.append(flashed_below)
            owner.append(index)
        flashed_below = pass_.flash_after
    above = wet_film(hits, gelled, fill, table["stroke on a gelled film"]["void_reach"].value)
    wet = np.zeros((len(stack.inked), samples.size))
    dry = np.zeros_like(wet)
    for row, laid, film in zip(owner, hits, above, strict=True):
        ink = stack.inked[row].ink
        solids = solids_of(ink, samples) if ink is not None else 1.0
        wet[row] += laid
        dry[row] += dry_film(film, solids)
    smoothing = sum(p.role is Role.SMOOTHING for p in stack.passes)
    variation = smoothed_variation(
        np.minimum(samples.of(cloth.roughness, "roughness"), 1.2),
        table["smoothing pass"]["smoothing"].value,
        passes=smoothing,
    )
    return Film(passes=stack.inked, wet=wet, dry=dry, variation=np.asarray(variation), model=model)


def describe_passes(film: Film) -> tuple[PassLaydown, ...]:
    """Spread of each pass, with the trade-press formula's answer beside it."""
    return tuple(
        PassLaydown(
            label=pass_.label,
            wet=percentiles(film.wet[row]),
            film=percentiles(film.dry[row]),
            rival_wet=_rival(pass_),
        )
        for row, pass_ in enumerate(film.passes)
    )


def finest_detail(mesh: Mesh) -> float:
    """Finest line that a mesh holds [m]: three threads, or two threads and an opening (from memory)."""
    return _finest_line(mesh.opening.value, mesh.thread)


@lru_cache(maxsize=256)
def _finest_line(opening: float, thread: float) -> float:
    """Kept, because every candidate of a plan asks it of every mesh of the rack."""
    from laydown.physics.mesh import finest_line

    return float(finest_line(opening, thread))


def solids_of(ink: Ink, samples: SampleSet) -> Values:
    """Share of an ink's wet volume that stays in the film, shape (size,); never more than all of it."""
    return np.minimum(samples.of(ink.solids, "solids"), 1.0)


def mixed_hand_factor(pass_: Pass) -> float:
    """Hand factor of a pass: reducer and stretch additive soften in proportion to their share (assumed)."""
    ink: Ink | None = pass_.ink
    if ink is None:
        return 0.0
    if pass_.additive is None:
        return ink.hand_factor
    share = pass_.additive_share
    return (1 - share) * ink.hand_factor + share * pass_.additive.hand_factor


def trade_press_height(mesh: Mesh) -> float | None:
    """Wet height of one hit by the trade press's formulas [m]; None for a mesh that none of them covers."""
    from laydown.physics.trade_wet_height import trade_wet_height

    try:
        return trade_wet_height(mesh.count, mesh.thread, mesh.fabric_thickness.value, mesh.weave)
    except OutOfRange:
        return None


def _rival(pass_: Pass) -> float | None:
    mesh = pass_.screen.mesh
    one = trade_press_height(mesh) if mesh is not None else None
    return None if one is None else one * pass_.hits
