"""What probes run through: dryers and flash units, by name, on a shop's shelves and in the store."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from laydown.domain.dryer import Dryer
from laydown.domain.press import Flash
from laydown.domain.probe_log import ProbeConditions
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput, NotFound
from laydown.store import shelves
from laydown.store.shelves import ShelfItem
from laydown.store.transaction import Transaction
from laydown.units import to_celsius

Machine = Dryer | Flash

WHAT = "dryer or flash unit"

LARGEST_SETTING = 1500.0
"""Highest panel setting of a dryer [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredMachine:
    """A machine as the shelves have it.

    Attributes
    ----------
    revision : int
        State of its shelf item; of a flash unit that of the first press it stands at.
    """

    record: Machine
    revision: int


def in_shop(shop: Shop, name: str) -> Machine:
    """Dryer or flash unit of a shop.

    Raises
    ------
    NotFound
        When no shelf has it.
    """
    known: dict[str, Machine] = {dryer.name: dryer for dryer in shop.dryers}
    for unit in (unit for press in shop.presses for unit in press.flashes):
        known.setdefault(unit.name, unit)
    if name not in known:
        raise NotFound(WHAT, name, known)
    return known[name]


def with_machine(shop: Shop, machine: Machine) -> Shop:
    """Shop with a machine in the place of the one that has its name."""
    if isinstance(machine, Dryer):
        return replace(shop, dryers=tuple(machine if one.name == machine.name else one for one in shop.dryers))
    presses = tuple(
        replace(press, flashes=tuple(machine if unit.name == machine.name else unit for unit in press.flashes))
        for press in shop.presses
    )
    return replace(shop, presses=presses)


def names(tx: Transaction) -> tuple[tuple[str, bool], ...]:
    """Name of every dryer, then of every flash unit, and whether it is a flash unit."""
    dryers = [item.name for item in shelves.shelf(tx, "dryers")]
    units = dict.fromkeys(name for press in shelves.shelf(tx, "presses") for name in flash_names(press.document))
    return (*((name, False) for name in dryers), *((name, True) for name in units if name not in dryers))


def flash_names(press: Mapping[str, Any]) -> list[str]:
    """Names of the flash units in a press's document."""
    return [str(one["name"]) for one in press.get("flash", ()) if isinstance(one, dict) and "name" in one]


def stored(tx: Transaction, name: str) -> StoredMachine:
    """Machine in the store.

    Raises
    ------
    NotFound
        When no shelf has it.
    """
    item = shelves.find(tx, "dryers", name)
    if item is not None:
        return StoredMachine(record=shelves.record(tx, item), revision=item.revision)
    for press in shelves.shelf(tx, "presses"):
        for unit in shelves.record(tx, press).flashes:
            if unit.name == name:
                return StoredMachine(record=unit, revision=press.revision)
    raise NotFound(WHAT, name, (known for known, _ in names(tx)))


def put(tx: Transaction, document: Mapping[str, Any], *, revision: int) -> ShelfItem:
    """Put a fitted machine on the shelf; a flash unit at every press that it stands at.

    Parameters
    ----------
    document : mapping
        Dryer in the keys of ``dryers.toml``, or flash unit in those of ``presses.toml``.
    revision : int
        State of the shelf that the fit started from (`StoredMachine.revision`).

    Raises
    ------
    NotFound
        When no shelf has it.
    Conflict
        When somebody changed it since.
    """
    name = str(document.get("name", ""))
    dryer = shelves.find(tx, "dryers", name)
    if dryer is not None:
        return shelves.put(tx, "dryers", document, revision=revision, note=dryer.note)
    presses = [press for press in shelves.shelf(tx, "presses") if name in flash_names(press.document)]
    if not presses:
        raise NotFound(WHAT, name, (known for known, _ in names(tx)))
    changed = []
    for place, press in enumerate(presses):
        units = [document if unit.get("name") == name else unit for unit in press.document["flash"]]
        state = revision if place == 0 else press.revision
        changed.append(shelves.put(tx, "presses", {**press.document, "flash": units}, revision=state, note=press.note))
    return changed[0]


def check_conditions(machine: Machine, conditions: ProbeConditions) -> None:
    """Hold what is said of a log against the machine.

    Raises
    ------
    InvalidInput
        When a flash is told of a dryer, or a belt of a flash unit.
    """
    if isinstance(machine, Dryer) and conditions.flash_seconds is not None:
        raise InvalidInput(f"{machine.name} is a dryer, which does not flash; give its belt speed", where="flash_s")
    if isinstance(machine, Dryer) and conditions.setting > LARGEST_SETTING:
        raise InvalidInput(
            f"the panel setting of a dryer is at most {to_celsius(LARGEST_SETTING):.0f} °C", where="panel"
        )
    if isinstance(machine, Flash) and conditions.speed is not None:
        raise InvalidInput(f"{machine.name} is a flash unit, which has no belt; give its seconds", where="belt")


def setting_of(machine: Machine, said: float | None) -> float:
    """Panel setting that a log is kept with [K]; of a flash unit, which is not dialled, the shelf's emitters.

    Raises
    ------
    InvalidInput
        When nobody said it of a dryer.
    """
    if isinstance(machine, Flash):
        return machine.radiant_temperature.value
    if said is None:
        raise InvalidInput("the panel setting of a dryer is needed", where="panel_c")
    return said
