"""What the shop measured of itself, as pages and the command line show it: words, bars, tables, a chart."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from laydown.report.display_units import number
from laydown.services.bars import bar, plainly, signed
from laydown.services.shop_fits import OPTICS, TONE, TRANSFER, FitSheet
from laydown.services.shop_fits_document import document_of_fit

UNITS = (
    ("transfer", "%", 100.0),
    ("scatter", "%", 100.0),
    ("gain at half tone", "%", 100.0),
    ("contrast ratio at 25.4 µm", "%", 100.0),
    ("S at", "1/mm", 1e-3),
    ("thickness", "µm", 1e6),
)
"""Unit of each quantity and the factor to it, by how its name begins."""

READ = ((TRANSFER, "g", 1e3), (OPTICS, "%", 100.0), (TONE, "%", 100.0))
"""Unit of a fit's readings and the factor to it."""

MEANINGS = (
    ("transfer", "share of a mesh's volume that one hit leaves on the garment"),
    ("scatter", "how far repeated prints lie apart"),
    ("gain at half tone", "how much larger a dot of 50 % on the film gets"),
    ("S at 550 nm", "how strongly it scatters; before: any ink"),
    ("contrast ratio at 25.4 µm", "how well a thousandth of an inch hides"),
)


def title_of(found: FitSheet) -> str:
    """What was measured, in words."""
    words = {TRANSFER: "Ink transfer, by weighing", TONE: "Dot gain, by the tone strip"}
    return words.get(found.kind, f"K and S of {found.subject}, by drawdowns")


def standing_of(found: FitSheet) -> str:
    """Whether plans use it, in a sentence."""
    if found.fit is None:
        return "Plans use what is on the shelf."
    if found.used is None:
        start = "Plans do not use it yet"
    elif found.overruled:
        start = "Plans use what somebody put on the shelf after it"
    elif found.stale:
        start = f"Plans use the fit of {found.used.fitted_at:%Y-%m-%d}, and readings, areas or films are others by now"
    else:
        return f"Plans use it since {found.used.fitted_at:%Y-%m-%d}."
    return f"{start}: readings contradict each other, so somebody has to look." if found.contradicts else f"{start}."


def view_of(found: FitSheet, *, chart: bool = False) -> dict[str, Any]:
    """View of a fit.

    Parameters
    ----------
    chart : bool
        Whether to draw its curve.
    """
    document = document_of_fit(found)
    _, unit, scale = next(one for one in READ if one[0] == found.kind)
    return {
        "title": title_of(found),
        "kind": found.kind,
        "subject": found.subject,
        "problem": found.problem,
        "quantities": [_quantity(name, one) for name, one in document["quantities"].items()],
        "checks": [_check(one, unit, scale) for one in document["checks"]],
        "warnings": document["warnings"],
        "unused": found.unused,
        "standing": standing_of(found),
        "chart": _chart(found, document) if chart else "",
    }


def _quantity(name: str, one: Mapping[str, Any]) -> dict[str, Any]:
    unit, scale = next(((unit, scale) for begin, unit, scale in UNITS if name.startswith(begin)), ("", 1.0))
    prior = _scaled(one["prior"], scale) if one["prior"] else None
    posterior = _scaled(one["posterior"], scale)
    return {
        "name": name,
        "meaning": dict(MEANINGS).get(name, ""),
        "unit": unit,
        "prior": _three(prior, unit) if prior else "",
        "posterior": _three(posterior, unit),
        "bar": bar(prior or posterior, posterior),
    }


def _scaled(three: Mapping[str, float], scale: float) -> list[float]:
    return [three[key] * scale for key in ("low", "value", "high")]


def _three(values: list[float], unit: str) -> str:
    low, middle, high = (plainly(value) for value in values)
    return f"{middle} ({low} to {high}) {unit}".rstrip()


def _check(one: Mapping[str, Any], unit: str, scale: float) -> dict[str, Any]:
    read, low, middle, high = (scale * one[key] for key in ("reading", "low", "predicted", "high"))
    return {
        "label": one["label"],
        "read": f"{number(read, 2)} {unit}",
        "predicted": f"{number(middle, 2)} ({number(low, 2)} to {number(high, 2)}) {unit}",
        "residual": signed(one["deviation"], 1),
        "far": abs(one["deviation"]) > 2,
        "pull": signed(one["pull"], 2),
    }


def _chart(found: FitSheet, document: Mapping[str, Any]) -> str:
    from laydown.report.shop_fit_chart import spectra_chart, tone_chart

    curves = document["curves"]
    if "tone" in curves:
        return tone_chart(curves["tone"], found.points)
    return spectra_chart(curves["spectra"]) if "spectra" in curves else ""
