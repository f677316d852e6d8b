"""``presses.toml``: presses and the flash units that stand at them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from laydown.documents.entry import Entry, number, number_keys, quantity, quantity_keys
from laydown.documents.garment_file import Note, Text, unsourced
from laydown.documents.quantity_value import Origin, QuantityValue, common_origin
from laydown.documents.sentences import place, told_at
from laydown.domain.press import Flash, Press
from laydown.domain.quantity import Grade

_SIZE = "Largest print"
_PALLET = "Temperature of the pallets in a running press."
_EMITTER = "Temperature of the emitters."
_AIR = "Air under the unit."


class FlashEntry(Entry):
    """A flash unit at a press."""

    name: Text = Field(description="Name of the unit.")
    radiant_c: QuantityValue | None = quantity(
        _EMITTER, unit="°C", least=30, most=2700, stands_for="radiant_temperature", absolute=30, needed=True
    )
    radiant_f: QuantityValue | None = quantity(
        _EMITTER, unit="°F", least=86, most=4890, stands_for="radiant_temperature", absolute=54
    )
    exchange: QuantityValue = quantity(
        "Emissivity times view factor towards the print.",
        least=0,
        most=1,
        stands_for="exchange",
        default=...,
        relative=0.2,
    )
    air_c: QuantityValue | None = quantity(
        _AIR, unit="°C", least=0, most=400, stands_for="air_temperature", absolute=15, needed=True
    )
    air_f: QuantityValue | None = quantity(
        _AIR, unit="°F", least=32, most=752, stands_for="air_temperature", absolute=27
    )
    air_w_per_m2k: QuantityValue = quantity(
        "Convective coefficient.",
        unit="W/m²K",
        least=0,
        most=500,
        stands_for="air_coefficient",
        default=...,
        relative=0.4,
    )


class PressEntry(Entry):
    """A press."""

    name: Text = Field(description="Name of the press.")
    automatic: bool = Field(description="Whether it prints by itself; false: a manual press.")
    heads: int = number("Print stations.", default=..., least=1, most=40)
    pallets: int = number("Pallets.", default=..., least=1, most=60)
    flash_heads: list[Annotated[int, Field(ge=1, le=40)]] = Field(
        [], max_length=40, description="Stations where a flash may stand, from 1; empty on a manual press."
    )
    index_s: float = number("Time to turn by one station.", unit="s", default=..., least=0, most=7200)
    stroke_mm_per_s: float | None = number(
        "Squeegee speed.", unit="mm/s", least=0, most=5000, stands_for="stroke_speed", needed=True, above=True
    )
    load_s: float = number("Time to take off and put on one garment.", unit="s", default=..., least=0, most=7200)
    print_width_mm: float | None = number(
        f"{_SIZE}, width.", unit="mm", least=10, most=3000, stands_for="print_width", needed=True
    )
    print_width_in: float | None = number(f"{_SIZE}, width.", unit="in", least=0.4, most=118, stands_for="print_width")
    print_height_mm: float | None = number(
        f"{_SIZE}, height.", unit="mm", least=10, most=3000, stands_for="print_height", needed=True
    )
    print_height_in: float | None = number(
        f"{_SIZE}, height.", unit="in", least=0.4, most=118, stands_for="print_height"
    )
    set_up_min: float | None = number(
        "Set-up of one screen.", unit="min", least=0, most=120, stands_for="set_up_per_screen", needed=True
    )
    crew: int = number("People at it.", default=1, least=1, most=10)
    registration_mm: float | None = number(
        "How well screens hold register.", unit="mm", least=0, most=10, stands_for="registration"
    )
    pallet_c: QuantityValue | None = quantity(
        _PALLET, unit="°C", least=0, most=150, stands_for="pallet_temperature", absolute=8
    )
    pallet_f: QuantityValue | None = quantity(
        _PALLET, unit="°F", least=32, most=302, stands_for="pallet_temperature", absolute=14
    )
    flash: list[FlashEntry] = Field(default=[], max_length=20, description="Units that can be used at once.")
    grade: Annotated[Grade, Field(strict=False)] = Field(
        default=Grade.ASSUMED, description="Grade of this press's numbers."
    )
    source: Note = Field(default="", description="Source of this press's numbers.")


def press_from(
    entry: PressEntry,
    *,
    where: str,
    at: tuple[str | int, ...],
    folder: Path | None = None,  # noqa: ARG001 - one signature for all shelves
) -> Press:
    """Press of an entry (which names no file, so ``folder`` is not looked at)."""
    origin = Origin(grade=entry.grade, source=entry.source or unsourced(where))
    with told_at(place(where, at, name=entry.name)):
        return Press(
            name=entry.name,
            automatic=entry.automatic,
            heads=entry.heads,
            pallets=entry.pallets,
            flashes=tuple(_flash(unit, origin) for unit in entry.flash),
            flash_heads=tuple(entry.flash_heads),
            index_time=float(entry.index_s),
            load_time=float(entry.load_s),
            crew=entry.crew,
            pallet_temperature=entry.read_quantity("pallet_temperature", origin),
            **entry.read_numbers("stroke_speed", "print_width", "print_height", "set_up_per_screen", "registration"),
        )


def flash_from(entry: FlashEntry, *, where: str, at: tuple[str | int, ...], grade: Grade = Grade.ASSUMED) -> Flash:
    """Flash unit of an entry of its own."""
    with told_at(place(where, at, name=entry.name)):
        return _flash(entry, Origin(grade=grade, source=unsourced(where)))


def flash_table(unit: Flash) -> dict[str, Any]:
    """Table that writes a flash unit down, every number with its own grade and source."""
    return _flash_table(unit, None)


def press_table(press: Press) -> dict[str, Any]:
    """Table that writes a press down."""
    origin = common_origin(
        (
            press.pallet_temperature,
            *(
                record
                for unit in press.flashes
                for record in (unit.radiant_temperature, unit.exchange, unit.air_temperature, unit.air_coefficient)
            ),
        )
    )
    table: dict[str, Any] = {"name": press.name, "automatic": press.automatic}
    table |= {"heads": press.heads, "pallets": press.pallets, "flash_heads": list(press.flash_heads)}
    table |= {"index_s": press.index_time, "load_s": press.load_time, "crew": press.crew}
    for attribute in ("stroke_speed", "print_width", "print_height", "set_up_per_screen", "registration"):
        table |= number_keys(PressEntry, attribute, getattr(press, attribute))
    table |= quantity_keys(PressEntry, "pallet_temperature", press.pallet_temperature, origin)
    if origin:
        table |= {"grade": str(origin.grade), "source": origin.source}
    return table | {"flash": [_flash_table(unit, origin) for unit in press.flashes]}


def _flash(entry: FlashEntry, origin: Origin) -> Flash:
    return Flash(
        name=entry.name,
        radiant_temperature=entry.read_needed("radiant_temperature", origin),
        exchange=entry.read_needed("exchange", origin),
        air_temperature=entry.read_needed("air_temperature", origin),
        air_coefficient=entry.read_needed("air_coefficient", origin),
    )


def _flash_table(unit: Flash, origin: Origin | None) -> dict[str, Any]:
    table: dict[str, Any] = {"name": unit.name}
    for attribute in ("radiant_temperature", "exchange", "air_temperature", "air_coefficient"):
        table |= quantity_keys(FlashEntry, attribute, getattr(unit, attribute), origin)
    return table
