"""Why a stack lost, in words that a printer would use."""

from __future__ import annotations

from laydown.domain.forecast import (
    BleedForecast,
    CureForecast,
    HandForecast,
    OpacityForecast,
    StretchForecast,
)
from laydown.units import to_celsius, to_percent


def chance(risk: float) -> str:
    """A probability in words that claim no more than some hundred samples can."""
    if risk >= 0.995:
        return "nearly always"
    if risk < 0.01:
        return "in less than 1 of 100 cases"
    return f"in {to_percent(risk):.0f} of 100 cases"


def opacity(forecast: OpacityForecast, allowed: float) -> str:
    """Say that it covers too little."""
    return (
        f"covers too little on this cloth: {forecast.area} ends {forecast.difference.p50:.1f} ΔE00 from its own full "
        f"colour (limit {forecast.limit:g}), and misses the limit {chance(forecast.risk)} "
        f"({to_percent(allowed):.0f} allowed)"
    )


def hand(forecast: HandForecast, risk: float, allowed: float) -> str:
    """Say that it is too heavy."""
    return (
        f"too heavy: the print feels {forecast.hand_class} ({forecast.film_areal_mass.p50 * 1e3:.0f} g/m²), "
        f"'{forecast.limit}' is wanted; too heavy {chance(risk)} ({to_percent(allowed):.0f} allowed)"
    )


def stretch(forecast: StretchForecast, allowed: float) -> str:
    """Say that it would crack."""
    return (
        f"too stiff: {forecast.ink} stretches {to_percent(forecast.elongation.p50):.0f} %, the cloth "
        f"{to_percent(forecast.cloth.p50):.0f} % in wear; cracks {chance(forecast.risk)} "
        f"({to_percent(allowed):.0f} allowed)"
    )


def cure(forecast: CureForecast, allowed: float) -> str:
    """Say that it would not cure through."""
    return (
        f"does not cure through for sure: the coolest point of the film misses {forecast.ink}'s "
        f"{to_celsius(forecast.needed_temperature):.0f} °C {chance(forecast.risk)} ({to_percent(allowed):.0f} allowed)"
    )


def cloth_limit(forecast: CureForecast, allowed: float) -> str:
    """Say that the cloth gets too hot."""
    return (
        f"gets the cloth too hot: {to_celsius(forecast.cloth_peak.p50):.0f} °C, limit "
        f"{to_celsius(forecast.cloth_limit):.0f} °C for {forecast.cloth_limit_reason}; beyond it "
        f"{chance(forecast.cloth_risk)} ({to_percent(allowed):.0f} allowed)"
    )


def bleed(forecast: BleedForecast, allowed: float) -> str:
    """Say that the dye comes through."""
    day = next(d for d in forecast.days if d.day == forecast.limit_day)
    return (
        f"the cloth's dye bleeds through: grade {day.grade.p50:.1f} after {day.day:g} days "
        f"(ΔE00 {day.difference.p50:.1f}), below grade {forecast.limit_grade:g} {chance(forecast.risk)} "
        f"({to_percent(allowed):.0f} allowed)"
    )


def detail(finest: float, held: float, mesh: str) -> str:
    """Say that the mesh cannot hold the art."""
    return f"mesh {mesh} holds lines down to {held * 1e3:.2f} mm, the art has {finest * 1e3:.2f} mm"


def wash(toughness: int, wanted: int) -> str:
    """Say that it would not stand the wash."""
    return f"not tough enough: its weakest ink is of class {toughness}, class {wanted} is asked for"


def flash(after: str, longest: float) -> str:
    """Say that it does not gel."""
    return f"the flash does not gel {after} through within {longest:.0f} s"


def dearer(cost: float, best: float, currency: str) -> str:
    """Say that it would do as well, for more money."""
    return f"would do, but is expected to cost {cost - best:.2f} {currency} more for the order"


def too_dear(least: float, best: float, currency: str) -> str:
    """Say that it was not forecast, as others do for less."""
    return (
        f"would cost at least {least:.2f} {currency} if it never failed, {least - best:.2f} more than a stack of "
        "the same inks that passes; its bleed was not forecast"
    )
