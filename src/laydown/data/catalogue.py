"""What the shipped tables may refer to: the sources and the kinds of quantity, read from their TOML texts."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from typing import Any

from laydown.data.unit_names import find_unit
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where numbers come from.

    Attributes
    ----------
    key : str
        Name that table rows use.
    citation : str
        What a reader needs to find it, or what was assumed and why.
    grade : Grade
        How far numbers from it can be trusted.
    read : str
        When it was read (year and month); empty for what was recalled or assumed.
    doi, licence : str
        Empty where there is none or it is not known.
    """

    key: str
    citation: str
    grade: Grade
    read: str = ""
    doi: str = ""
    licence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityKind:
    """What a table row may hold under one quantity name.

    Attributes
    ----------
    name, meaning : str
    unit : str
        SI unit; empty for a word.
    units : tuple of str
        Units that rows may be written in, the SI unit among them.
    low, high : float
        Bounds of what is possible at all [SI]; outside is a slip, not a finding.
    words : tuple of str
        The words allowed, when the quantity is a word; otherwise empty.
    """

    name: str
    meaning: str
    unit: str = ""
    units: tuple[str, ...] = ()
    low: float = -math.inf
    high: float = math.inf
    words: tuple[str, ...] = ()


def parse_sources(text: str, *, where: str) -> dict[str, Source]:
    """Read ``sources.toml``.

    Raises
    ------
    InvalidInput
        When the text is no TOML, a source lacks its citation or grade, or a key or grade is unknown.
    """
    sources = {}
    for key, entry in _tables(text, where=where).items():
        place = f"{where}, [{key}]"
        _check_keys(entry, required=("citation", "grade"), optional=("read", "doi", "licence"), where=place)
        for name, value in entry.items():
            if not isinstance(value, str) or not value.strip():
                raise InvalidInput(f"{name} must be a text that is not empty", where=place)
        try:
            grade = Grade(entry["grade"])
        except ValueError:
            raise InvalidInput(
                f"the grade {entry['grade']!r} is unknown; allowed are {', '.join(Grade)}", where=place
            ) from None
        sources[key] = Source(key=key, **(entry | {"grade": grade}))
    return sources


def parse_quantities(text: str, *, where: str) -> dict[str, QuantityKind]:
    """Read ``quantities.toml``.

    Raises
    ------
    InvalidInput
        When the text is no TOML, a quantity has neither unit and bounds nor words, a unit is unknown or
        belongs to another SI unit, or the bounds are not in order.
    """
    kinds = {}
    for name, entry in _tables(text, where=where).items():
        place = f"{where}, [{name}]"
        if "words" in entry:
            _check_keys(entry, required=("meaning", "words"), optional=(), where=place)
            kinds[name] = QuantityKind(name=name, meaning=entry["meaning"], words=tuple(entry["words"]))
            continue
        _check_keys(entry, required=("meaning", "unit", "low", "high"), optional=("units",), where=place)
        units = (entry["unit"], *entry.get("units", ()))
        for written in units:
            unit = find_unit(written)
            if unit is None or unit.si != entry["unit"]:
                raise InvalidInput(f"the unit {written!r} is unknown or is no unit of the same kind", where=place)
        low, high = entry["low"], entry["high"]
        if not (_is_finite(low) and _is_finite(high) and low < high):
            raise InvalidInput("the bounds must be finite numbers with low < high", where=place)
        kinds[name] = QuantityKind(
            name=name, meaning=entry["meaning"], unit=entry["unit"], units=units, low=float(low), high=float(high)
        )
    return kinds


def _tables(text: str, *, where: str) -> dict[str, dict[str, Any]]:
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InvalidInput(f"this is no TOML: {error}", where=where) from None
    for key, entry in document.items():
        if not isinstance(entry, dict):
            raise InvalidInput(f"{key!r} stands outside of a [table]", where=where)
    return document


def _is_finite(number: object) -> bool:
    return isinstance(number, int | float) and not isinstance(number, bool) and math.isfinite(number)


def _check_keys(entry: dict[str, Any], *, required: tuple[str, ...], optional: tuple[str, ...], where: str) -> None:
    for key in required:
        if key not in entry:
            raise InvalidInput(f"{key!r} is missing", where=where)
    for key in entry:
        if key not in required + optional:
            raise InvalidInput(f"{key!r} is unknown; allowed are {', '.join(required + optional)}", where=where)
