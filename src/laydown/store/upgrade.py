"""Bringing a database to the newest revision, when it is opened."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Engine, inspect, text
from sqlalchemy.engine import Connection

from laydown.errors import StoreUnavailable
from laydown.store.engines import PATIENCE, READING
from laydown.store.schema import REVISION

if TYPE_CHECKING:
    from alembic.script import ScriptDirectory

_VERSION_TABLE = "alembic_version"


def upgrade(engine: Engine, *, where: str, revision: str = REVISION) -> None:
    """Upgrade a database in one transaction: it is at the newest revision afterwards, or as it was.

    Parameters
    ----------
    engine : Engine
    where : str
        Which database, for error messages.
    revision : str
        Where to stop; tests stop at older ones.

    Raises
    ------
    StoreUnavailable
        When a newer laydown wrote it, or something else did.
    """
    with engine.connect() as connection:
        connection.execution_options(**{READING: True})
        if revision_of(connection, where=where) == revision:
            return
    if engine.dialect.name == "sqlite":
        _keep_a_log_ahead(engine)
    with engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            # Moving a table's rows to a changed table would otherwise count as removing what others refer to.
            driver: Any = connection.connection.dbapi_connection
            driver.execute("PRAGMA foreign_keys = off")
        try:
            with connection.begin():
                # Somebody else may have upgraded it while this one waited for its turn.
                _migrate(connection, revision_of(connection, where=where), revision, where=where)
                if engine.dialect.name == "sqlite":
                    _check_references(connection, where=where)
        finally:
            # The connection is not to be used again with its foreign keys off.
            connection.invalidate()


def revision_of(connection: Connection, *, where: str) -> str | None:
    """Revision of a database; None for an empty one.

    Raises
    ------
    StoreUnavailable
        When it holds tables that are not laydown's.
    """
    there = set(inspect(connection).get_table_names())
    if not there:
        return None
    if _VERSION_TABLE not in there or "change_log" not in there:
        raise StoreUnavailable("this database holds tables of another program; name an empty one", where=where)
    found = connection.execute(text(f"SELECT version_num FROM {_VERSION_TABLE}")).scalar()  # noqa: S608
    return str(found) if found is not None else None


def scripts() -> ScriptDirectory:
    """Migrations of the package."""
    from alembic.script import ScriptDirectory

    return ScriptDirectory(str(Path(__file__).parent / "migrations"))


def _migrate(connection: Connection, present: str | None, wanted: str, *, where: str) -> None:
    from alembic.runtime.migration import MigrationContext
    from alembic.operations import Operations  # isort: skip

    directory = scripts()
    known = [script.revision for script in directory.walk_revisions()][::-1]
    if present is not None and present not in known:
        raise StoreUnavailable(
            f"the database is at revision {present}, written by a newer laydown than this one, which knows up to "
            f"{REVISION}; update laydown",
            where=where,
        )
    context = MigrationContext.configure(
        connection,
        opts={"fn": lambda at, _context: directory._upgrade_revs(wanted, at)},  # noqa: SLF001 - as its own command does
    )
    with Operations.context(context):
        context.run_migrations()


def _keep_a_log_ahead(engine: Engine) -> None:
    """Let readers go on while somebody writes (write-ahead log); the file remembers it."""
    until = time.monotonic() + PATIENCE
    while True:
        connection = engine.raw_connection()
        try:
            # SQLite does not wait by itself for this one.
            connection.cursor().execute("PRAGMA journal_mode = wal")
        except Exception as error:
            if "locked" not in str(error) or time.monotonic() > until:
                raise
            time.sleep(0.01)
        else:
            return
        finally:
            connection.close()


def _check_references(connection: Connection, *, where: str) -> None:
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        raise StoreUnavailable(
            f"{len(broken)} rows of the database refer to something that is not there, the first in table "
            f"{broken[0][0]}; nothing was changed, restore a backup",
            where=where,
        )
