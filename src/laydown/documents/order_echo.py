"""The order within a plan's document: what was planned for, with every default filled in."""

from __future__ import annotations

import datetime as dt

from pydantic import Field

from laydown.documents.plan_parts import (
    Document,
    Lab,
    QuantityDocument,
    quantity_document,
    shown,
    shown_all,
    shown_lab,
    shown_or_none,
)
from laydown.domain.art import Art
from laydown.domain.colour import Colour
from laydown.domain.garment import Garment
from laydown.domain.order import Care, Order, Print, Requirements, ThermalEvent
from laydown.units import to_celsius, to_cm, to_cm2, to_gsm, to_hour, to_mm, to_percent, to_threads_per_inch


class ColourDocument(Document):
    """A colour in the one form it was given in; the others are null."""

    srgb: str | None = Field(description="#rrggbb.")
    lab: Lab | None = Field(description="CIELAB L*, a*, b*.")
    lab_condition: str | None = Field(description="Illuminant and observer of lab.")
    spectrum: tuple[float, ...] | None = Field(description="Reflectance, 380 to 730 nm in 10 nm steps.")


class FibreDocument(Document):
    """One fibre of a cloth."""

    fibre: str = Field(description="Generic name.")
    percent: float = Field(description="Share by mass [%].")


class GarmentDocument(Document):
    """What is printed on."""

    name: str = Field(description="Name.")
    content: tuple[FibreDocument, ...] = Field(description="Fibres, in the order of the care label.")
    structure: str = Field(description="How the cloth is made.")
    areal_mass_gsm: QuantityDocument = Field(description="Cloth mass per area [g/m²].")
    colour: ColourDocument = Field(description="Colour of the cloth.")
    dye: str = Field(description="What it is coloured with.")
    stretch_percent: QuantityDocument | None = Field(
        description="Working stretch [%]; null: taken from structure and fibres."
    )
    coated: bool = Field(description="Water-repellent or coated face.")
    history: str = Field(description="What the shop knows of this cloth.")
    price: float = Field(description="Blank garment each, in the shop's currency.")
    size_mm: float = Field(description="Length on the dryer belt [mm].")
    width_mm: float = Field(description="Width on the dryer belt [mm].")
    lot: str = Field(description="Lot of the cloth.")
    note: str = Field(description="Note.")


class InkUseDocument(Document):
    """One colour of a print."""

    ink: str = Field(description="Shelf name, white or #rrggbb.")
    coverage: float = Field(description="Share of the print's rectangle, share of one.")


class PlateDocument(Document):
    """What was measured on one plate of the art."""

    plate: str = Field(description="What the plate is called.")
    ink: str = Field(description="Ink it is for, as the order or the art names it.")
    coverage: float = Field(description="Inked share of the print's rectangle, dots by their area, share of one.")
    solid: float = Field(description="Share of the rectangle printed solid, share of one.")
    toned: float = Field(description="Share of the rectangle printed as dots, share of one.")
    area_cm2: float = Field(description="Inked area [cm²].")
    edge_length_cm: float = Field(description="Length of the edges of solid parts [cm].")
    finest_line_mm: float | None = Field(description="Narrowest inked detail [mm]; null without one.")
    finest_gap_mm: float | None = Field(description="Narrowest open detail [mm]; null without one.")


class ArtRequestDocument(Document):
    """What the order asks of the art file."""

    width_mm: float | None = Field(description="Width that the order states [mm]; null: left to the file.")
    height_mm: float | None = Field(description="Height that the order states [mm]; null: left to the file.")
    inks: tuple[str, ...] = Field(description="Inks that the order names; empty: found in the art.")
    at_most: int | None = Field(description="Inks at most; null: as many as the art needs.")
    open_cloth: bool = Field(description="Whether colours that equal the garment's are left open.")
    page: int = Field(description="Page of the file.")
    finest_mm: float | None = Field(description="Finest detail that the order states [mm]; null: measured.")
    lpi: float | None = Field(description="Ruling that the order states [lines per inch]; null: chosen.")


class ArtDocument(Document):
    """What was found in the art file of a print."""

    asked: ArtRequestDocument = Field(description="What the order asks of it.")
    inked: float = Field(description="Share of the rectangle that carries any ink, share of one.")
    underbase: float = Field(description="Share of the rectangle that needs white below, dots by their area.")
    on_cloth: tuple[str, ...] = Field(description="Colours that lie mostly straight on the cloth.")
    plates: tuple[PlateDocument, ...] = Field(description="Plates in printing order.")
    notes: tuple[str, ...] = Field(description="What prints each colour of the art, and how far it is from it.")
    warnings: tuple[str, ...] = Field(description="What somebody should look at before the run.")


class PrintDocument(Document):
    """One print as ordered."""

    place: str = Field(description="Where on the garment.")
    width_mm: float = Field(description="Width [mm].")
    height_mm: float = Field(description="Height [mm].")
    inks: tuple[InkUseDocument, ...] = Field(description="Colours.")
    artwork: str = Field(description="Art file, empty when none was named.")
    finest_mm: float | None = Field(description="Finest line or gap [mm].")
    lpi: float | None = Field(description="Halftone ruling [lines per inch]; null for solid art.")
    art: ArtDocument | None = Field(description="What was measured on the art; null when the order states the shares.")


class RequirementsDocument(Document):
    """What the prints must reach."""

    opacity_de: float = Field(description="Largest CIEDE2000 difference on day 0.")
    bleed_grade: float = Field(description="Lowest staining grade.")
    bleed_days: float = Field(description="Day on which it must hold.")
    risk: float = Field(description="Allowed probability of missing any requirement, share of one.")
    hand: str = Field(description="Heaviest class of hand.")
    wash: int = Field(description="Lowest toughness class.")


class ThermalDocument(Document):
    """Some time at a temperature."""

    name: str = Field(description="What happens.")
    temperature_c: float = Field(description="Temperature [°C].")
    duration_h: float = Field(description="Duration [h].")
    times: int = Field(description="How often.")


class CareDocument(Document):
    """Thermal life after the dryer."""

    stack_hot: bool = Field(description="Piled and boxed as they leave the belt.")
    pile_mm: float = Field(description="Height of the pile [mm].")
    transit: ThermalDocument | None = Field(description="The way to the customer.")
    tumble_dry: ThermalDocument | None = Field(description="Tumble-drying.")


class OrderDocument(Document):
    """The order that was planned for."""

    name: str = Field(description="Name.")
    id: str = Field(description="The shop's own number.")
    quantity: int = Field(description="Garments.")
    due: dt.date = Field(description="Day by which the garments are due.")
    placed: dt.date | None = Field(description="Day the order came in.")
    times_a_year: float = Field(description="How often such an order comes.")
    garment: GarmentDocument = Field(description="What is printed on.")
    prints: tuple[PrintDocument, ...] = Field(description="Prints as ordered.")
    requirements: RequirementsDocument = Field(description="What the prints must reach.")
    care: CareDocument = Field(description="Thermal life after the dryer.")


def order_document(order: Order) -> OrderDocument:
    """Document of an order."""
    return OrderDocument(
        name=order.name,
        id=order.identifier,
        quantity=order.quantity,
        due=order.due,
        placed=order.placed,
        times_a_year=shown(order.times_a_year),
        garment=_garment(order.garment),
        prints=tuple(_print(one) for one in order.prints),
        requirements=_requirements(order.requirements),
        care=_care(order.care),
    )


def _garment(garment: Garment) -> GarmentDocument:
    stretch = garment.stretch
    return GarmentDocument(
        name=garment.name,
        content=tuple(
            FibreDocument(fibre=fibre, percent=shown(share, to_percent)) for fibre, share in garment.content.shares
        ),
        structure=str(garment.structure),
        areal_mass_gsm=quantity_document(garment.areal_mass, to_gsm),
        colour=_colour(garment.colour),
        dye=str(garment.dye),
        stretch_percent=None if stretch is None else quantity_document(stretch, to_percent),
        coated=garment.coated,
        history=str(garment.history),
        price=shown(garment.price),
        size_mm=shown(garment.size, to_mm),
        width_mm=shown(garment.width, to_mm),
        lot=garment.lot,
        note=garment.note,
    )


def _colour(colour: Colour) -> ColourDocument:
    return ColourDocument(
        srgb=colour.srgb or None,
        lab=shown_lab(colour.lab) if colour.lab else None,
        lab_condition=colour.lab_condition if colour.lab else None,
        spectrum=shown_all(colour.spectrum) if colour.spectrum else None,
    )


def _print(one: Print) -> PrintDocument:
    return PrintDocument(
        place=one.place,
        width_mm=shown(one.width, to_mm),
        height_mm=shown(one.height, to_mm),
        inks=tuple(InkUseDocument(ink=use.ink, coverage=shown(use.coverage)) for use in one.inks),
        artwork=one.artwork,
        finest_mm=shown_or_none(one.finest_detail, to_mm),
        lpi=shown_or_none(one.ruling, to_threads_per_inch),
        art=_art(one.art) if one.art is not None else None,
    )


def _art(art: Art) -> ArtDocument:
    asked = art.request
    return ArtDocument(
        asked=ArtRequestDocument(
            width_mm=shown_or_none(asked.width, to_mm),
            height_mm=shown_or_none(asked.height, to_mm),
            inks=asked.inks,
            at_most=asked.at_most,
            open_cloth=asked.open_cloth,
            page=asked.page,
            finest_mm=shown_or_none(asked.finest_detail, to_mm),
            lpi=shown_or_none(asked.ruling, to_threads_per_inch),
        ),
        inked=shown(art.inked),
        underbase=shown(art.underbase),
        on_cloth=art.on_cloth,
        plates=tuple(
            PlateDocument(
                plate=plate.plate,
                ink=plate.ink,
                coverage=shown(plate.coverage),
                solid=shown(plate.solid),
                toned=shown(plate.toned),
                area_cm2=shown(plate.area, to_cm2),
                edge_length_cm=shown(plate.edge_length, to_cm),
                finest_line_mm=shown_or_none(plate.finest_line, to_mm),
                finest_gap_mm=shown_or_none(plate.finest_gap, to_mm),
            )
            for plate in art.plates
        ),
        notes=art.notes,
        warnings=art.warnings,
    )


def _requirements(needs: Requirements) -> RequirementsDocument:
    return RequirementsDocument(
        opacity_de=shown(needs.opacity),
        bleed_grade=shown(needs.bleed_grade),
        bleed_days=shown(needs.bleed_days),
        risk=shown(needs.risk),
        hand=needs.hand,
        wash=needs.wash,
    )


def _care(care: Care) -> CareDocument:
    return CareDocument(
        stack_hot=care.stack_hot,
        pile_mm=shown(care.pile_height, to_mm),
        transit=_event(care.transit),
        tumble_dry=_event(care.tumble_dry),
    )


def _event(event: ThermalEvent | None) -> ThermalDocument | None:
    if event is None:
        return None
    return ThermalDocument(
        name=event.name,
        temperature_c=shown(event.temperature, to_celsius),
        duration_h=shown(event.duration, to_hour),
        times=event.times,
    )
