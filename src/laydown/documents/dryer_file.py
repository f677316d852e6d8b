"""``dryers.toml``: conveyor dryers, zone by zone."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from laydown.documents.entry import Entry, number, number_keys, quantity, quantity_keys
from laydown.documents.garment_file import Note, Text, unsourced
from laydown.documents.quantity_value import Origin, QuantityValue, common_origin
from laydown.documents.sentences import place, told_at
from laydown.domain.dryer import Dryer, Zone
from laydown.domain.quantity import Grade

_PANEL = "Radiant panel at the dryer's usual setting."
_AIR = "Air at the usual setting."
_SETTING = "Usual panel setting, which the zones' temperatures refer to."
_LOWEST = "Lowest setting that can be dialled in."
_HIGHEST = "Highest setting that can be dialled in."
_SLOWEST = "Slowest belt."
_FASTEST = "Fastest belt."
_ZONE_QUANTITIES = ("panel_temperature", "exchange", "air_temperature", "air_coefficient", "belt_coefficient")


class ZoneEntry(Entry):
    """A zone of a dryer, in the direction of travel."""

    length_mm: float | None = number("Length.", unit="mm", least=10, most=30_000, stands_for="length", needed=True)
    length_in: float | None = number("Length.", unit="in", least=0.4, most=1180, stands_for="length")
    panel_c: QuantityValue | None = quantity(
        _PANEL, unit="°C", least=7, most=1200, stands_for="panel_temperature", absolute=25, needed=True
    )
    panel_f: QuantityValue | None = quantity(
        _PANEL, unit="°F", least=45, most=2190, stands_for="panel_temperature", absolute=45
    )
    exchange: QuantityValue = quantity(
        "Emissivity times view factor between panel and garment; 0 in a zone without panel.",
        least=0,
        most=1,
        stands_for="exchange",
        default=...,
        relative=0.2,
    )
    air_c: QuantityValue | None = quantity(
        _AIR, unit="°C", least=7, most=320, stands_for="air_temperature", absolute=8, needed=True
    )
    air_f: QuantityValue | None = quantity(
        _AIR, unit="°F", least=45, most=608, stands_for="air_temperature", absolute=14
    )
    air_follow: float = number(
        "Degrees that the air moves when the setting moves by one.", default=..., least=0, most=1
    )
    air_w_per_m2k: QuantityValue = quantity(
        "Convective coefficient above the garment.",
        unit="W/m²K",
        least=0,
        most=500,
        stands_for="air_coefficient",
        default=...,
        relative=0.3,
    )
    belt_w_per_m2k: QuantityValue = quantity(
        "Convective coefficient below the garment.",
        unit="W/m²K",
        least=0,
        most=500,
        stands_for="belt_coefficient",
        default=...,
        relative=0.4,
    )


class DryerEntry(Entry):
    """A dryer."""

    name: Text = Field(description="Name of the dryer.")
    setting_c: float | None = number(_SETTING, unit="°C", least=20, most=1200, stands_for="setting", needed=True)
    setting_f: float | None = number(_SETTING, unit="°F", least=68, most=2190, stands_for="setting")
    setting_low_c: float | None = number(_LOWEST, unit="°C", least=20, most=1200, stands_for="setting_low", needed=True)
    setting_low_f: float | None = number(_LOWEST, unit="°F", least=68, most=2190, stands_for="setting_low")
    setting_high_c: float | None = number(
        _HIGHEST, unit="°C", least=20, most=1200, stands_for="setting_high", needed=True
    )
    setting_high_f: float | None = number(_HIGHEST, unit="°F", least=68, most=2190, stands_for="setting_high")
    setting_error_k: QuantityValue | None = quantity(
        "How far the panels are from what is dialled in.",
        unit="K",
        least=-200,
        most=200,
        stands_for="setting_error",
        absolute=15,
    )
    belt_width_mm: float | None = number(
        "Width of the belt.", unit="mm", least=50, most=5000, stands_for="belt_width", needed=True
    )
    belt_width_in: float | None = number("Width of the belt.", unit="in", least=2, most=196, stands_for="belt_width")
    speed_low_m_per_min: float | None = number(
        _SLOWEST, unit="m/min", least=0, most=100, stands_for="speed_low", needed=True, above=True
    )
    speed_low_ft_per_min: float | None = number(
        _SLOWEST, unit="ft/min", least=0, most=328, stands_for="speed_low", above=True
    )
    speed_high_m_per_min: float | None = number(
        _FASTEST, unit="m/min", least=0, most=100, stands_for="speed_high", needed=True, above=True
    )
    speed_high_ft_per_min: float | None = number(
        _FASTEST, unit="ft/min", least=0, most=328, stands_for="speed_high", above=True
    )
    catch_s: float = number(
        "From the end of the tunnel until the garment is laid on the pile.", unit="s", default=8.0, least=0, most=3600
    )
    note: Note = Field(default="", description="Anything worth knowing.")
    zone: list[ZoneEntry] = Field(default=[], max_length=20, description="Zones in the direction of travel.")
    grade: Annotated[Grade, Field(strict=False)] = Field(
        default=Grade.ASSUMED, description="Grade of this dryer's numbers."
    )
    source: Note = Field(default="", description="Source of this dryer's numbers.")


def dryer_from(
    entry: DryerEntry,
    *,
    where: str,
    at: tuple[str | int, ...],
    folder: Path | None = None,  # noqa: ARG001 - one signature for all shelves
) -> Dryer:
    """Dryer of an entry (which names no file, so ``folder`` is not looked at)."""
    origin = Origin(grade=entry.grade, source=entry.source or unsourced(where))
    with told_at(place(where, at, name=entry.name)):
        return Dryer(
            name=entry.name,
            zones=tuple(_zone(zone, origin) for zone in entry.zone),
            setting_error=entry.read_quantity("setting_error", origin),
            catch_time=float(entry.catch_s),
            note=entry.note,
            **entry.read_numbers("setting", "setting_low", "setting_high", "belt_width", "speed_low", "speed_high"),
        )


def dryer_table(dryer: Dryer) -> dict[str, Any]:
    """Table that writes a dryer down."""
    records = [getattr(zone, attribute) for zone in dryer.zones for attribute in _ZONE_QUANTITIES]
    origin = common_origin((dryer.setting_error, *records))
    table: dict[str, Any] = {"name": dryer.name}
    for attribute in ("setting", "setting_low", "setting_high", "belt_width", "speed_low", "speed_high"):
        table |= number_keys(DryerEntry, attribute, getattr(dryer, attribute))
    table |= quantity_keys(DryerEntry, "setting_error", dryer.setting_error, origin)
    table |= {"catch_s": dryer.catch_time} | ({"note": dryer.note} if dryer.note else {})
    if origin:
        table |= {"grade": str(origin.grade), "source": origin.source}
    return table | {"zone": [_zone_table(zone, origin) for zone in dryer.zones]}


def _zone(entry: ZoneEntry, origin: Origin) -> Zone:
    return Zone(
        air_follow=float(entry.air_follow),
        panel_temperature=entry.read_needed("panel_temperature", origin),
        exchange=entry.read_needed("exchange", origin),
        air_temperature=entry.read_needed("air_temperature", origin),
        air_coefficient=entry.read_needed("air_coefficient", origin),
        belt_coefficient=entry.read_needed("belt_coefficient", origin),
        **entry.read_numbers("length"),
    )


def _zone_table(zone: Zone, origin: Origin | None) -> dict[str, Any]:
    table: dict[str, Any] = number_keys(ZoneEntry, "length", zone.length)
    table |= {"air_follow": zone.air_follow}
    for attribute in _ZONE_QUANTITIES:
        table |= quantity_keys(ZoneEntry, attribute, getattr(zone, attribute), origin)
    return table
