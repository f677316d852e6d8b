"""The order within a plan's JSON read back into an order."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from laydown import units
from laydown.domain.art import Art, ArtRequest, PlateMeasure
from laydown.domain.colour import Colour
from laydown.domain.fibre import FibreContent
from laydown.domain.garment import Dye, Garment, History, Structure
from laydown.domain.order import Care, InkUse, Order, Print, Requirements, ThermalEvent
from laydown.domain.quantity import Grade, Quantity

if TYPE_CHECKING:
    from laydown.documents import order_echo as schema
    from laydown.documents.plan_parts import QuantityDocument


def read_order_document(one: schema.OrderDocument) -> Order:
    """Order of its document, art measures included."""
    needs = one.requirements
    return Order(
        name=one.name,
        identifier=one.id,
        quantity=one.quantity,
        due=one.due,
        placed=one.placed,
        times_a_year=one.times_a_year,
        garment=_garment(one.garment),
        prints=tuple(_print(p) for p in one.prints),
        requirements=Requirements(
            opacity=needs.opacity_de,
            bleed_grade=needs.bleed_grade,
            bleed_days=needs.bleed_days,
            risk=needs.risk,
            hand=needs.hand,
            wash=needs.wash,
        ),
        care=Care(
            stack_hot=one.care.stack_hot,
            pile_height=units.from_mm(one.care.pile_mm),
            transit=_event(one.care.transit),
            tumble_dry=_event(one.care.tumble_dry),
        ),
    )


def _garment(one: schema.GarmentDocument) -> Garment:
    colour = one.colour
    stretch = one.stretch_percent
    return Garment(
        name=one.name,
        content=FibreContent(shares=tuple((f.fibre, units.from_percent(f.percent)) for f in one.content)),
        structure=Structure(one.structure),
        areal_mass=_quantity(one.areal_mass_gsm, units.from_gsm),
        colour=Colour(
            srgb=colour.srgb or "",
            lab=colour.lab or (),
            lab_condition=colour.lab_condition or "D65/10",
            spectrum=colour.spectrum or (),
        ),
        dye=Dye(one.dye),
        stretch=None if stretch is None else _quantity(stretch, units.from_percent),
        coated=one.coated,
        history=History(one.history),
        price=one.price,
        size=units.from_mm(one.size_mm),
        width=units.from_mm(one.width_mm),
        lot=one.lot,
        note=one.note,
    )


def _print(one: schema.PrintDocument) -> Print:
    return Print(
        place=one.place,
        width=units.from_mm(one.width_mm),
        height=units.from_mm(one.height_mm),
        inks=tuple(InkUse(ink=use.ink, coverage=use.coverage) for use in one.inks),
        artwork=one.artwork,
        finest_detail=_maybe(one.finest_mm, units.from_mm),
        ruling=_maybe(one.lpi, units.from_threads_per_inch),
        art=None if one.art is None else _art(one.art),
    )


def _art(one: schema.ArtDocument) -> Art:
    asked = one.asked
    return Art(
        request=ArtRequest(
            width=_maybe(asked.width_mm, units.from_mm),
            height=_maybe(asked.height_mm, units.from_mm),
            inks=asked.inks,
            at_most=asked.at_most,
            open_cloth=asked.open_cloth,
            page=asked.page,
            finest_detail=_maybe(asked.finest_mm, units.from_mm),
            ruling=_maybe(asked.lpi, units.from_threads_per_inch),
        ),
        plates=tuple(
            PlateMeasure(
                plate=p.plate,
                ink=p.ink,
                coverage=p.coverage,
                solid=p.solid,
                toned=p.toned,
                edge_length=units.from_cm(p.edge_length_cm),
                finest_line=_maybe(p.finest_line_mm, units.from_mm),
                finest_gap=_maybe(p.finest_gap_mm, units.from_mm),
                area=units.from_cm2(p.area_cm2),
            )
            for p in one.plates
        ),
        inked=one.inked,
        underbase=one.underbase,
        on_cloth=one.on_cloth,
        notes=one.notes,
        warnings=one.warnings,
    )


def _event(one: schema.ThermalDocument | None) -> ThermalEvent | None:
    if one is None:
        return None
    return ThermalEvent(
        name=one.name,
        temperature=units.from_celsius(one.temperature_c),
        duration=units.from_hour(one.duration_h),
        times=one.times,
    )


def _quantity(one: QuantityDocument, convert: Callable[[float], float]) -> Quantity:
    return Quantity(
        value=convert(one.value),
        low=convert(one.low),
        high=convert(one.high),
        grade=Grade(one.grade),
        source=one.source,
    )


def _maybe(value: float | None, convert: Callable[[float], float]) -> float | None:
    return None if value is None else convert(value)
