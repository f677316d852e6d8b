"""Parts that the documents of order, forecast and plan are made of; numbers in the unit that their key names."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from laydown.domain.forecast import Spread
from laydown.domain.quantity import Quantity

DIGITS = 9
"""Significant digits of a number in a document: cents of any order, and no dust from converting units."""

Share = Annotated[float, Field(ge=0, le=1)]
Lab = tuple[float, float, float]
Convert = Callable[[float], float]


class Document(BaseModel):
    """A table of the document; every key is always there, empty ones as null or an empty list."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class SpreadDocument(Document):
    """Percentiles of a forecast, in the unit of the key that holds it."""

    p10: float = Field(description="One in ten lies below.")
    p50: float = Field(description="Median.")
    p90: float = Field(description="One in ten lies above.")


class QuantityDocument(Document):
    """A number with the interval that holds it nine times out of ten, its grade and its source."""

    value: float = Field(description="Best estimate, in the unit of the key that holds it.")
    low: float = Field(description="Lower end of the interval.")
    high: float = Field(description="Upper end of the interval.")
    grade: str = Field(description="How the number came to be known: measured here, published, ..., assumed.")
    source: str = Field(description="Where the number is from.")


class AmountDocument(Document):
    """One term of a sum of money."""

    name: str = Field(description="What it is for.")
    amount: float = Field(description="In the currency of the sum.")


def same(number: float) -> float:
    """Leave a number in its unit."""
    return number


def shown(number: float, convert: Convert = same) -> float:
    """Convert a number and cut it to `DIGITS` significant digits."""
    return float(f"{convert(float(number)):.{DIGITS}g}")


def shown_or_none(number: float | None, convert: Convert = same) -> float | None:
    """Show a number that may be missing."""
    return None if number is None else shown(number, convert)


def shown_all(numbers: Iterable[float], convert: Convert = same) -> tuple[float, ...]:
    """Show each of some numbers."""
    return tuple(shown(number, convert) for number in numbers)


def shown_lab(lab: Lab) -> Lab:
    """Show CIELAB coordinates."""
    return shown(lab[0]), shown(lab[1]), shown(lab[2])


def spread_document(spread: Spread, convert: Convert = same) -> SpreadDocument:
    """Document of percentiles."""
    return SpreadDocument(
        p10=shown(spread.p10, convert), p50=shown(spread.p50, convert), p90=shown(spread.p90, convert)
    )


def quantity_document(quantity: Quantity, convert: Convert = same) -> QuantityDocument:
    """Document of a quantity."""
    return QuantityDocument(
        value=shown(quantity.value, convert),
        low=shown(quantity.low, convert),
        high=shown(quantity.high, convert),
        grade=str(quantity.grade),
        source=quantity.source,
    )
