"""What the print should turn out like, in a handful of cells: one value, its limit and the risk of missing it."""

from __future__ import annotations

from laydown.domain.forecast import Forecast
from laydown.domain.shop import Preferences
from laydown.report import display_units as show
from laydown.report.decimal_sign import figure, sentence
from laydown.report.plain_text import printable

Cell = dict[str, str]


def expected_cells(forecast: Forecast, prefs: Preferences) -> list[Cell]:
    """Name, value and small print of each thing that is forecast, in the order a print is looked at."""
    return [
        _opacity(forecast),
        _bleed(forecast),
        _cure(forecast, prefs),
        _cloth(forecast, prefs),
        _hand(forecast, prefs),
        _stretch(forecast),
        _hold(forecast),
    ]


def _opacity(forecast: Forecast) -> Cell:
    opacity = forecast.opacity
    return {
        "name": "Opacity",
        "value": f"ΔE₀₀ {show.number(opacity.difference.p50, 1)}",
        "more": f"{printable(opacity.area)}; limit {figure(f'{opacity.limit:g}')}, risk {show.chance(opacity.risk)}",
    }


def _bleed(forecast: Forecast) -> Cell:
    bleed = forecast.bleed
    if not bleed.applies:
        return {"name": "Bleed", "value": "none", "more": sentence(printable(bleed.note))}
    day = min(bleed.days, key=lambda candidate: abs(candidate.day - bleed.limit_day))
    return {
        "name": f"Bleed, day {bleed.limit_day:g}",
        "value": f"grade {show.grade(day.grade.p50)}",
        "more": f"{printable(bleed.area)}; limit {show.grade(bleed.limit_grade)}, risk {show.chance(bleed.risk)}",
    }


def _cure(forecast: Forecast, prefs: Preferences) -> Cell:
    cure = forecast.cure
    held = f"{show.duration(abs(cure.seconds.p50))} {'longer' if cure.seconds.p50 >= 0 else 'shorter'} than asked"
    side = "above" if cure.margin.p50 >= 0 else "below"
    return {
        "name": "Cure margin",
        "value": show.temperature_difference(cure.margin.p50, prefs),
        "more": f"{side} {show.temperature(cure.needed_temperature, prefs)}, {held}; risk {show.chance(cure.risk)}",
    }


def _cloth(forecast: Forecast, prefs: Preferences) -> Cell:
    cure = forecast.cure
    return {
        "name": "Cloth at most",
        "value": show.temperature(cure.cloth_peak.p50, prefs),
        "more": f"bears {show.temperature(cure.cloth_limit, prefs)}, {sentence(printable(cure.cloth_limit_reason))}; "
        f"risk {show.chance(cure.cloth_risk)}",
    }


def _hand(forecast: Forecast, prefs: Preferences) -> Cell:
    hand = forecast.hand
    return {
        "name": "Hand",
        "value": hand.hand_class,
        "more": f"{show.areal_mass(hand.film_areal_mass.p50, prefs)} of film; {hand.limit} at most",
    }


def _stretch(forecast: Forecast) -> Cell:
    stretch = forecast.stretch
    return {
        "name": "Stretch",
        "value": show.percent(stretch.elongation.p50),
        "more": f"cloth stretches {show.percent(stretch.cloth.p50)}; risk {show.chance(stretch.risk)}",
    }


def _hold(forecast: Forecast) -> Cell:
    adhesion = forecast.adhesion
    return {
        "name": f"On {printable(adhesion.surface)}",
        "value": "holds" if adhesion.holds else "does not hold",
        "more": sentence(printable(adhesion.reason)),
    }
