"""Sentences for values that a record cannot hold."""

from __future__ import annotations

import math

from laydown.errors import InvalidInput


def figure(value: float) -> str:
    """Write a number for a sentence: no power of ten between a millionth and a million million.

    Parameters
    ----------
    value : float

    Returns
    -------
    str
        At most six significant digits below a million, whole digits above it: ``0.05``, ``1,000,000``.
    """
    text = f"{value:g}"
    if "e" not in text:
        return text
    if 1e5 <= abs(value) < 1e12:
        return f"{value:,.0f}"
    if 1e-6 <= abs(value) < 1e-4:
        return f"{value:.12f}".rstrip("0")
    return text


def within(name: str, value: float, low: float, high: float, unit: str) -> None:
    """Raise InvalidInput unless ``low <= value <= high`` and finite."""
    if not (math.isfinite(value) and low <= value <= high):
        raise InvalidInput(f"{name} is {figure(value)}; allowed is {figure(low)} to {figure(high)} {unit}".rstrip())


def positive(name: str, value: float) -> None:
    """Raise InvalidInput unless the value is finite and above zero."""
    if not (math.isfinite(value) and value > 0):
        raise InvalidInput(f"{name} is {figure(value)}; it must be a number above 0")


def share(name: str, value: float) -> None:
    """Raise InvalidInput unless the value is a share of one."""
    within(name, value, 0.0, 1.0, "as a share of one")


def named(kind: str, name: str) -> None:
    """Raise InvalidInput when a record has no name to find it by, or one too long to print."""
    if not name.strip():
        raise InvalidInput(f"{kind} needs a name")
    if len(name) > 80:
        raise InvalidInput(f"the name of {kind} has {len(name)} characters; allowed are up to 80")
