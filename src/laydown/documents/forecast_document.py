"""A forecast as a document, in people's units."""

from __future__ import annotations

from laydown.documents.forecast_schema import (
    AdhesionDocument,
    BleedDayDocument,
    BleedDocument,
    CureDocument,
    DriverDocument,
    FlashDocument,
    ForecastDocument,
    GhostingDocument,
    HandDocument,
    HeatDocument,
    LaydownDocument,
    OpacityDocument,
    StretchDocument,
)
from laydown.documents.plan_parts import shown, shown_all, shown_lab, shown_or_none, spread_document
from laydown.domain.forecast import (
    BleedForecast,
    CureForecast,
    FlashForecast,
    Forecast,
    OpacityForecast,
    PassLaydown,
    TemperatureHistory,
)
from laydown.units import to_celsius, to_gsm, to_micron, to_percent


def forecast_document(forecast: Forecast) -> ForecastDocument:
    """Document of a forecast."""
    stretch, adhesion, hand = forecast.stretch, forecast.adhesion, forecast.hand
    return ForecastDocument(
        laydown=tuple(_laydown(one) for one in forecast.passes),
        film_um=spread_document(forecast.film, to_micron),
        film_variation=shown(forecast.film_variation),
        opacity=_opacity(forecast.opacity),
        flashes=tuple(_flash(one) for one in forecast.flashes),
        heat=_heat(forecast.heat),
        cure=_cure(forecast.cure),
        bleed=_bleed(forecast.bleed),
        stretch=StretchDocument(
            ink=stretch.ink,
            elongation_percent=spread_document(stretch.elongation, to_percent),
            cloth_percent=spread_document(stretch.cloth, to_percent),
            risk=shown(stretch.risk),
        ),
        adhesion=AdhesionDocument(
            ink=adhesion.ink, surface=adhesion.surface, holds=adhesion.holds, reason=adhesion.reason
        ),
        hand=HandDocument(
            film_areal_mass_gsm=spread_document(hand.film_areal_mass, to_gsm),
            hand_class=hand.hand_class,
            limit=hand.limit,
        ),
        ghosting=GhostingDocument(warned=forecast.ghosting.warned, reason=forecast.ghosting.reason),
        drivers=tuple(
            DriverDocument(name=driver.name, share=shown(driver.share), test=driver.test) for driver in forecast.drivers
        ),
        fail_risk=shown(forecast.fail_risk),
        out_of_range=forecast.out_of_range,
    )


def _laydown(one: PassLaydown) -> LaydownDocument:
    return LaydownDocument(
        label=one.label,
        wet_um=spread_document(one.wet, to_micron),
        film_um=spread_document(one.film, to_micron),
        rival_wet_um=shown_or_none(one.rival_wet, to_micron),
    )


def _opacity(opacity: OpacityForecast) -> OpacityDocument:
    return OpacityDocument(
        area=opacity.area,
        difference_de=spread_document(opacity.difference),
        lab=shown_lab(opacity.lab),
        target_lab=shown_lab(opacity.target_lab),
        limit_de=shown(opacity.limit),
        risk=shown(opacity.risk),
    )


def _heat(heat: TemperatureHistory) -> HeatDocument:
    return HeatDocument(
        times_s=shown_all(heat.times),
        film_surface_c=shown_all(heat.film_surface, to_celsius),
        interface_c=shown_all(heat.interface, to_celsius),
        cloth_back_c=shown_all(heat.cloth_back, to_celsius),
    )


def _flash(flash: FlashForecast) -> FlashDocument:
    return FlashDocument(
        after=flash.after,
        dwell_s=shown(flash.seconds),
        gel_temperature_c=shown(flash.gel_temperature, to_celsius),
        film_temperature_c=spread_document(flash.film_temperature, to_celsius),
        risk=shown(flash.risk),
    )


def _cure(cure: CureForecast) -> CureDocument:
    return CureDocument(
        ink=cure.ink,
        needed_temperature_c=shown(cure.needed_temperature, to_celsius),
        needed_hold_s=shown(cure.needed_hold),
        margin_k=spread_document(cure.margin),
        hold_margin_s=spread_document(cure.seconds),
        probe_peak_c=spread_document(cure.probe_peak, to_celsius),
        cloth_peak_c=spread_document(cure.cloth_peak, to_celsius),
        cloth_limit_c=shown(cure.cloth_limit, to_celsius),
        cloth_limit_reason=cure.cloth_limit_reason,
        risk=shown(cure.risk),
        cloth_risk=shown(cure.cloth_risk),
    )


def _bleed(bleed: BleedForecast) -> BleedDocument:
    return BleedDocument(
        applies=bleed.applies,
        area=bleed.area,
        days=tuple(
            BleedDayDocument(
                day=shown(day.day),
                difference_de=spread_document(day.difference),
                grade=spread_document(day.grade),
                lab=shown_lab(day.lab),
                risk=shown(day.risk),
            )
            for day in bleed.days
        ),
        limit_grade=shown(bleed.limit_grade),
        limit_day=shown(bleed.limit_day),
        risk=shown(bleed.risk),
        screening=bleed.screening,
        note=bleed.note,
    )
