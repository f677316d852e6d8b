"""The shipped tables, opened when they are asked for and never before."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TypeVar

from laydown.data.catalogue import QuantityKind, Source, parse_quantities, parse_sources
from laydown.data.table_text import Table, is_long_form, parse_table
from laydown.domain.quantity import Quantity
from laydown.errors import NotFound

Value = TypeVar("Value")


@cache
def read_table(name: str) -> Mapping[str, Mapping[str, Quantity]]:
    """Numbers of one shipped table.

    Parameters
    ----------
    name : str
        Name of the file in ``data/tables`` without its ending.

    Returns
    -------
    mapping of str to mapping of str to Quantity
        By row name, then by quantity; SI units; read-only and shared, as it is read once.

    Raises
    ------
    NotFound
        When there is no such table.
    InvalidInput
        When a row does not hold to the rules of `laydown.data.table_text.parse_table`.

    Examples
    --------
    >>> round(read_table("meshes")["43/80"]["thread"].value * 1e6, 3)
    80.0
    """
    return _frozen(_table(name).numbers)


@cache
def read_words(name: str) -> Mapping[str, Mapping[str, str]]:
    """Words of one shipped table (a weave, a surface), by row name, then by quantity.

    Raises
    ------
    NotFound, InvalidInput
        As for `read_table`.
    """
    return _frozen(_table(name).words)


@cache
def table_names() -> tuple[str, ...]:
    """Names of the shipped tables in long form, in alphabetical order."""
    folder = files("laydown.data") / "tables"
    return tuple(
        sorted(
            entry.name.removesuffix(".csv")
            for entry in folder.iterdir()
            if entry.name.endswith(".csv") and is_long_form(entry.read_text(encoding="utf-8"))
        )
    )


@cache
def sources() -> Mapping[str, Source]:
    """Every source that a table may name, by key."""
    return MappingProxyType(parse_sources(_text("sources.toml"), where="sources.toml"))


@cache
def quantity_kinds() -> Mapping[str, QuantityKind]:
    """Every quantity that a table may hold, by name."""
    return MappingProxyType(parse_quantities(_text("quantities.toml"), where="quantities.toml"))


def find_source(origin: str) -> Source | None:
    """Source that `Quantity.source` points to, or None when the number is not from a shipped table.

    Parameters
    ----------
    origin : str
        ``key: place``, as `read_table` writes it.
    """
    return sources().get(origin.partition(":")[0])


@cache
def _table(name: str) -> Table:
    if name not in table_names():
        raise NotFound("table", name, table_names())
    return parse_table(_text(f"tables/{name}.csv"), where=f"{name}.csv", sources=sources(), kinds=quantity_kinds())


def _text(path: str) -> str:
    return (files("laydown.data") / path).read_text(encoding="utf-8")


def _frozen(table: dict[str, dict[str, Value]]) -> Mapping[str, Mapping[str, Value]]:
    return MappingProxyType({name: MappingProxyType(row) for name, row in table.items()})
