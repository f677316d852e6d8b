"""The numbers of a plan's document by their paths, such as ``prints[0].forecast.bleed.days[3].difference.p50``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from laydown.documents.plan_parts import QuantityDocument, SpreadDocument

_INSIDE = (SpreadDocument, QuantityDocument)
"""Documents whose keys mean nothing without the key that holds them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNumber:
    """One number of a plan.

    Attributes
    ----------
    path : str
        Keys joined by dots, places in a list counted from 0, as they stand in the JSON.
    value : float
        In the unit that the key names.
    meaning : str
        What the schema says of it.
    """

    path: str
    value: float
    meaning: str


def plan_numbers(document: BaseModel) -> tuple[PlanNumber, ...]:
    """Every number of a document, in its order; truth values are none."""
    return tuple(_numbers(document, "", ""))


def _numbers(part: Any, path: str, meaning: str) -> Iterator[PlanNumber]:
    if isinstance(part, BaseModel):
        around = f"{meaning} " if isinstance(part, _INSIDE) else ""
        for key, field in type(part).model_fields.items():
            yield from _numbers(
                getattr(part, key), f"{path}.{key}" if path else key, f"{around}{field.description or ''}"
            )
    elif isinstance(part, tuple | list):
        for n, item in enumerate(part):
            yield from _numbers(item, f"{path}[{n}]", meaning)
    elif isinstance(part, int | float) and not isinstance(part, bool):
        yield PlanNumber(path=path, value=part, meaning=meaning)
