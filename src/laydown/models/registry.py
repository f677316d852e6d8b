"""The models that a forecast rests on, rivals ranked, each with the ranges that its sources cover.

``MODELS`` is the whole list. `out_of_range` is the one place where a forecast is checked against it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.models.asked import (
    Asked,
    column,
    darkest_band,
    elongations,
    film_by_drawdown,
    hottest,
    layers,
    mesh_counts,
)
from laydown.models.film import TRADE_PRESS, TRANSFER
from laydown.units import to_celsius, to_gsm, to_percent

Values = NDArray[np.float64]

SELDOM = 0.05
"""A model counts as asked outside its range when more than this share of the samples lies there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What a model covers of one quantity.

    Attributes
    ----------
    quantity, unit : str
    spans : tuple of (float, float)
        Closed intervals in that unit; several where the source leaves gaps.
    grounds : str
        Why the range ends there.
    of : callable
        Values that were asked, in that unit: shape (size,), or (things, size) where several things are asked about.
    """

    quantity: str
    unit: str
    spans: tuple[tuple[float, float], ...]
    grounds: str
    of: Callable[[Asked], Values]


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """A model, and where it may be used.

    Attributes
    ----------
    name : str
    answers : str
        The question it answers; models with the same question are rivals.
    rank : int
        1 is taken unless another is asked for by name.
    page : str
        Of the manual.
    sources : tuple of str
    ranges : tuple of Range
        Empty for a rule that says yes or no.
    used : callable
        Whether the model had a part in what was asked.
    """

    name: str
    answers: str
    rank: int
    page: str
    sources: tuple[str, ...]
    ranges: tuple[Range, ...]
    used: Callable[[Asked], bool]


def _always(asked: Asked) -> bool:  # noqa: ARG001 - one signature for all
    return True


MODELS = (
    Model(
        name=TRANSFER,
        answers="laydown",
        rank=1,
        page="docs/physics/laydown.md",
        sources=("wire-cloth maker's formula page", "Clarke, trade articles: one third of mesh and stencil"),
        ranges=(
            Range(
                quantity="mesh count",
                unit="threads/cm",
                spans=((24.0, 190.0),),
                grounds="meshes of the shipped table",
                of=mesh_counts,
            ),
        ),
        used=lambda asked: asked.film.model == TRANSFER,
    ),
    Model(
        name=TRADE_PRESS,
        answers="laydown",
        rank=2,
        page="docs/physics/laydown.md",
        sources=("How Much Ink Do You Need?, Screen Printing magazine, April 2000",),
        ranges=(
            Range(
                quantity="count of a plain mesh",
                unit="threads/cm",
                spans=((0.0, 42.0), (43.0, 139.0), (140.0, 200.0)),
                grounds="bands of its formulas; between them the transfer was taken",
                of=lambda asked: mesh_counts(asked, "plain"),
            ),
            Range(
                quantity="count of a twill mesh",
                unit="threads/cm",
                spans=((1.0, 200.0),),
                grounds="no textile mesh is finer; beyond it the transfer was taken",
                of=lambda asked: mesh_counts(asked, "twill"),
            ),
        ),
        used=lambda asked: asked.film.model == TRADE_PRESS,
    ),
    Model(
        name="layered Kubelka-Munk",
        answers="colour and opacity",
        rank=1,
        page="docs/physics/optics.md",
        sources=("Kubelka 1948 and 1954", "Saunderson's correction by Centore, after Allen 1980"),
        ranges=(
            Range(
                quantity="film of a pass as a multiple of its ink's drawdown",
                unit="",
                spans=((0.1, 5.0),),
                grounds="an ink's K and S hold near the thickness at which they were taken; thinner ink lies between "
                "the fibres (assumed)",
                of=film_by_drawdown,
            ),
            Range(
                quantity="unevenness of the film",
                unit="",
                spans=((0.0, 0.5),),
                grounds="averaged over three thicknesses, which is within 0.5 in L* up to there",
                of=lambda asked: asked.film.variation,
            ),
        ),
        used=_always,
    ),
    Model(
        name="heat",
        answers="temperatures under flash and dryer",
        rank=1,
        page="docs/physics/heat.md",
        sources=("energy balance; substances of the shipped table",),
        ranges=(
            Range(
                quantity="cloth mass",
                unit="g/m²",
                spans=((90.0, 380.0),),
                grounds="cloths of the shipped table",
                of=lambda asked: column([to_gsm(asked.cloth.areal_mass.value)]),
            ),
            Range(
                quantity="film surface at its hottest",
                unit="°C",
                spans=((0.0, 240.0),),
                grounds="PVC breaks down from there on (handbook), and no heat of reaction is counted",
                of=lambda asked: hottest(asked, "surface"),
            ),
            Range(
                quantity="bare cloth at its hottest",
                unit="°C",
                spans=((0.0, 240.0),),
                grounds="fibres melt or scorch, and no heat of that is counted",
                of=lambda asked: to_celsius(asked.bare.cloth_hottest.max(axis=1)),
            ),
        ),
        used=_always,
    ),
    Model(
        name="cure",
        answers="gel and cure",
        rank=1,
        page="docs/physics/cure.md",
        sources=("each ink's own sheet",),
        ranges=(),
        used=_always,
    ),
    Model(
        name="bleed",
        answers="dye migration",
        rank=1,
        page="docs/physics/bleed.md",
        sources=("starting values that reproduce what the trade sees (assumed)",),
        ranges=(
            Range(
                quantity="film-cloth interface at its hottest",
                unit="°C",
                spans=((0.0, 180.0),),
                grounds="one law from the store to the dryer; true sublimation is claimed beyond it (trade press)",
                of=lambda asked: hottest(asked, "interface"),
            ),
            Range(
                quantity="film of a pass",
                unit="µm",
                spans=((0.0, 96.0),),
                grounds="thicker, the solver's cells are coarser than where its error was measured",
                of=layers,
            ),
            Range(
                quantity="reflectance of the cloth in its darkest band",
                unit="%",
                spans=((1.0, 100.0),),
                grounds="darker, it is gloss and fibre ends that are seen: how strong the dye is there cannot be told",
                of=darkest_band,
            ),
        ),
        used=lambda asked: asked.bleeds,
    ),
    Model(
        name="stretch",
        answers="stretch",
        rank=1,
        page="docs/physics/stretch-and-hand.md",
        sources=("each ink's own sheet", "structure of the cloth (assumed)"),
        ranges=(
            Range(
                quantity="elongation of an ink",
                unit="%",
                spans=((0.0, 2000.0),),
                grounds="bounds of the mixing rule",
                of=elongations,
            ),
        ),
        used=_always,
    ),
    Model(
        name="hand",
        answers="hand",
        rank=1,
        page="docs/physics/stretch-and-hand.md",
        sources=("judgements of touch (assumed)",),
        ranges=(),
        used=_always,
    ),
    Model(
        name="adhesion",
        answers="adhesion",
        rank=1,
        page="docs/models.md",
        sources=("what each ink's sheet says it bonds to",),
        ranges=(),
        used=_always,
    ),
    Model(
        name="ghosting",
        answers="ghosting",
        rank=1,
        page="docs/models.md",
        sources=("trade press: low-bleed agents attack some reactive dyes",),
        ranges=(),
        used=_always,
    ),
)
"""Every model, best of its rivals first."""


def rivals(answers: str) -> tuple[Model, ...]:
    """Models that answer one question, best first."""
    return tuple(sorted((m for m in MODELS if m.answers == answers), key=lambda m: m.rank))


def out_of_range(asked: Asked) -> tuple[str, ...]:
    """Say, in one sentence each, where a model was asked outside the range that its source covers.

    Parameters
    ----------
    asked : Asked

    Returns
    -------
    tuple of str
        Empty when all is covered. Up to `SELDOM` of the samples may lie outside unsaid.
    """
    said = (_sentence(model, range_, asked) for model in MODELS if model.used(asked) for range_ in model.ranges)
    return tuple(s for s in said if s)


def _sentence(model: Model, range_: Range, asked: Asked) -> str:
    values = np.atleast_2d(range_.of(asked))
    inside = np.zeros(values.shape, dtype=bool)
    for low, high in range_.spans:
        inside |= (values >= low - 1e-9) & (values <= high + 1e-9)
    # In how many samples anything lies outside.
    share = float((~inside).any(axis=0).mean()) if values.size else 0.0
    if share <= SELDOM:
        return ""
    worst = values[~inside]
    span = f"{worst.min():.3g}" if np.ptp(worst) < 1e-9 else f"{worst.min():.3g} to {worst.max():.3g}"
    often = "" if share >= 1 else f" in {to_percent(share):.0f} of 100 cases"
    covered = ", ".join(f"{low:g} to {high:g}" for low, high in range_.spans)
    unit = f" {range_.unit}" if range_.unit else ""
    return (
        f"{model.name}: {range_.quantity} is {span}{unit}{often}; the model covers {covered}{unit} ({range_.grounds})"
    )
