"""``shop.toml``: the shop's name, how its people read numbers, its climate and its rates."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from laydown.documents.entry import Entry, number, number_keys, quantity, quantity_keys
from laydown.documents.garment_file import Note, Text, unsourced
from laydown.documents.quantity_value import Origin, QuantityValue, common_origin
from laydown.documents.sentences import told_at
from laydown.domain.costs import Climate, Costs, Practice
from laydown.domain.quantity import Grade
from laydown.domain.shop import ADDRESSES, Preferences, Shop, is_address

_FLOOR = "Air on the shop floor."
_STORE = "Air where printed garments wait and later live."
_PLAIN_COSTS = (
    ("labour_per_hour", "labour_rate"),
    ("press_per_hour", "press_rate"),
    ("dryer_per_hour", "dryer_rate"),
    ("screen", "screen_cost"),
    ("reprint_factor", "reprint_factor"),
    ("swatch", "swatch_cost"),
    ("ink_keeping_per_year", "ink_keeping"),
    ("wash_up", "wash_up_cost"),
    # One per cent for 10 g/m² is a share of one for a kg/m²: the number stays the same.
    ("softness_percent_per_10gsm", "softness"),
)
_UNIT_COSTS = ("screen_time", "ink_waste", "spoilage", "margin")


class NameEntry(Entry):
    """``[shop]``."""

    name: Text = Field(description="Name of the shop.")


class PreferencesEntry(Entry):
    """``[preferences]``."""

    temperature: Literal["C", "F"] = Field(default="C", description="Degrees Celsius or Fahrenheit.")
    mesh: Literal["cm", "inch"] = Field(default="cm", description="Threads per centimetre or per inch.")
    length: Literal["mm", "inch"] = Field(default="mm", description="Lengths.")
    areal_mass: Literal["gsm", "oz"] = Field(
        default="gsm", description="Grams per square metre or ounces per square yard."
    )
    paper: Literal["a4", "letter"] = Field(default="a4", description="Paper of the ticket.")
    condition: Literal["D65/10", "D50/2"] = Field(
        default="D65/10", description="Illuminant and observer of shown colours."
    )
    address: str = Field(
        default="",
        description="Address at which tablets open the app, for the code on tickets.",
    )

    @field_validator("address")
    @classmethod
    def _an_address(cls, said: str) -> str:
        if said and not is_address(said):
            raise ValueError(f"{said[:80]!r} is no address; {ADDRESSES}")
        return said


class ClimateEntry(Entry):
    """``[climate]``."""

    temperature_c: QuantityValue | None = quantity(
        _FLOOR, unit="°C", least=-10, most=49.8, stands_for="temperature", absolute=4, needed=True
    )
    temperature_f: QuantityValue | None = quantity(
        _FLOOR, unit="°F", least=14, most=121, stands_for="temperature", absolute=7
    )
    humidity_percent: QuantityValue = quantity(
        "Relative humidity.", unit="%", least=0, most=100, stands_for="humidity", default=..., absolute=15
    )
    storage_c: QuantityValue | None = quantity(
        _STORE, unit="°C", least=-20, most=69.8, stands_for="storage_temperature", absolute=5, needed=True
    )
    storage_f: QuantityValue | None = quantity(
        _STORE, unit="°F", least=-4, most=157, stands_for="storage_temperature", absolute=9
    )
    grade: Annotated[Grade, Field(strict=False)] = Field(default=Grade.ASSUMED, description="Grade of these numbers.")
    source: Note = Field(default="", description="Source of these numbers.")


class CostsEntry(Entry):
    """``[costs]``, in the shop's currency."""

    currency: Annotated[str, Field(min_length=1, max_length=5)] = Field(default="USD", description="Code or sign.")
    labour_per_hour: float = number("One person.", default=..., least=0, most=1e6)
    press_per_hour: float = number("One running press.", default=..., least=0, most=1e6)
    dryer_per_hour: float = number("One running dryer.", default=..., least=0, most=1e6)
    screen: float = number("Emulsion, film and reclaiming of one screen.", default=..., least=0, most=1e6)
    screen_min: float | None = number(
        "Work to coat, burn and reclaim one screen.",
        unit="min",
        least=0,
        most=10_000,
        stands_for="screen_time",
        needed=True,
    )
    ink_waste_percent: float | None = number(
        "Ink left on screens, tools and in cups.", unit="%", least=0, most=100, stands_for="ink_waste", needed=True
    )
    spoilage_percent: float | None = number(
        "Garments spoiled in a normal run.", unit="%", least=0, most=100, stands_for="spoilage", needed=True
    )
    reprint_factor: float = number(
        "Cost of a reprint as a multiple of the order's own cost.", default=..., least=0, most=100
    )
    margin_percent: float | None = number(
        "Share of the price to be left after costs.", unit="%", least=0, most=95, stands_for="margin", needed=True
    )
    swatch: float = number("Making one swatch.", default=..., least=0, most=1e6)
    ink_keeping_per_year: float = number("Keeping one more ink on the shelf.", default=..., least=0, most=1e6)
    wash_up: float = number("One change from one white to another.", default=..., least=0, most=1e6)
    softness_percent_per_10gsm: float = number(
        "What a softer print is worth when stacks are ranked: per cent of the order's cost for every 10 g/m² of film "
        "less.",
        default=1.0,
        least=0,
        most=100,
    )


class PracticeEntry(Entry):
    """``[practice]``: what the shop has measured of its own printing."""

    transfer_percent: QuantityValue | None = quantity(
        "Share of a mesh's theoretical volume that one hit leaves on the garment, from weighing garments before and "
        "after printing; the published rules (one third to all) when absent.",
        unit="%",
        least=5,
        most=150,
        stands_for="transfer",
        relative=0.15,
    )
    grade: Annotated[Grade, Field(strict=False)] = Field(default=Grade.MEASURED, description="Grade of these numbers.")
    source: Note = Field(default="", description="Source of these numbers.")
    tone_strip: (
        list[Annotated[list[Annotated[float, Field(ge=0, le=100)]], Field(min_length=2, max_length=2)]] | None
    ) = Field(
        default=None,
        min_length=3,
        max_length=60,
        description="Patches of the shop's own tone strip, lightest first: [tone on the film, tone on the print] "
        "in %; a mesh maker's example when absent.",
    )
    tone_strip_source: Note = Field(default="", description="Which test the strip comes from.")


class ShopEntry(Entry):
    """All of ``shop.toml``."""

    shop: NameEntry = Field(description="The shop.")
    preferences: PreferencesEntry = Field(default=PreferencesEntry(), description="How people like to read numbers.")
    climate: ClimateEntry = Field(description="Air of the shop and of the store room.")
    costs: CostsEntry = Field(description="Rates.")
    practice: PracticeEntry = Field(default=PracticeEntry(), description="What was measured of the shop's printing.")


def preferences_from(entry: PreferencesEntry) -> Preferences:
    """Preferences of an entry."""
    return Preferences(**entry.model_dump())


def climate_from(entry: ClimateEntry, *, where: str) -> Climate:
    """Climate of an entry."""
    origin = Origin(grade=entry.grade, source=entry.source or unsourced(where))
    with told_at(f"{where}, climate"):
        return Climate(
            temperature=entry.read_needed("temperature", origin),
            humidity=entry.read_needed("humidity", origin),
            storage_temperature=entry.read_needed("storage_temperature", origin),
        )


def practice_from(entry: PracticeEntry, *, where: str) -> Practice:
    """Practice of an entry."""
    origin = Origin(grade=entry.grade, source=entry.source or unsourced(where))
    with told_at(f"{where}, practice"):
        strip = tuple((film / 100, printed / 100) for film, printed in entry.tone_strip or ())
        return Practice(
            transfer=entry.read_quantity("transfer", origin), tone_strip=strip, tone_source=entry.tone_strip_source
        )


def costs_from(entry: CostsEntry, *, where: str) -> Costs:
    """Rates of an entry."""
    with told_at(f"{where}, costs"):
        return Costs(
            currency=entry.currency,
            **{attribute: float(getattr(entry, key)) for key, attribute in _PLAIN_COSTS},
            **entry.read_numbers(*_UNIT_COSTS),
        )


def shop_table(shop: Shop) -> dict[str, Any]:
    """Document that writes a shop's own file down."""
    climate = shop.climate
    origin = common_origin((climate.temperature, climate.humidity, climate.storage_temperature))
    air: dict[str, Any] = {}
    for attribute in ("temperature", "humidity", "storage_temperature"):
        air |= quantity_keys(ClimateEntry, attribute, getattr(climate, attribute), origin)
    if origin:
        air |= {"grade": str(origin.grade), "source": origin.source}
    costs: dict[str, Any] = {"currency": shop.costs.currency}
    costs |= {key: getattr(shop.costs, attribute) for key, attribute in _PLAIN_COSTS}
    for attribute in _UNIT_COSTS:
        costs |= number_keys(CostsEntry, attribute, getattr(shop.costs, attribute))
    preferences = {key: getattr(shop.preferences, key) for key in PreferencesEntry.model_fields}
    if not shop.preferences.address:
        del preferences["address"]
    document = {"shop": {"name": shop.name}, "preferences": preferences, "climate": air, "costs": costs}
    transfer = shop.practice.transfer
    if transfer is not None:
        measured = Origin(grade=transfer.grade, source=transfer.source)
        document["practice"] = quantity_keys(PracticeEntry, "transfer", transfer, measured) | {
            "grade": str(measured.grade),
            "source": measured.source,
        }
    if shop.practice.tone_strip:
        strip = [[round(100 * tone, 10) for tone in patch] for patch in shop.practice.tone_strip]
        document["practice"] = document.get("practice", {}) | {"tone_strip": strip}
    if shop.practice.tone_source:
        document["practice"] = document.get("practice", {}) | {"tone_strip_source": shop.practice.tone_source}
    return document
