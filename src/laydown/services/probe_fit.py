"""Read probe logs, fit a dryer to them, and match dryers: plain questions with plain answers, without the store."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from laydown.documents.dryer_file import dryer_table
from laydown.documents.press_file import flash_table
from laydown.documents.probe_log import ProbePreview, preview_probe_log, read_probe_log
from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.garment import Garment
from laydown.domain.plan import Plan
from laydown.domain.probe_log import ProbeConditions, ProbeLog, ProbeMapping
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.services.probe_machines import Machine, check_conditions, in_shop

if TYPE_CHECKING:
    from laydown.lab.dryer_fit import DryerFit
    from laydown.lab.dryer_match import DryerMatch
    from laydown.lab.flash_fit import FlashFit
    from laydown.lab.probe_reading import ProbeReading

ABOVE = 433.15
"""Temperature that times are counted from where nobody asks for another [K]: what most plastisols fuse at (160 °C)."""

ABOVE_FLASH = 383.15
"""The same under a flash [K]: what the quickest whites gel at (110 °C)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeFile:
    """A logger's file with what it needs to be understood.

    Attributes
    ----------
    mapping : ProbeMapping or None
        None: guessed.
    garment : Garment
        What lay on the belt.
    """

    content: bytes
    name: str
    conditions: ProbeConditions
    garment: Garment
    mapping: ProbeMapping | None = None


def probe_file(
    shop: Shop, content: bytes, name: str, conditions: ProbeConditions, *, mapping: ProbeMapping | None = None
) -> ProbeFile:
    """File with the garment that its conditions name.

    Raises
    ------
    NotFound
        When machine or garment are on no shelf.
    InvalidInput
        When the conditions are those of another machine.
    """
    check_conditions(in_shop(shop, conditions.dryer), conditions)
    garment = shop.garment(conditions.garment)
    return ProbeFile(content=content, name=name, conditions=conditions, garment=garment, mapping=mapping)


def preview(content: bytes, name: str, *, mapping: ProbeMapping | None = None) -> ProbePreview:
    """Show what is understood of a logger's file.

    Raises
    ------
    InvalidInput
        When not even its columns can be made out.
    """
    return preview_probe_log(content, where=name, mapping=mapping)


def read(machine: Machine, file: ProbeFile, *, above: float = ABOVE) -> tuple[ProbeLog, ProbeReading]:
    """Log and what it says: peaks, time above a temperature [K], lanes, rates, belt speed, doubts.

    Raises
    ------
    InvalidInput
        With file and line, when it cannot be read.
    """
    from laydown.lab.probe_reading import read_probe

    log = read_probe_log(file.content, where=file.name, mapping=file.mapping)
    length = machine.length if isinstance(machine, Dryer) else None
    reading = read_probe(log, above=above, tunnel_length=length, dialled_speed=file.conditions.speed)
    return log, reading


def usual_above(machine: Machine) -> float:
    """Temperature that times are counted from where nobody asks for another [K]."""
    return ABOVE if isinstance(machine, Dryer) else ABOVE_FLASH


def fit(machine: Machine, climate: Climate, files: Sequence[ProbeFile], *, above: float = ABOVE) -> DryerFit | FlashFit:
    """Fit a machine's coefficients to logs; nothing is written anywhere.

    Raises
    ------
    InvalidInput
        When a log cannot be read or used, or is of another machine.
    """
    from laydown.lab.dryer_fit import fit_dryer
    from laydown.lab.fit_readings import FitLog
    from laydown.lab.flash_fit import fit_flash
    from laydown.models.cloth import describe_cloth

    for file in files:
        if file.conditions.dryer != machine.name:
            raise InvalidInput(f"this log is of {file.conditions.dryer}, not of {machine.name}", where=file.name)
    logs = [
        FitLog(
            log=read_probe_log(file.content, where=file.name, mapping=file.mapping),
            conditions=file.conditions,
            cloth=describe_cloth(file.garment),
            name=file.name,
        )
        for file in files
    ]
    if isinstance(machine, Dryer):
        return fit_dryer(machine, climate, logs, above=above)
    return fit_flash(machine, climate, logs)


def fitted(found: DryerFit | FlashFit) -> Machine:
    """Machine that a fit gives."""
    from laydown.lab.dryer_fit import DryerFit

    return found.dryer if isinstance(found, DryerFit) else found.flash


def source_of(machine: Machine) -> str:
    """What its numbers name as their source."""
    return (machine.zones[0].panel_temperature if isinstance(machine, Dryer) else machine.radiant_temperature).source


def machine_file(shop: Shop, machine: Machine) -> str:
    """Text of the shop's file that a machine stands in: ``dryers.toml`` or ``presses.toml``."""
    from laydown.documents.shop_folder import shop_texts

    return shop_texts(shop)["dryers.toml" if isinstance(machine, Dryer) else "presses.toml"]


def document(machine: Machine) -> Mapping[str, Any]:
    """Machine in the keys and units of ``dryers.toml``, a flash unit in those of ``presses.toml``."""
    return dryer_table(machine) if isinstance(machine, Dryer) else flash_table(machine)


def match(shop: Shop, plan: Plan, dryer_name: str, *, print_index: int = 0, own_shop: Shop | None = None) -> DryerMatch:
    """Panel and belt that give a plan's curve on a dryer, or by how much they cannot.

    Parameters
    ----------
    shop : Shop
        Whose dryer it is, with its shelves of today.
    plan : Plan
    dryer_name : str
    print_index : int
        Which print, counted from 0.
    own_shop : Shop, optional
        Shop that the plan rests on, when that is not today's: the curve that is asked for is the plan's own.

    Raises
    ------
    InvalidInput
        When the print has no stack, or there is no such print.
    NotFound
        When the dryer is on no shelf.
    """
    from laydown.lab.dryer_match import match_dryer, target_of
    from laydown.models.cloth import describe_cloth

    if not 0 <= print_index < len(plan.prints):
        raise InvalidInput(f"the plan has {len(plan.prints)} prints, so there is no print {print_index + 1}")
    chosen = plan.prints[print_index]
    if chosen.settings is None or chosen.forecast is None:
        raise InvalidInput("this print has no stack yet, so it has no curve", where=chosen.place)
    before = own_shop or shop
    kept, forecast = chosen.settings.dryer, chosen.forecast
    cloth = describe_cloth(plan.order.garment)
    target = target_of(
        before.dryer(kept.dryer),
        cloth,
        before.climate,
        film=forecast.film.p50,
        setting=kept.panel_temperature,
        speed=kept.belt_speed,
        above=forecast.cure.needed_temperature,
    )
    return match_dryer(shop.dryer(dryer_name), cloth, shop.climate, target, film=forecast.film.p50)
