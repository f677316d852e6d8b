"""A fit's report as a page shows it: inputs as bars before and after, readings with bands, pulls, sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from laydown.report.display_units import number
from laydown.services.bars import bar, plainly, signed

MEANINGS = (
    ("release", "how fast the cloth lets its dye go at 160 °C", "1/1000 s", 1e3),
    ("release energy", "how much faster when hotter", "kJ/mol", 1e-3),
    ("reservoir depth", "how deep the cloth gives dye", "µm", 1e6),
    ("dye strength", "how strongly what came through colours", "1/mm", 1e-3),
    ("diffusion", "how fast dye moves through the film at 25 °C", "10⁻¹⁵ m²/s", 1e15),
    ("diffusion energy", "how much faster when warmer", "kJ/mol", 1e-3),
    ("partition", "how the film takes dye up beside the cloth", "", 1.0),
    ("white capacity", "how much dye a white binds, beside its sheet", "times", 1.0),
    ("barrier capacity", "how much dye a barrier binds, beside its sheet", "times", 1.0),
    ("reaction length", "how far dye gets before it is bound", "µm", 1e6),
)
"""Inputs in words, the unit they are shown in, and what they are multiplied by for it."""


def view_of(report: Mapping[str, Any]) -> dict[str, Any]:
    """View of a report (`laydown.services.cloth_fit_report.report_document`)."""
    forecast = report.get("forecast")
    return {
        "inputs": [_input(one) for one in report["inputs"]],
        "readings": [_reading(one) for one in report["readings"]],
        "day": report["day"],
        "forecast": _spread(forecast) if forecast else "",
        "discrepancy": _spread(report["discrepancy"], 2),
        "conflicts": report["conflicts"],
        "unused": report["unused"],
        "notes": report["notes"],
        "effective": f"{report['effective']:.0f}",
        "rounds": report["rounds"],
        "runs": report["runs"],
        "forecasts": report.get("forecasts", []),
    }


def _input(one: Mapping[str, Any]) -> dict[str, Any]:
    meaning, unit, scale = next(
        ((told, unit, scale) for name, told, unit, scale in MEANINGS if name == one["name"]), ("", "", 1.0)
    )
    prior, posterior = ([value * scale for value in one[key]] for key in ("prior", "posterior"))
    return {
        "name": one["name"],
        "meaning": meaning,
        "unit": unit,
        "prior": _three(prior),
        "posterior": _three(posterior),
        **bar(prior, posterior),
        "kept": f"{100 * one['kept']:.0f} %",
        "learnt": one["kept"] < 0.8,
    }


def _reading(one: Mapping[str, Any]) -> dict[str, Any]:
    pull, residual = one["pull"], one["residual"]
    return {
        "swatch": one["swatch"],
        "numbers": one["numbers"],
        "about": one["about"],
        "read": number(one["read"], 2),
        "predicted": _spread(one["predicted"], 2),
        "residual": signed(residual, 1) if residual is not None else "–",
        "far": residual is not None and abs(residual) > 2,
        "pull": f"{pull:.2f}" if pull is not None else "all hangs on it",
        "without": number(one["without"], 1) if one["without"] is not None else "–",
    }


def _spread(one: Mapping[str, float], digits: int = 1) -> str:
    return f"{number(one['p50'], digits)} ({number(one['p10'], digits)} to {number(one['p90'], digits)})"


def _three(values: Sequence[float]) -> str:
    low, middle, high = (plainly(value) for value in values)
    return f"{middle} ({low} to {high})"
