"""A quantity in a file: a plain number, ``{ value, pm }`` or ``{ value, low, high, grade, source }``."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetJsonSchemaHandler, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from laydown.documents.sentences import shown_value
from laydown.documents.unit_keys import file_unit, written
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.validity import figure


def check_range(number: float, extra: Mapping[str, Any], *, what: str = "") -> None:
    """Raise ValueError unless the number lies within what its key allows.

    Parameters
    ----------
    number : float
        In the key's unit.
    extra : mapping
        Facts of the key: ``unit``, ``minimum`` or ``exclusiveMinimum``, ``maximum``.
    what : str
        How the number came about, when it does not stand in the file itself.
    """
    above = "exclusiveMinimum" in extra
    low = extra["exclusiveMinimum"] if above else extra["minimum"]
    high = extra["maximum"]
    if (low < number if above else low <= number) and number <= high:
        return
    unit = f" {extra['unit']}" if extra["unit"] else ""
    span = f"above {figure(low)} up to {figure(high)}" if above else f"{figure(low)} to {figure(high)}"
    told = f"{what} is {shown_value(number)}{unit}, which" if what else f"{shown_value(number)}{unit}"
    raise ValueError(f"{told} is not allowed; allowed is {span}{unit}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Grade and source that the numbers of an entry have unless one says otherwise."""

    grade: Grade
    source: str


class QuantityTable(BaseModel):
    """A number with its interval, grade and source; in the unit of its key."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    value: float = Field(description="Best estimate, in the unit that the key names.")
    low: float | None = Field(
        default=None, description="Lower end of the interval that holds nine of ten; with `high`."
    )
    high: float | None = Field(
        default=None, description="Upper end of the interval that holds nine of ten; with `low`."
    )
    pm: float | None = Field(default=None, ge=0, description="Half-width of the interval, instead of `low` and `high`.")
    grade: Annotated[Grade, Field(strict=False)] | None = Field(
        default=None, description="How the number came to be known."
    )
    source: str | None = Field(default=None, min_length=1, max_length=500, description="Where the number is from.")

    @model_validator(mode="after")
    def _interval(self) -> Self:
        if (self.low is None) != (self.high is None):
            raise ValueError("low and high are given together, or pm (plus or minus) instead of both")
        if self.pm is not None and self.low is not None:
            raise ValueError("give either pm (plus or minus) or low and high, not both")
        if self.low is not None and self.high is not None and not self.low <= self.value <= self.high:
            raise ValueError(
                f"the value {figure(self.value)} lies outside its own interval {figure(self.low)} to "
                f"{figure(self.high)}; low <= value <= high must hold"
            )
        return self

    def check(self, extra: Mapping[str, Any]) -> None:
        """Raise ValueError unless value, low and high lie within what the key allows."""
        for number in (self.value, self.low, self.high):
            if number is not None:
                check_range(number, extra)
        if self.pm is not None:
            check_range(self.value - self.pm, extra, what=f"{figure(self.value)} minus {figure(self.pm)}")
            check_range(self.value + self.pm, extra, what=f"{figure(self.value)} plus {figure(self.pm)}")


def _as_table(value: Any) -> Any:
    if isinstance(value, dict | QuantityTable):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool):
        return {"value": value}
    raise ValueError(f"{value!r} is neither a number nor a table such as {{ value = 180, low = 170, high = 190 }}")


class _NumberToo:
    """Tell the JSON schema that a plain number does as well as the table."""

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return {"anyOf": [{"type": "number"}, handler(core_schema)]}


QuantityValue = Annotated[QuantityTable, BeforeValidator(_as_table), _NumberToo]
"""A plain number or a table; a plain number takes the spread of its key and the origin of its entry."""


def make_quantity(table: QuantityTable, extra: Mapping[str, Any], origin: Origin) -> Quantity:
    """Quantity in SI units.

    Parameters
    ----------
    table : QuantityTable
    extra : mapping
        Facts of the key: ``unit``, ``minimum``, ``maximum``, ``spread`` and ``spread_is``.
    origin : Origin
        Grade and source where the table names none.
    """
    to_si = file_unit(extra["unit"]).to_si
    low, high = _interval_of(table, extra)
    return Quantity(
        value=to_si(float(table.value)),
        low=to_si(float(low)),
        high=to_si(float(high)),
        grade=table.grade or origin.grade,
        source=table.source or origin.source,
    )


def _interval_of(table: QuantityTable, extra: Mapping[str, Any]) -> tuple[float, float]:
    if table.low is not None and table.high is not None:
        return table.low, table.high
    if table.pm is not None:
        return table.value - table.pm, table.value + table.pm
    half = extra["spread"] * (abs(table.value) if extra.get("spread_is") == "relative" else 1.0)
    # What a key does not allow is not part of an interval that nobody wrote down.
    low = max(table.value - half, extra.get("minimum", extra.get("exclusiveMinimum")))
    return min(low, table.value), max(min(table.value + half, extra["maximum"]), table.value)


def quantity_table(record: Quantity, extra: Mapping[str, Any], origin: Origin | None) -> tuple[Any, bool]:
    """Write a quantity down as a number or a table, and tell whether reading it gives the same quantity.

    Parameters
    ----------
    record : Quantity
    extra : mapping
        Facts of the key, as in `make_quantity`.
    origin : Origin or None
        What the entry says of its numbers; None when each number has to say it itself.
    """
    unit = file_unit(extra["unit"])
    numbers = {name: written(getattr(record, name), unit) for name in ("value", "low", "high")}
    own = Origin(grade=record.grade, source=record.source)
    if own == origin:
        plain = QuantityTable.model_validate({"value": numbers["value"][0]})
        if make_quantity(plain, extra, own) == record:
            return plain.value, True
    value, low, high = (numbers[name][0] for name in ("value", "low", "high"))
    # Where the unit cannot reach a number to the last bit, the order of the three must still hold.
    table: dict[str, Any] = {"value": value, "low": min(low, value), "high": max(high, value)}
    if own != origin:
        table |= {"grade": str(record.grade), "source": record.source}
    return table, all(exact for _, exact in numbers.values())


def common_origin(quantities: Iterable[Quantity | None]) -> Origin | None:
    """Grade and source that most of some quantities have, the first of them when several are as common."""
    origins = [Origin(grade=q.grade, source=q.source) for q in quantities if q is not None]
    return max(origins, key=origins.count) if origins else None
