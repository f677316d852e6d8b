"""Where each number of a plan comes from: the model behind it, its page in the manual, and the inputs it used."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.plan import Provenance
from laydown.models.film import LAYDOWN_MODELS


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Origin of all numbers under a path of the plan document.

    Attributes
    ----------
    path : str
        Keys joined by dots; ``[]`` after a list.
    inputs : tuple of str
        Beginnings of the input keys (see `laydown.planning.inputs`) that the model uses.
    """

    path: str
    model: str
    page: str
    note: str
    inputs: tuple[str, ...] = ()


_HEAT = ("dryer", "flash", "cloth", "film", "climate", "mesh", "laydown", "ink")

ORIGINS = (
    Origin(path="order", model="as the order file says", page="docs/files.md", note="entered, not computed"),
    Origin(
        path="order.prints[].art",
        model="measured on the plates that the art was separated into",
        page="docs/artwork/separation.md",
        note="for a white and colours of usual thickness on this cloth; the films follow the chosen stack",
        inputs=("ink", "optics", "cloth"),
    ),
    Origin(
        path="prints[].choice",
        model="enumeration of the shelves, ranked by expected cost",
        page="docs/planning.md",
        note="hits, shares and screens come from the candidate; coverage from the order",
    ),
    Origin(
        path="prints[].confidence",
        model="share of samples that meet every requirement",
        page="docs/planning.md",
        note="no finer than one sample in all that were drawn (see meta)",
        inputs=("bleed", "pile", *_HEAT, "optics"),
    ),
    Origin(
        path="prints[].settings",
        model="search of dryer and flash settings; published press rules",
        page="docs/planning.md",
        note="squeegee, off-contact, tension and stencil by the published rules named beside them",
        inputs=_HEAT,
    ),
    Origin(
        path="prints[].forecast.laydown",
        model="laydown",
        page="docs/physics/laydown.md",
        note="large areas; at fine edges the stencil adds ink",
        inputs=("laydown", "mesh", "cloth.surface_fill"),
    ),
    Origin(
        path="prints[].forecast.film",
        model="laydown",
        page="docs/physics/laydown.md",
        note="large areas; at fine edges the stencil adds ink",
        inputs=("laydown", "mesh", "cloth.surface_fill", "cloth.roughness"),
    ),
    Origin(
        path="prints[].forecast.opacity",
        model="layered Kubelka-Munk",
        page="docs/physics/optics.md",
        note="diffuse light, no fluorescence",
        inputs=("laydown", "mesh", "cloth.surface_fill", "cloth.roughness", "ink", "optics"),
    ),
    Origin(
        path="prints[].forecast.flashes",
        model="heat",
        page="docs/physics/heat.md",
        note="one-dimensional; the middle of the flashed field",
        inputs=_HEAT,
    ),
    Origin(
        path="prints[].forecast.heat",
        model="heat",
        page="docs/physics/heat.md",
        note="one-dimensional; total error of the film temperature within 0.5 K, inputs apart",
        inputs=_HEAT,
    ),
    Origin(
        path="prints[].forecast.cure",
        model="cure",
        page="docs/physics/cure.md",
        note="coolest point of the film; cloth limit also for the bare cloth beside the print",
        inputs=_HEAT,
    ),
    Origin(
        path="prints[].forecast.bleed",
        model="bleed",
        page="docs/physics/bleed.md",
        note="no published diffusion of disperse dye in cured plastisol: a screening estimate without a test",
        inputs=("bleed", "pile", *_HEAT, "optics"),
    ),
    Origin(
        path="prints[].forecast.stretch",
        model="stretch",
        page="docs/physics/stretch-and-hand.md",
        note="elongation of the stiffest film against the cloth's working stretch",
        inputs=("ink", "cloth.stretch"),
    ),
    Origin(
        path="prints[].forecast.hand",
        model="hand",
        page="docs/physics/stretch-and-hand.md",
        note="classes are judgements of touch",
        inputs=("laydown", "mesh", "ink", "cloth.surface_fill"),
    ),
    Origin(
        path="prints[].forecast",
        model="forecast",
        page="docs/planning.md",
        note="risks are shares of the samples; drivers are squared rank correlations",
        inputs=("bleed", "pile", *_HEAT, "optics"),
    ),
    Origin(
        path="prints[].production",
        model="production",
        page="docs/production.md",
        note="the slower of press and dryer rules; waste and spoilage as the shop's cost file says",
        inputs=("laydown.transfer", "mesh", "ink"),
    ),
    Origin(
        path="prints[].cost",
        model="expected cost",
        page="docs/production.md",
        note="the shop's own rates; an expected reprint is its risk times what it costs",
        inputs=("cost",),
    ),
    Origin(
        path="prints[].alternatives",
        model="expected cost",
        page="docs/production.md",
        note="as the chosen stack",
        inputs=("cost",),
    ),
    Origin(
        path="prints[].rejected",
        model="expected cost",
        page="docs/production.md",
        note="as the chosen stack",
        inputs=("cost",),
    ),
    Origin(path="prints[]", model="count of candidates", page="docs/planning.md", note="counted"),
    Origin(
        path="cost",
        model="expected cost",
        page="docs/production.md",
        note="all prints of the garment together",
        inputs=("cost",),
    ),
    Origin(
        path="tests",
        model="expected value of information",
        page="docs/planning.md",
        note="upper bound: as if the test told its inputs exactly",
    ),
    Origin(path="assumptions", model="the input itself", page="docs/data.md", note="grade and source stand beside it"),
    Origin(path="inputs", model="the input itself", page="docs/data.md", note="grade and source stand beside it"),
    Origin(path="meta", model="how it was computed", page="docs/planning.md", note="seed, samples, version"),
)
"""Longest matching path wins."""


def provenance(input_keys: tuple[str, ...], *, laydown_model: str = LAYDOWN_MODELS[0]) -> tuple[Provenance, ...]:
    """Origins with the laydown model and the keys of this plan's inputs filled in."""
    return tuple(
        Provenance(
            path=o.path,
            model=f"laydown by {laydown_model}" if o.model == "laydown" else o.model,
            page=o.page,
            range_note=o.note,
            inputs=tuple(k for k in input_keys if any(k == b or k.startswith(b + ".") for b in o.inputs)),
        )
        for o in ORIGINS
    )


def origin_of(path: str, known: tuple[Provenance, ...]) -> Provenance | None:
    """Origin of the number at a path such as ``prints[0].forecast.bleed.days[3].difference.p50``."""
    import re

    plain = re.sub(r"\[\d+\]", "[]", path)
    fits = [p for p in known if plain == p.path or plain.startswith((p.path + ".", p.path + "["))]
    return max(fits, key=lambda p: len(p.path), default=None)
