"""What every table of a file has in common: keys that wear units, ranges, and exactly one of several units."""

from __future__ import annotations

from itertools import combinations
from typing import Any, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from laydown.documents.quantity_value import Origin, QuantityTable, check_range, make_quantity, quantity_table
from laydown.documents.unit_keys import file_unit, written
from laydown.domain.quantity import Quantity


class Entry(BaseModel):
    """A table of a file: unknown keys, wrong types, NaN and infinity are refused.

    Fields made by `number` and `quantity` carry what they stand for (``group``, the record's attribute), their unit
    and their range. Several fields of one group are one quantity in several units: at most one of them may be
    given.
    """

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    @field_validator("*", mode="after")
    @classmethod
    def _in_range(cls, value: Any, info: ValidationInfo) -> Any:
        extra = key_facts(cls.model_fields[info.field_name or ""])
        if isinstance(value, QuantityTable):
            value.check(extra)
        elif isinstance(value, int | float) and "unit" in extra:
            check_range(value, extra)
        return value

    @model_validator(mode="after")
    def _one_of_each_group(self) -> Self:
        for keys in groups(type(self)).values():
            given = [key for key in keys if getattr(self, key) is not None]
            if len(given) > 1:
                raise ValueError(f"{' and '.join(given)} say the same thing in two units; give only one of them")
            unless = key_facts(type(self).model_fields[keys[0]]).get("needed_unless")
            freed = unless is not None and getattr(self, unless) is not None
            if not given and not freed and key_facts(type(self).model_fields[keys[0]]).get("needed"):
                raise ValueError(f"{' or '.join(keys)} is missing; exactly one of them is needed")
        return self

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Say in the schema as well which keys exclude each other and of which one is needed."""
        schema = handler(core_schema)
        rules: list[dict[str, Any]] = []
        for keys in groups(cls).values():
            rules += [{"not": {"required": list(pair)}} for pair in combinations(keys, 2)]
            facts = key_facts(cls.model_fields[keys[0]])
            if facts.get("needed"):
                unless = facts.get("needed_unless")
                rules.append({"anyOf": [{"required": [key]} for key in (*keys, *([unless] if unless else []))]})
        if rules:
            handler.resolve_ref_schema(schema)["allOf"] = rules
        return schema

    def read_number(self, group: str) -> float | None:
        """Plain number of a group in SI units, or None when it was not given."""
        for key in groups(type(self))[group]:
            number = getattr(self, key)
            if number is not None:
                return file_unit(key_facts(type(self).model_fields[key])["unit"]).to_si(float(number))
        return None

    def read_numbers(self, *names: str) -> dict[str, Any]:
        """Plain numbers that were given, in SI units by the record's attribute."""
        return {name: number for name in names if (number := self.read_number(name)) is not None}

    def read_quantity(self, group: str, origin: Origin) -> Quantity | None:
        """Quantity of a group, or None when it was not given."""
        for key in groups(type(self))[group]:
            table = getattr(self, key)
            if table is not None:
                return make_quantity(table, key_facts(type(self).model_fields[key]), origin)
        return None

    def read_needed(self, group: str, origin: Origin) -> Quantity:
        """Quantity of a group that the entry cannot do without (its fields are marked as needed)."""
        quantity = self.read_quantity(group, origin)
        if quantity is None:  # pragma: no cover - the validator has refused such an entry
            raise ValueError(group)
        return quantity


def number(
    meaning: str,
    *,
    unit: str = "",
    least: float,
    most: float,
    default: Any = None,
    stands_for: str = "",
    needed: bool = False,
    **more: Any,
) -> Any:
    """Field for a plain number in a unit, within a range that the schema publishes too.

    Parameters
    ----------
    meaning : str
        One sentence for the schema and the manual.
    unit : str
        Symbol of a unit in `laydown.documents.unit_keys.FILE_UNITS`.
    least, most : float
        What is allowed, in the unit.
    default
        Taken when the key is absent; ``...`` when the key must be there.
    stands_for : str
        Attribute of the record; the key is one of several units of it.
    needed : bool
        Whether one of the group must be given.
    **more
        ``spread``, ``spread_is`` of a quantity; ``above=True`` when ``least`` itself is not allowed;
        ``needed_unless``, the key whose presence makes a needed group optional.
    """
    above = more.pop("above", False)
    extra = {"unit": unit, "exclusiveMinimum" if above else "minimum": least, "maximum": most, **more}
    extra |= {"stands_for": stands_for} if stands_for else {}
    extra |= {"needed": True} if needed else {}
    return Field(default, description=meaning, json_schema_extra=extra)


def quantity(
    meaning: str,
    *,
    unit: str = "",
    least: float,
    most: float,
    stands_for: str,
    default: Any = None,
    relative: float | None = None,
    absolute: float | None = None,
    needed: bool = False,
) -> Any:
    """Field for a number with an interval: `number` with the spread that a plain number is given.

    Parameters
    ----------
    relative, absolute : float
        Half-width of the 90 % interval taken when the file gives a plain number: as a share of the number, or in
        the field's unit. Exactly one of them.
    """
    spread = {"spread": relative, "spread_is": "relative"} if relative is not None else {"spread": absolute}
    return number(
        meaning, unit=unit, least=least, most=most, default=default, stands_for=stands_for, needed=needed, **spread
    )


def key_facts(field: FieldInfo) -> dict[str, Any]:
    """Look up what `number` wrote beside a field; empty for other fields."""
    extra = field.json_schema_extra
    return dict(extra) if isinstance(extra, dict) else {}


def groups(model: type[BaseModel]) -> dict[str, tuple[str, ...]]:
    """Keys of a model by the attribute that they stand for, in the order they are declared."""
    found: dict[str, tuple[str, ...]] = {}
    for key, field in model.model_fields.items():
        attribute = key_facts(field).get("stands_for")
        if attribute:
            found[attribute] = (*found.get(attribute, ()), key)
    return found


def number_keys(model: type[BaseModel], attribute: str, si: float | None) -> dict[str, Any]:
    """Key and number that write an SI number down, in the first of the units that reads back exactly."""
    if si is None:
        return {}
    first: dict[str, Any] = {}
    for key in groups(model)[attribute]:
        value, exact = written(si, file_unit(key_facts(model.model_fields[key])["unit"]))
        if exact:
            return {key: value}
        first = first or {key: value}
    return first


def quantity_keys(
    model: type[BaseModel], attribute: str, record: Quantity | None, origin: Origin | None
) -> dict[str, Any]:
    """Key and value that write a quantity down.

    Parameters
    ----------
    origin : Origin or None
        What the entry says of all its numbers, so that it need not be said again; None: say it with the number.
    """
    if record is None:
        return {}
    first: dict[str, Any] = {}
    for key in groups(model)[attribute]:
        value, exact = quantity_table(record, key_facts(model.model_fields[key]), origin)
        if exact:
            return {key: value}
        first = first or {key: value}
    return first
