"""Sentences for values that a record cannot hold."""

from __future__ import annotations

import math

from laydown.errors import InvalidInput


def within(name: str, value: float, low: float, high: float, unit: str) -> None:
    """Raise InvalidInput unless ``low <= value <= high`` and finite."""
    if not (math.isfinite(value) and low <= value <= high):
        raise InvalidInput(f"{name} is {value:g}; allowed is {low:g} to {high:g} {unit}".rstrip())


def positive(name: str, value: float) -> None:
    """Raise InvalidInput unless the value is finite and above zero."""
    if not (math.isfinite(value) and value > 0):
        raise InvalidInput(f"{name} is {value:g}; it must be a number above 0")


def share(name: str, value: float) -> None:
    """Raise InvalidInput unless the value is a share of one."""
    within(name, value, 0.0, 1.0, "as a share of one")


def named(kind: str, name: str) -> None:
    """Raise InvalidInput when a record has no name to find it by, or one too long to print."""
    if not name.strip():
        raise InvalidInput(f"{kind} needs a name")
    if len(name) > 80:
        raise InvalidInput(f"the name of {kind} has {len(name)} characters; allowed are up to 80")
