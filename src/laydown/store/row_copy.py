"""Copying every row of one database into another, of either kind, within the transactions of both."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Table, func, select, text
from sqlalchemy.engine import Connection

from laydown.store.schema import change_log, file_chunks, metadata

_AT_ONCE = 500
_CHUNKS_AT_ONCE = 8
_COUNTERS = tuple(table for table in metadata.sorted_tables if table.columns.keys()[0] == "id")


def copy_rows(source: Connection, target: Connection, *, leave_out: Iterable[Table] = ()) -> None:
    """Copy every row into empty tables; both databases are at the newest revision.

    Parameters
    ----------
    source, target : Connection
        Each in a transaction; the source's sees one moment.
    leave_out : iterable of Table
        Tables that stay empty.
    """
    left = set(leave_out)
    for table in metadata.sorted_tables:
        if table in left:
            continue
        at_once = _CHUNKS_AT_ONCE if table is file_chunks else _AT_ONCE
        rows = source.execution_options(yield_per=at_once).execute(select(table).order_by(*table.primary_key.columns))
        for part in rows.partitions(at_once):
            target.execute(table.insert(), [dict(row._mapping) for row in part])  # noqa: SLF001 - its public name
    if target.dialect.name == "postgresql":
        count_on(target)


def empty_tables(connection: Connection) -> None:
    """Remove every row, also those that nothing else can remove; the transaction may still be undone."""
    triggers = _guards(connection)
    for name, table, _ in triggers:
        on = "" if connection.dialect.name == "sqlite" else f" ON {table}"
        connection.execute(text(f"DROP TRIGGER {name}{on}"))
    for table in reversed(metadata.sorted_tables):
        connection.execute(table.delete())
    for _, _, making in triggers:
        connection.exec_driver_sql(making)


def has_rows(connection: Connection) -> bool:
    """Whether anything was ever written to the database."""
    return connection.execute(select(func.count()).select_from(change_log)).scalar_one() > 0


def _guards(connection: Connection) -> tuple[tuple[str, str, str], ...]:
    """Triggers that keep rows from being changed: name, table, and the statement that makes it."""
    if connection.dialect.name == "sqlite":
        asked = "SELECT name, tbl_name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
    else:
        asked = (
            "SELECT tgname, tgrelid::regclass::text, pg_get_triggerdef(pg_trigger.oid) FROM pg_trigger "
            "JOIN pg_class ON pg_class.oid = tgrelid "
            "WHERE relnamespace = current_schema()::regnamespace AND NOT tgisinternal ORDER BY tgname"
        )
    return tuple((name, table, making) for name, table, making in connection.exec_driver_sql(asked).fetchall())


def count_on(connection: Connection) -> None:
    """Let numbers of a PostgreSQL database go on above every number that was given out or came from elsewhere."""
    for table in _COUNTERS:
        sequence = f"pg_get_serial_sequence('{table.name}', 'id')"
        present = connection.execute(text(f"SELECT last_value, is_called FROM {_name(connection, sequence)}")).one()  # noqa: S608
        largest = connection.execute(select(func.max(table.c.id))).scalar()
        given = max(present.last_value if present.is_called else 0, largest or 0)
        if given:
            connection.execute(text(f"SELECT setval({sequence}, {given})"))


def _name(connection: Connection, sequence: str) -> str:
    return str(connection.execute(text(f"SELECT {sequence}")).scalar_one())
