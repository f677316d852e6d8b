"""Shelf items as people read them: numbers in the units they like, each with interval, grade and source."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from laydown.documents.entry import key_facts
from laydown.documents.quantity_value import Origin, QuantityTable, make_quantity
from laydown.documents.unit_keys import file_unit
from laydown.domain.quantity import Grade
from laydown.domain.shop import Preferences
from laydown.services.shelf_editing_rows import Row, UnitKey, model_in
from laydown.store.shelf_documents import KINDS
from laydown.store.shelves import ShelfItem


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A value as it is read.

    Attributes
    ----------
    name, label, meaning : str
        Of the form's row.
    value : str
        With its unit.
    interval : str
        Nine times out of ten it lies in there; empty for what has no uncertainty.
    grade, source : str
        Empty for what has none.
    inherited : bool
        Whether grade and source are those of the item as a whole.
    swatch : str
        ``#rrggbb`` of a colour, else empty.
    blocks : tuple of tuple of Shown
        Of a row that holds blocks.
    """

    name: str
    label: str
    meaning: str
    value: str
    interval: str = ""
    grade: str = ""
    source: str = ""
    inherited: bool = False
    swatch: str = ""
    blocks: tuple[tuple[Shown, ...], ...] = field(default=())


def shown_item(
    item: ShelfItem, rows: tuple[Row, ...], preferences: Preferences, decimal: str = "."
) -> tuple[Shown, ...]:
    """Read an item's values out, those that it does not have left out."""
    model = next(one.model for one in KINDS if one.kind == item.kind)
    grade = str(item.document.get("grade") or Grade.ASSUMED)
    origin = Origin(grade=Grade(grade), source=str(item.document.get("source") or "no source named"))
    return _shown(rows, item.document, model, origin, preferences, decimal)


def _shown(
    rows: tuple[Row, ...],
    document: Mapping[str, Any],
    model: Any,
    origin: Origin,
    preferences: Preferences,
    decimal: str,
) -> tuple[Shown, ...]:
    found = []
    for row in rows:
        unit = next((one for one in row.keys if document.get(one.key) is not None), None)
        if unit is None:
            continue
        value = document[unit.key]
        make = partial(Shown, name=row.name, label=row.label, meaning=row.meaning)
        if row.kind == "quantity":
            facts = key_facts(model.model_fields[unit.key])
            found.append(_quantity(row, unit, value, facts, origin, preferences, decimal, make))
        elif row.kind == "blocks":
            inner = model_in(model.model_fields[unit.key].annotation)
            blocks = tuple(_shown(row.rows, block, inner, origin, preferences, decimal) for block in value)
            found.append(make(value=str(len(blocks)), blocks=blocks))
        elif row.kind == "number" and not isinstance(value, bool):
            best = _preferred(row.keys, unit, preferences)
            found.append(make(value=_with_unit(_converted(value, unit, best), best.unit, decimal)))
        else:
            swatch = value if row.name == "colour" else ""
            found.append(make(value=_plain(row, value, decimal), swatch=swatch))
    return tuple(found)


def _quantity(
    row: Row,
    unit: UnitKey,
    value: Any,
    facts: Mapping[str, Any],
    origin: Origin,
    preferences: Preferences,
    decimal: str,
    make: Callable[..., Shown],
) -> Shown:
    table = QuantityTable.model_validate(value if isinstance(value, Mapping) else {"value": value})
    quantity = make_quantity(table, facts, origin)
    best = _preferred(row.keys, unit, preferences)
    from_si = file_unit(best.unit).from_si
    low, high = (_figure(from_si(number), decimal) for number in (quantity.low, quantity.high))
    return make(
        value=_with_unit(from_si(quantity.value), best.unit, decimal),
        interval=f"{low} to {high}" if low != high else "",
        grade=str(quantity.grade),
        source=quantity.source,
        inherited=table.grade is None and table.source is None,
    )


def _preferred(keys: tuple[UnitKey, ...], given: UnitKey, preferences: Preferences) -> UnitKey:
    liked = {
        "°C" if preferences.temperature == "C" else "°F",
        *(("in", "ft/min", "mil") if preferences.length == "inch" else ("mm", "m/min", "µm")),
        "threads/in" if preferences.mesh == "inch" else "threads/cm",
        "oz/yd²" if preferences.areal_mass == "oz" else "g/m²",
    }
    return next((key for key in keys if key.unit in liked), given)


def _converted(value: float, given: UnitKey, wanted: UnitKey) -> float:
    return value if given is wanted else file_unit(wanted.unit).from_si(file_unit(given.unit).to_si(float(value)))


def _with_unit(number: float, unit: str, decimal: str) -> str:
    return f"{_figure(number, decimal)} {unit}".rstrip()


def _figure(number: float, decimal: str) -> str:
    text = f"{number:.5g}"
    text = f"{number:,.0f}" if "e" in text and 1e5 <= abs(number) < 1e9 else text
    text = text.replace("-", "−")
    return text.replace(",", "\u2009").replace(".", ",") if decimal == "," else text


def _plain(row: Row, value: Any, decimal: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if row.kind == "conditions":
        return "; ".join(_condition(one, decimal) for one in value) or "always"
    if row.kind == "shares":
        return ", ".join(f"{_figure(share, decimal)} % {fibre}" for fibre, share in value.items())
    if isinstance(value, list):
        if len(value) > 6:
            return f"{len(value)} numbers, {_figure(min(value), decimal)} to {_figure(max(value), decimal)}"
        return ", ".join(_figure(one, decimal) if isinstance(one, int | float) else str(one) for one in value) or "–"
    return _figure(value, decimal) if isinstance(value, int | float) else str(value) or "–"


def _condition(condition: Mapping[str, Any], decimal: str) -> str:
    test, value = next((key, value) for key, value in condition.items() if key != "fact" and value is not None)
    told = " or ".join(value) if isinstance(value, list) else value
    if isinstance(told, bool):
        told = "yes" if told else "no"
    elif isinstance(told, int | float):
        told = _figure(told, decimal)
    return f"{condition['fact']} {test.replace('_', ' ')} {told}"
