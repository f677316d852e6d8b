"""Open the store, and read or write in a transaction."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Self

from sqlalchemy import Engine
from sqlalchemy.engine import URL

from laydown.errors import InvalidInput, StoreUnavailable
from laydown.store.address import address_of, told
from laydown.store.engines import ONE_MOMENT, PATIENCE, READING, engine_for
from laydown.store.failures import told_failures
from laydown.store.remembered import Remembered
from laydown.store.transaction import Transaction
from laydown.store.upgrade import upgrade


class Store:
    """A shop's database. Made by `open_store`; threads may share one, processes may not.

    Attributes
    ----------
    where : str
        Which database: the file, or the address without its password.
    """

    def __init__(self, engine: Engine, address: URL) -> None:
        self.engine = engine
        self.address = address
        self.where = told(address)
        # Threads of one process queue here in turn; SQLite itself lets waiting writers starve.
        self._turn = threading.Lock()
        self._remembered = Remembered()

    @property
    def kind(self) -> str:
        """``sqlite`` or ``postgresql``."""
        return self.engine.dialect.name

    @contextmanager
    def read(self) -> Iterator[Transaction]:
        """Read in one moment: what others write meanwhile is not seen, and they are not held up.

        Raises
        ------
        StoreUnavailable
            When the database cannot be read.
        """
        with told_failures(self.where), self.engine.connect() as connection:
            connection.execution_options(**(ONE_MOMENT if self.kind == "postgresql" else {READING: True}))
            with connection.begin():
                yield Transaction(connection, who="", now=_now(), writes=False, remembered=self._remembered)

    @contextmanager
    def write(self, *, who: str) -> Iterator[Transaction]:
        """Write all or nothing; one writer at a time, so what is read in here stays true until the end.

        Keep it short, and never open one within another.

        Parameters
        ----------
        who : str
            Person (or door, such as ``command line``) that the log names.

        Raises
        ------
        StoreUnavailable
            When the database cannot be written to; nothing was kept then.
        """
        if not who.strip() or len(who) > 80:
            raise InvalidInput("a change needs the name of who makes it, of up to 80 characters", where="who")
        if not self._turn.acquire(timeout=PATIENCE):
            raise StoreUnavailable(
                "somebody else is writing to the database for longer than usual; nothing of this change was kept, "
                "try again",
                where=self.where,
                busy=True,
            )
        try:
            with told_failures(self.where), self.engine.connect() as connection, connection.begin():
                yield Transaction(connection, who=who, now=_now(), writes=True, remembered=self._remembered)
        finally:
            self._turn.release()

    def close(self) -> None:
        """Close every connection; the store may not be used afterwards."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def open_store(url: str | None = None) -> Store:
    """Open a database, make it when it is missing (SQLite), and bring it to the newest revision.

    Parameters
    ----------
    url : str or None
        ``sqlite:///<file>``, the path of a SQLite file or ``postgresql://<user>@<host>/<database>``; None: SQLite in
        the user's data folder.

    Raises
    ------
    InvalidInput
        When the address cannot be read.
    StoreUnavailable
        When the database cannot be opened, is damaged, or was written by a newer laydown or another program.
    """
    address = address_of(url)
    engine = engine_for(address)
    try:
        with told_failures(told(address)):
            upgrade(engine, where=told(address))
    except BaseException:
        engine.dispose()
        raise
    return Store(engine, address)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
