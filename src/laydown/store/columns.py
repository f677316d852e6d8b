"""What every table is made with: one collection of tables, moments in UTC, columns that hold one of some words."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import DateTime, Dialect, MetaData, TypeDecorator


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
