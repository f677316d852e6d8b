"""Records of the shelves as JSON documents, in the keys and units of the shop's files, and back."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any, NamedTuple

from laydown.documents.dryer_file import DryerEntry, dryer_from, dryer_table
from laydown.documents.entry import Entry
from laydown.documents.garment_file import GarmentEntry, garment_from, garment_table
from laydown.documents.ink_file import InkEntry, ink_from, ink_table
from laydown.documents.mesh_shelf import shipped_meshes
from laydown.documents.press_file import PressEntry, press_from, press_table
from laydown.documents.protocol_file import ProtocolEntry, protocol_from, protocol_table
from laydown.documents.rule_file import RuleEntry, rule_from, rule_table
from laydown.documents.screen_file import (
    CLOSED,
    MeshEntry,
    ScreenEntry,
    mesh_from,
    mesh_table,
    screen_from,
    screen_table,
)
from laydown.documents.sentences import nearest, place, validated
from laydown.documents.shop_file import (
    ClimateEntry,
    CostsEntry,
    NameEntry,
    PracticeEntry,
    PreferencesEntry,
    climate_from,
    costs_from,
    practice_from,
    preferences_from,
    shop_table,
)
from laydown.domain.screen import Mesh, Screen
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.store.transaction import json_text
from laydown.store.words import SETTINGS, SHELF_KINDS

Document = Mapping[str, Any]


class Kind(NamedTuple):
    """How the items of one kind of shelf item are read and written."""

    kind: str
    model: type[Entry]
    read: Callable[..., Any]
    table: Callable[[Any], dict[str, Any]] | None


KINDS = (
    Kind("garments", GarmentEntry, garment_from, garment_table),
    Kind("inks", InkEntry, ink_from, ink_table),
    Kind("meshes", MeshEntry, mesh_from, mesh_table),
    Kind("screens", ScreenEntry, screen_from, screen_table),
    Kind("presses", PressEntry, press_from, press_table),
    Kind("dryers", DryerEntry, dryer_from, dryer_table),
    Kind("rules", RuleEntry, rule_from, rule_table),
    Kind("protocols", ProtocolEntry, protocol_from, protocol_table),
    Kind("shop", NameEntry, lambda entry, **_: entry.name, None),
    Kind("preferences", PreferencesEntry, lambda entry, **_: preferences_from(entry), None),
    Kind("climate", ClimateEntry, climate_from, None),
    Kind("costs", CostsEntry, costs_from, None),
    Kind("practice", PracticeEntry, practice_from, None),
)

RULES_FILE = "rules.toml"
"""Where a rule says it is from; rules tell their place, and it is the same as in an exported folder."""


def record_of(kind: str, document: str, meshes: Mapping[str, Mesh] | None = None) -> Any:
    """Record of a document.

    Parameters
    ----------
    kind : str
        One of `laydown.store.words.SHELF_KINDS`.
    document : str
        JSON text.
    meshes : mapping of str to Mesh
        Meshes that a screen may stand on.

    Returns
    -------
    Garment, Ink, Mesh, Screen, Press, Dryer, Rule, str (the shop's name), Preferences, Climate, Costs or Practice

    Raises
    ------
    InvalidInput
        When the document is none of that kind.
    """
    if kind == "screens":
        return _screen(document, meshes or {})
    return _record(kind, document)


def canonical(kind: str, document: Document, meshes: Mapping[str, Mesh] | None = None) -> str:
    """JSON text of a document with every default filled in; the same record always gives the same text.

    Raises
    ------
    InvalidInput
        As `record_of`, or when the kind is unknown.
    """
    if kind not in SHELF_KINDS:
        raise InvalidInput(f"there is no shelf {kind!r}; {nearest(kind, SHELF_KINDS)}", where="kind")
    try:
        text = json_text(document)
    except (TypeError, ValueError) as error:
        raise InvalidInput(f"this cannot be written as JSON ({error})", where=f"the shelf of {kind}") from None
    record = record_of(kind, text, meshes)
    if kind in SETTINGS:
        return text
    written = json_text(document_of(kind, record))
    # A name or a number that the files could not hold is found out now, not when the shop is exported.
    if record_of(kind, written, meshes) != record:  # pragma: no cover - the files' own tests hold this
        raise InvalidInput("this cannot be written down without loss", where=f"the shelf of {kind}")
    return written


def document_of(kind: str, record: Any) -> dict[str, Any]:
    """Document of a record that stands on a shelf; not for settings, which `setting_documents` gives."""
    table = next(one.table for one in KINDS if one.kind == kind)
    if table is None:
        raise ValueError(kind)
    return table(record)


def setting_documents(shop: Shop) -> dict[str, dict[str, Any]]:
    """Documents of a shop's settings, by kind."""
    document = shop_table(shop)
    return {kind: document.get(kind, {}) for kind in SETTINGS}


def name_in(kind: str, document: Document) -> str:
    """Name that an item has on its shelf; that of a setting is its kind."""
    if kind in SETTINGS:
        return kind
    name = document.get("name")
    if not isinstance(name, str):
        raise InvalidInput("this key is missing: name on the shelf", where=f"the shelf of {kind}, name")
    return name


def numbered(rules: tuple[Any, ...]) -> tuple[Any, ...]:
    """Rules that tell their place on the shelf."""
    return tuple(replace(rule, where=place(RULES_FILE, ("rule", index))) for index, rule in enumerate(rules))


def own_meshes(shop: Shop) -> dict[str, Mesh]:
    """Meshes of a shop's screens that the shipped table does not have, by name.

    Raises
    ------
    InvalidInput
        When two screens have different meshes of one name.
    """
    shipped = shipped_meshes()
    return {name: mesh for name, mesh in used_meshes(shop).items() if shipped.get(name) != mesh}


def used_meshes(shop: Shop) -> dict[str, Mesh]:
    """Meshes of a shop's screens, by name."""
    meshes: dict[str, Mesh] = {}
    for mesh in (screen.mesh for screen in shop.screens):
        if mesh is not None and meshes.setdefault(mesh.name, mesh) != mesh:
            raise InvalidInput(f"two screens have different meshes named {mesh.name!r}; names must differ")
    return meshes


@lru_cache(maxsize=4096)
def _record(kind: str, document: str) -> Any:
    """Read a document once: records never change, so whoever asks again may have the same one."""
    one = next(one for one in KINDS if one.kind == kind)
    table = json.loads(document)
    name = table.get("name")
    told = name[:80] if isinstance(name, str) and kind not in SETTINGS else ""
    where = f"the shelf of {kind}" if kind not in SETTINGS else "the shop's settings"
    entry = validated(one.model, table, where=where, at=(kind,) if kind in SETTINGS else (), name=told)
    if kind == "meshes":
        return one.read(entry, where=where, file=where)
    if kind in SETTINGS:
        return one.read(entry, where=where)
    return one.read(entry, where=RULES_FILE if kind == "rules" else where, at=(), folder=None)


def _screen(document: str, meshes: Mapping[str, Mesh]) -> Screen:
    name = json.loads(document).get("mesh")
    mesh = meshes.get(name) if isinstance(name, str) and name not in {"", CLOSED} else None
    return _screen_on(document, mesh) if mesh is not None else _screen_among(document, meshes)


@lru_cache(maxsize=1024)
def _screen_on(document: str, mesh: Mesh) -> Screen:
    return _screen_among(document, {mesh.name: mesh})


def _screen_among(document: str, meshes: Mapping[str, Mesh]) -> Screen:
    table = json.loads(document)
    name = table.get("name")
    where = "the shelf of screens"
    told = f"{where} ({name[:80]})" if isinstance(name, str) else where
    return screen_from(validated(ScreenEntry, table, where=told), meshes, where=told)
