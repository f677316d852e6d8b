"""The forecast of a plan's JSON read back into a forecast."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from laydown import units
from laydown.domain.forecast import (
    AdhesionForecast,
    BleedDay,
    BleedForecast,
    CureForecast,
    Driver,
    FlashForecast,
    Forecast,
    GhostingForecast,
    HandForecast,
    OpacityForecast,
    PassLaydown,
    Spread,
    StretchForecast,
    TemperatureHistory,
)

if TYPE_CHECKING:
    from laydown.documents import forecast_schema as schema
    from laydown.documents.plan_parts import SpreadDocument


def read_forecast(one: schema.ForecastDocument) -> Forecast:
    """Forecast of its document."""
    stretch, hand = one.stretch, one.hand
    return Forecast(
        passes=tuple(
            PassLaydown(
                label=p.label,
                wet=_spread(p.wet_um, units.from_micron),
                film=_spread(p.film_um, units.from_micron),
                rival_wet=None if p.rival_wet_um is None else units.from_micron(p.rival_wet_um),
            )
            for p in one.laydown
        ),
        film=_spread(one.film_um, units.from_micron),
        film_variation=one.film_variation,
        opacity=OpacityForecast(
            area=one.opacity.area,
            difference=_spread(one.opacity.difference_de),
            lab=one.opacity.lab,
            target_lab=one.opacity.target_lab,
            limit=one.opacity.limit_de,
            risk=one.opacity.risk,
        ),
        flashes=tuple(
            FlashForecast(
                after=f.after,
                seconds=f.dwell_s,
                gel_temperature=units.from_celsius(f.gel_temperature_c),
                film_temperature=_spread(f.film_temperature_c, units.from_celsius),
                risk=f.risk,
            )
            for f in one.flashes
        ),
        heat=TemperatureHistory(
            times=one.heat.times_s,
            film_surface=_kelvins(one.heat.film_surface_c),
            interface=_kelvins(one.heat.interface_c),
            cloth_back=_kelvins(one.heat.cloth_back_c),
        ),
        cure=_cure(one.cure),
        bleed=_bleed(one.bleed),
        stretch=StretchForecast(
            ink=stretch.ink,
            elongation=_spread(stretch.elongation_percent, units.from_percent),
            cloth=_spread(stretch.cloth_percent, units.from_percent),
            risk=stretch.risk,
        ),
        adhesion=AdhesionForecast(
            ink=one.adhesion.ink, surface=one.adhesion.surface, holds=one.adhesion.holds, reason=one.adhesion.reason
        ),
        hand=HandForecast(
            film_areal_mass=_spread(hand.film_areal_mass_gsm, units.from_gsm),
            hand_class=hand.hand_class,
            limit=hand.limit,
        ),
        ghosting=GhostingForecast(warned=one.ghosting.warned, reason=one.ghosting.reason),
        drivers=tuple(Driver(name=d.name, share=d.share, test=d.test) for d in one.drivers),
        fail_risk=one.fail_risk,
        out_of_range=one.out_of_range,
    )


def _cure(one: schema.CureDocument) -> CureForecast:
    return CureForecast(
        ink=one.ink,
        needed_temperature=units.from_celsius(one.needed_temperature_c),
        needed_hold=one.needed_hold_s,
        margin=_spread(one.margin_k),
        seconds=_spread(one.hold_margin_s),
        probe_peak=_spread(one.probe_peak_c, units.from_celsius),
        cloth_peak=_spread(one.cloth_peak_c, units.from_celsius),
        cloth_limit=units.from_celsius(one.cloth_limit_c),
        cloth_limit_reason=one.cloth_limit_reason,
        risk=one.risk,
        cloth_risk=one.cloth_risk,
    )


def _bleed(one: schema.BleedDocument) -> BleedForecast:
    return BleedForecast(
        applies=one.applies,
        area=one.area,
        days=tuple(
            BleedDay(day=d.day, difference=_spread(d.difference_de), grade=_spread(d.grade), lab=d.lab, risk=d.risk)
            for d in one.days
        ),
        limit_grade=one.limit_grade,
        limit_day=one.limit_day,
        risk=one.risk,
        screening=one.screening,
        note=one.note,
    )


def _spread(one: SpreadDocument, convert: Callable[[float], float] = float) -> Spread:
    return Spread(p10=convert(one.p10), p50=convert(one.p50), p90=convert(one.p90))


def _kelvins(celsius: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(units.from_celsius(one) for one in celsius)
