"""Connections set up so that writers wait for each other and readers see one moment."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import URL, Connection
from sqlalchemy.exc import NoSuchModuleError
from sqlalchemy.pool import QueuePool

from laydown.errors import InvalidInput, StoreUnavailable
from laydown.store.address import told

PATIENCE = 15.0
"""Seconds that a writer waits for another before it gives up."""

WRITE_LOCK = 0x6C61_7964
"""Number of the advisory lock that a PostgreSQL writer holds until its end."""

READING = "laydown_reading"
"""Execution option of a connection that will only read."""

ONE_MOMENT = {READING: True, "isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
"""Options of a PostgreSQL transaction that reads one moment; the driver sends them along with its beginning."""


def engine_for(address: URL) -> Engine:
    """Engine of an address; nothing is connected to yet.

    Raises
    ------
    StoreUnavailable
        When the driver for PostgreSQL is not installed, or the folder of a SQLite file cannot be made.
    """
    if address.get_backend_name() == "sqlite":
        return _sqlite(address)
    return _postgresql(address)


def _sqlite(address: URL) -> Engine:
    _ensure_file(Path(str(address.database)))
    engine = create_engine(
        address,
        poolclass=QueuePool,
        pool_size=8,
        max_overflow=56,
        hide_parameters=True,
        connect_args={"timeout": PATIENCE, "check_same_thread": False},
    )

    @event.listens_for(engine, "connect")
    def _connect(connection: Any, _record: Any) -> None:
        # The driver's own guess at when a transaction begins would let two readers overwrite each other's changes.
        connection.isolation_level = None
        cursor = connection.cursor()
        for pragma in (
            f"busy_timeout = {int(PATIENCE * 1000)}",
            "foreign_keys = on",
            # A change that was confirmed survives a power cut as well, not only a crash of the program.
            "synchronous = full",
        ):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        reading = connection.get_execution_options().get(READING, False)
        connection.exec_driver_sql(f"PRAGMA query_only = {'on' if reading else 'off'}")
        connection.exec_driver_sql("BEGIN" if reading else "BEGIN IMMEDIATE")

    return engine


def _postgresql(address: URL) -> Engine:
    try:
        engine = create_engine(
            address,
            pool_size=8,
            max_overflow=24,
            pool_pre_ping=True,
            hide_parameters=True,
            connect_args={"options": f"-c timezone=UTC -c lock_timeout={int(PATIENCE * 1000)}", "connect_timeout": 10},
        )
    except (ModuleNotFoundError, NoSuchModuleError):
        raise StoreUnavailable(
            "the driver for PostgreSQL is not installed; install laydown with its extra 'postgresql'",
            where=told(address),
        ) from None

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        if not connection.get_execution_options().get(READING, False):
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITE_LOCK})")

    return engine


def _ensure_file(path: Path) -> None:
    """Make the file and its folder for their owner only: password hashes lie in it."""
    try:
        if path.is_dir():
            raise InvalidInput("this is a folder, but the database is a file", where=str(path))
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise StoreUnavailable(f"the file cannot be opened ({reason})", where=str(path)) from None
