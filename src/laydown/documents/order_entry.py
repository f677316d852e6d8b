"""The keys of an order file, as models that the published schema is made from."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, PlainValidator, WithJsonSchema

from laydown.documents.entry import Entry, number
from laydown.documents.garment_file import GarmentEntry, Text
from laydown.documents.sentences import nearest, shown_value
from laydown.domain.art import MOST_INKS
from laydown.domain.order import HAND_CLASSES, Care, Requirements
from laydown.units import to_mm

_USUAL = Requirements()
_USUAL_CARE = Care()
EARLIEST, LATEST = dt.date(2000, 1, 1), dt.date(2100, 1, 1)


def _as_date(value: Any) -> Any:
    if isinstance(value, str):
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            raise ValueError(
                f"{shown_value(value)} is no date; a date is year-month-day, for example 2026-12-10"
            ) from None
    if isinstance(value, dt.datetime):
        raise ValueError(f"{value.isoformat()} has a time of day; a date is year-month-day, for example 2026-12-10")  # noqa: TRY004 - pydantic wants a ValueError
    return value


def _near_our_time(date: dt.date) -> dt.date:
    if not EARLIEST <= date <= LATEST:
        raise ValueError(f"{date} is not allowed; allowed is {EARLIEST} to {LATEST}")
    return date


def _known_hand(word: str) -> str:
    if word not in HAND_CLASSES:
        raise ValueError(f"{shown_value(word)} is unknown; {nearest(word, HAND_CLASSES)}")
    return word


Hand = Annotated[str, AfterValidator(_known_hand), WithJsonSchema({"type": "string", "enum": list(HAND_CLASSES)})]
Date = Annotated[
    dt.date,
    BeforeValidator(_as_date),
    AfterValidator(_near_our_time),
    WithJsonSchema({"type": "string", "format": "date"}),
]


def _shares(value: Any) -> float | dict[str, float]:
    if isinstance(value, dict):
        for ink, share in value.items():
            if not _is_number(share):
                raise ValueError(
                    f"the share of {shown_value(ink)} is {shown_value(share)}; a number from 0 to 1 is needed"
                )
        return {ink: float(share) for ink, share in value.items()}
    if not _is_number(value):
        raise ValueError(
            f"{shown_value(value)} does not fit; a number from 0 to 1 is needed, or a table of ink to share such as "
            "{ white = 0.3 }"
        )
    return float(value)


def _is_number(value: Any) -> bool:
    # Comparing first keeps integers that no float can hold away from the conversion.
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300


Coverage = Annotated[
    float | dict[str, float],
    PlainValidator(_shares),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "number", "exclusiveMinimum": 0, "maximum": 1},
                {
                    "type": "object",
                    "additionalProperties": {"type": "number", "exclusiveMinimum": 0, "maximum": 1},
                    "minProperties": 1,
                },
            ]
        }
    ),
]
FileName = Annotated[str, Field(min_length=1, max_length=300)]


class OrderHead(Entry):
    """``[order]``."""

    name: Text = Field(description="What the order is called.")
    quantity: int = number("Garments.", default=..., least=1, most=1_000_000)
    due: Date = Field(description="Day by which the garments are due.")
    id: Annotated[str, Field(max_length=80)] = Field(default="", description="The shop's own number of the order.")
    placed: Date | None = Field(default=None, description="Day the order came in; tests are planned from it.")
    times_a_year: float = number("How often such an order comes.", default=1.0, least=0, most=10_000)


class OrderGarment(GarmentEntry):
    """``[garment]``: described here, or a shelf garment by name with keys that differ."""

    reference: Text | None = Field(default=None, description="Name of a garment on the shelf.")


class PrintEntry(Entry):
    """``[[print]]``."""

    place: Text = Field(description="Where on the garment, for example front.")
    width_mm: float | None = number(
        "Width of the print's rectangle; with artwork it may be left to the file.",
        unit="mm",
        least=5,
        most=2000,
        stands_for="width",
        needed=True,
        needed_unless="artwork",
    )
    width_in: float | None = number(
        "Width of the print's rectangle.", unit="in", least=0.2, most=78, stands_for="width"
    )
    height_mm: float | None = number(
        "Height of the print's rectangle; with artwork it may be left to the file.",
        unit="mm",
        least=5,
        most=2000,
        stands_for="height",
        needed=True,
        needed_unless="artwork",
    )
    height_in: float | None = number(
        "Height of the print's rectangle.", unit="in", least=0.2, most=78, stands_for="height"
    )
    artwork: FileName | None = Field(default=None, description="Art file in the order's folder or below.")
    page: int | None = number("Page of an art file that has several.", least=1, most=10_000)
    inks: list[Text] | None = Field(
        default=None,
        min_length=1,
        max_length=MOST_INKS,
        description="Shelf names, 'white', or sRGB colours '#rrggbb'; found in the artwork when absent.",
    )
    at_most: int | None = number("Inks at most, white included, when they are found in the artwork.", least=1, most=16)
    open_cloth: bool | None = Field(
        default=None,
        description="Whether colours of the artwork that equal the garment's are left open, so that the cloth shows; "
        "true when absent.",
    )
    coverage: Coverage | None = Field(
        default=None,
        description="Share of the rectangle that is inked: a number for one ink, or a table of ink to share; measured "
        "on the artwork when absent.",
    )
    finest_mm: float | None = number(
        "Finest line or gap of the art; measured on the artwork when absent.",
        unit="mm",
        least=0.02,
        most=100,
        stands_for="finest_detail",
    )
    finest_in: float | None = number(
        "Finest line or gap of the art.", unit="in", least=0.0008, most=3.9, stands_for="finest_detail"
    )
    lpi: float | None = number(
        "Halftone ruling; absent for solid art.", unit="lines/in", least=8, most=200, stands_for="ruling"
    )
    lines_per_cm: float | None = number(
        "Halftone ruling; absent for solid art.", unit="lines/cm", least=3, most=80, stands_for="ruling"
    )


class RequirementsEntry(Entry):
    """``[requirements]``; every key has a house rule as its default."""

    opacity_de: float | None = number(
        f"Largest CIEDE2000 difference on day 0 to the ink's own full-hiding colour; {_USUAL.opacity:g} when absent.",
        stands_for="opacity",
        least=0.1,
        most=50,
    )
    bleed_grade: float | None = number(
        f"Lowest staining grade (ISO 105-A03 scale, half steps); {_USUAL.bleed_grade:g} when absent.",
        stands_for="bleed_grade",
        least=1,
        most=5,
    )
    bleed_days: float | None = number(
        f"Day after printing on which that grade must still hold; {_USUAL.bleed_days:g} when absent.",
        unit="days",
        stands_for="bleed_days",
        least=0,
        most=60,
    )
    risk: float | None = number(
        f"Allowed probability of missing any requirement, as a share of one; {_USUAL.risk:g} when absent.",
        stands_for="risk",
        least=0.001,
        most=0.5,
    )
    hand: Hand | None = Field(
        default=None,
        description=f"Heaviest class of hand that is accepted: {', '.join(HAND_CLASSES)}; {_USUAL.hand} when absent.",
    )
    wash: int | None = number(f"Lowest toughness class; {_USUAL.wash} when absent.", least=1, most=5)


class ThermalEntry(Entry):
    """Some time at a temperature."""

    celsius: float | None = number(
        "Temperature.", unit="°C", least=-40, most=149, stands_for="temperature", needed=True
    )
    fahrenheit: float | None = number("Temperature.", unit="°F", least=-40, most=300, stands_for="temperature")
    hours: float | None = number("Duration.", unit="h", least=0, most=1440, stands_for="duration", needed=True)
    minutes: float | None = number("Duration.", unit="min", least=0, most=86_400, stands_for="duration")
    days: float | None = number("Duration.", unit="d", least=0, most=60, stands_for="duration")
    times: int = number("How often.", default=1, least=1, most=100)


class CareEntry(Entry):
    """``[care]``: thermal life after the dryer."""

    stack_hot: bool | None = Field(
        default=None, description="Garments are piled and boxed as they leave the belt; false when absent."
    )
    pile_mm: float | None = number(
        f"Height of the pile; {to_mm(_USUAL_CARE.pile_height):g} mm when absent.",
        unit="mm",
        least=5,
        most=3000,
        stands_for="pile_height",
    )
    pile_in: float | None = number("Height of the pile.", unit="in", least=0.2, most=118, stands_for="pile_height")
    transit: ThermalEntry | None = Field(default=None, description="The way to the customer.")
    tumble_dry: ThermalEntry | None = Field(default=None, description="Tumble-drying by the wearer.")


class OrderEntry(Entry):
    """An order file."""

    order: OrderHead = Field(description="The order itself.")
    garment: OrderGarment = Field(description="What is printed on.")
    print: list[PrintEntry] = Field(min_length=1, max_length=12, description="The prints of one garment.")
    requirements: RequirementsEntry = Field(default=RequirementsEntry(), description="What the print must reach.")
    care: CareEntry = Field(default=CareEntry(), description="Thermal life after the dryer.")
