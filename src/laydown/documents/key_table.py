"""The keys of a file as a table of the manual, made from the models so that it cannot go stale."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Iterator
from enum import Enum
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from laydown.documents.dryer_file import DryerEntry, ZoneEntry
from laydown.documents.entry import groups, key_facts
from laydown.documents.garment_file import GarmentEntry
from laydown.documents.ink_file import InkEntry
from laydown.documents.order_entry import (
    CareEntry,
    OrderGarment,
    OrderHead,
    PrintEntry,
    RequirementsEntry,
    ThermalEntry,
)
from laydown.documents.press_file import FlashEntry, PressEntry
from laydown.documents.quantity_value import QuantityTable
from laydown.documents.rule_file import ConditionEntry, RuleEntry
from laydown.documents.screen_file import MeshEntry, ScreenEntry
from laydown.documents.shop_file import ClimateEntry, CostsEntry, NameEntry, PracticeEntry, PreferencesEntry
from laydown.documents.unit_keys import file_unit
from laydown.domain.dryer import Dryer
from laydown.domain.garment import Garment
from laydown.domain.ink import Ink, InkOptics
from laydown.domain.order import Care, Requirements
from laydown.domain.press import Press
from laydown.domain.screen import Screen

MODELS: tuple[type[BaseModel], ...] = (
    QuantityTable,
    NameEntry,
    PreferencesEntry,
    ClimateEntry,
    CostsEntry,
    PracticeEntry,
    GarmentEntry,
    InkEntry,
    ScreenEntry,
    MeshEntry,
    PressEntry,
    FlashEntry,
    DryerEntry,
    ZoneEntry,
    RuleEntry,
    ConditionEntry,
    OrderHead,
    OrderGarment,
    PrintEntry,
    RequirementsEntry,
    CareEntry,
    ThermalEntry,
)
"""Every table that a file of a shop or an order may have."""

RECORDS: tuple[tuple[type[BaseModel], type[Any]], ...] = (
    (GarmentEntry, Garment),
    (InkEntry, Ink),
    (InkEntry, InkOptics),
    (ScreenEntry, Screen),
    (PressEntry, Press),
    (DryerEntry, Dryer),
    (RequirementsEntry, Requirements),
    (CareEntry, Care),
)
"""Records whose defaults hold where a file's key has none of its own."""

_PLAIN = (
    ("str", "text"),
    ("bool", "true or false"),
    ("int", "whole number"),
    ("float", "number"),
    ("date", "date"),
    ("dict", "table"),
)


def key_table(model: type[BaseModel], *, without: type[BaseModel] | None = None) -> str:
    """Markdown table of a model's keys: meaning, what may stand there, what is taken when the key is absent.

    Parameters
    ----------
    model : type of pydantic model
    without : type of pydantic model or None
        A model whose keys are described elsewhere and left out here.
    """
    lines = ["| key | meaning | allowed | when absent |", "|---|---|---|---|"]
    # Fields of a parent class come first; people look for the name there.
    for name, field in sorted(model.model_fields.items(), key=lambda item: item[0] != "name"):
        if without is None or name not in without.model_fields:
            absent = _absent(model, name, field)
            lines.append(f"| `{field.alias or name}` | {field.description} | {_allowed(field)} | {absent} |")
    return "\n".join(lines) + "\n"


def _allowed(field: FieldInfo) -> str:
    facts = key_facts(field)
    words = tuple(_words(field.annotation))
    if words:
        several = "list of " if _kind(field.annotation).startswith("list") else ""
        return several + ", ".join(f"`{word}`" for word in words)
    kind = _kind(field.annotation)
    if "maximum" not in facts:
        return kind
    unit = f" {facts['unit']}" if facts.get("unit") else ""
    above = "exclusiveMinimum" in facts
    low = f"{facts['exclusiveMinimum' if above else 'minimum']:.10g}"
    span = f"{'above ' if above else ''}{low} {'up to' if above else 'to'} {facts['maximum']:.10g}{unit}"
    if "spread" not in facts:
        return f"{kind}, {span}"
    relative = facts.get("spread_is") == "relative"
    spread = f"{100 * facts['spread']:g} %" if relative else f"{facts['spread']:g}{unit}"
    return f"quantity, {span}; ± {spread}"


def _absent(model: type[BaseModel], name: str, field: FieldInfo) -> str:
    facts = key_facts(field)
    keys = groups(model).get(facts.get("stands_for", ""), (name,))
    if name != keys[0]:
        return f"see `{keys[0]}`"
    if facts.get("needed"):
        unless = facts.get("needed_unless")
        ways = [*keys[1:], *([unless] if unless else [])]
        return f"must be there, or {' or '.join(f'`{key}`' for key in ways)}" if ways else "must be there"
    if field.default is PydanticUndefined:
        return "must be there"
    default = field.default
    if default is None:
        default = _of_record(model, facts.get("stands_for", name))
        if isinstance(default, int | float) and "unit" in facts and not isinstance(default, bool):
            unit = file_unit(facts["unit"])
            return f"{unit.from_si(float(default)):g} {facts['unit']}".rstrip()
    return _default(default)


def _of_record(model: type[BaseModel], attribute: str) -> Any:
    for entry, record in RECORDS:
        for one in dataclasses.fields(record) if entry is model else ():
            if one.name == attribute and one.default is not dataclasses.MISSING:
                return one.default
    return None


def _default(default: Any) -> str:
    if default is None or isinstance(default, BaseModel):
        return "–"
    if isinstance(default, bool):
        return "true" if default else "false"
    if isinstance(default, list):
        return ", ".join(f"`{item}`" for item in default) or "empty"
    if isinstance(default, int | float):
        return f"{default:g}"
    return f"`{default}`" if str(default) else "empty"


def _words(annotation: Any) -> Iterator[str]:
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        yield from (str(member.value) for member in annotation)
    elif get_origin(annotation) is Literal:
        yield from (str(argument) for argument in get_args(annotation))
    elif annotation is not QuantityTable:
        for argument in get_args(annotation):
            yield from _words(argument)


def _kind(annotation: Any) -> str:
    origin = get_origin(annotation)
    if origin in {Union, types.UnionType}:
        kinds = [_kind(argument) for argument in get_args(annotation) if argument is not type(None)]
        return " or ".join(dict.fromkeys(kinds))
    if origin is list:
        inner = next(iter(get_args(annotation)), None)
        return "blocks" if _is_model(inner) else f"list of {_kind(inner)}s"
    if origin is not None and hasattr(annotation, "__metadata__"):
        return _kind(get_args(annotation)[0])
    if _is_model(annotation):
        return "table"
    name = getattr(origin or annotation, "__name__", "")
    return dict(_PLAIN).get(name, "text")


def _is_model(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)
