"""What a database driver says, as one sentence that a user can act on."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, TimeoutError as PoolTimeout  # isort: skip

from laydown.errors import StoreUnavailable

_FULL = "the disk that holds the database is full, so nothing of this change was kept; free some space and try again"
_BUSY = "somebody else is writing to the database for longer than usual; nothing of this change was kept, try again"

_BY_MESSAGE = (
    ("database or disk is full", _FULL),
    ("disk i/o error", "the disk refused to write or read, so nothing of this change was kept; is it full or failing?"),
    ("database is locked", _BUSY),
    ("readonly database", "the database may not be written to; check the permissions of its file and folder"),
    ("unable to open database file", "the file cannot be opened; check that its folder exists and may be written to"),
    ("file is not a database", "this file is no SQLite database, or is damaged; restore a backup or name another file"),
    ("malformed", "the database is damaged; restore the newest backup ('laydown restore')"),
)
"""SQLite's words, lower case, and ours."""

_BY_STATE = (
    ("53100", _FULL),
    ("55P03", _BUSY),
    ("40P01", _BUSY),
    ("40001", _BUSY),
    ("25006", "the database may only be read at the moment; is this a standby server?"),
    ("28", "the server refused the name or the password of the address"),
    ("3D000", "the server has no database of that name; create it first (createdb)"),
    ("42501", "the server's user may not do this; it needs to own the database's schema"),
    ("53300", "the server has no connection left; raise its max_connections or close other programs"),
    ("57P", "the server is shutting down or starting; try again in a moment"),
    ("58", "the server's disk refused to write or read; nothing of this change was kept"),
)
"""SQLSTATE or its beginning, and our words."""


@contextmanager
def told_failures(where: str) -> Iterator[None]:
    """Raise StoreUnavailable for what a user can do something about; other errors of the driver pass unchanged.

    Parameters
    ----------
    where : str
        Which database, without its password.
    """
    try:
        yield
    except PoolTimeout:
        raise StoreUnavailable(_BUSY, where=where, busy=True) from None
    except DBAPIError as error:
        sentence = _sentence(error.orig)
        if sentence is None:
            raise
        raise StoreUnavailable(sentence, where=where, busy=sentence is _BUSY) from error
    except sqlite3.Error as error:
        sentence = _sentence(error)
        if sentence is None:
            raise
        raise StoreUnavailable(sentence, where=where, busy=sentence is _BUSY) from error


def _sentence(error: BaseException | None) -> str | None:
    if isinstance(error, sqlite3.Error):
        words = str(error).lower()
        return next((sentence for known, sentence in _BY_MESSAGE if known in words), None)
    state = getattr(error, "sqlstate", None)
    if state:
        return next((sentence for known, sentence in _BY_STATE if str(state).startswith(known)), None)
    # Without a state the server was never reached or went away.
    if type(error).__name__ in {"OperationalError", "ConnectionTimeout"}:
        first = (str(error).strip().splitlines() or ["no answer"])[0]
        return f"the server cannot be reached ({first}); nothing of this change was kept"
    return None
