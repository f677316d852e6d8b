"""What every table is made with: one collection of tables, moments in UTC, columns that hold one of some words."""

from __future__ import annotations

import datetime as dt
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    DateTime,
    Dialect,
    ForeignKeyConstraint,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.schema import SchemaItem


class UtcTime(TypeDecorator[dt.datetime]):
    """A moment in UTC; what goes in and comes out knows its time zone on every database."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """Turn a moment into UTC; SQLite keeps it as text without a zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} names no time zone")
        moment = value.astimezone(dt.UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:  # noqa: ARG002
        """Give a moment its zone back."""
        if value is None:
            return None
        return value.replace(tzinfo=dt.UTC) if value.tzinfo is None else value.astimezone(dt.UTC)


metadata = MetaData()
"""Every table of the store."""


def one_of(column: str, words: tuple[str, ...]) -> str:
    """SQL that holds when a column has one of some words."""
    return f"{column} IN ({', '.join(repr(word) for word in words)})"


def identity_columns() -> tuple[Column[Any], ...]:
    """Number of a row, and the key that its sender made once."""
    return Column("id", Integer, autoincrement=True, nullable=False), Column("key", String(80), nullable=False)


def added_columns(moment: str) -> tuple[Column[Any], ...]:
    """What a row takes the place of, whether it only takes that one out, when it was kept (by this name), by whom."""
    return (
        Column("replaces", Integer),
        Column("aside", Boolean, nullable=False),
        Column(moment, UtcTime, nullable=False),
        Column("made_by", String(80), nullable=False),
    )


def added_constraints(table: str) -> tuple[SchemaItem, ...]:
    """Constraints of a table that is only ever added to: each row is corrected once at most."""
    return (
        PrimaryKeyConstraint("id", name=f"pk_{table}"),
        UniqueConstraint("key", name=f"uq_{table}_key"),
        UniqueConstraint("replaces", name=f"uq_{table}_replaces"),
        ForeignKeyConstraint(["replaces"], [f"{table}.id"], name=f"fk_{table}_replaces"),
    )
