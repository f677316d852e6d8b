"""A copy of the store in one file, made while everybody goes on working.

The file is a SQLite database whichever kind the store is, so that it can be restored into either.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from laydown.errors import InvalidInput, StoreUnavailable
from laydown.store.database import Store, open_store
from laydown.store.failures import told_failures
from laydown.store.row_copy import copy_rows, has_rows

_PIECE = 1 << 20
_BESIDE = ("-wal", "-shm", "-journal")


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """A backup that was made.

    Attributes
    ----------
    path, checksum : Path
        The copy, and beside it its SHA-256 in the form that ``sha256sum -c`` reads.
    size : int
        Bytes.
    """

    path: Path
    checksum: Path
    sha256: str
    size: int


def backup(store: Store, path: Path) -> Backup:
    """Copy the store as it is at one moment into a file; readers and writers are not held up.

    Parameters
    ----------
    store : Store
    path : Path
        A file that is not there yet. It appears only when it is whole and was checked.

    Raises
    ------
    InvalidInput
        When there is such a file already, or its folder cannot be written to.
    StoreUnavailable
        When the store is damaged or cannot be read, or the disk of the copy is full.
    """
    if path.exists():
        raise InvalidInput("there is such a file already; name another one for the backup", where=str(path))
    partial = path.with_name(path.name + ".partial")
    try:
        # Password hashes are in it.
        os.close(os.open(partial, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InvalidInput(f"the backup cannot be written there ({reason})", where=str(path)) from None
    try:
        with told_failures(str(path)):
            if store.kind == "sqlite":
                _copy_file(Path(str(store.address.database)), partial)
            else:
                _copy_tables(store, partial)
            _make_single(partial)
        check_file(partial, where=store.where)
        return _place(partial, path)
    finally:
        for ending in ("", *_BESIDE):
            Path(f"{partial}{ending}").unlink(missing_ok=True)


def checksum_file(path: Path) -> Path:
    """Where the SHA-256 of a backup stands."""
    return path.with_name(path.name + ".sha256")


def check_file(path: Path, *, where: str) -> None:
    """Check a SQLite file page by page and reference by reference.

    Raises
    ------
    StoreUnavailable
        When it is damaged; the sentence begins with ``where``.
    """
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        said = [row[0] for row in connection.execute("PRAGMA integrity_check(3)")]
        broken = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.DatabaseError as error:
        said, broken = [str(error)], []
    finally:
        connection.close()
    if said != ["ok"] or broken:
        what = said[0] if said != ["ok"] else f"a row of {broken[0][0]} refers to something that is not there"
        raise StoreUnavailable(f"the database is damaged ({what}); restore an earlier backup", where=where)


def sha256_of(path: Path) -> str:
    """SHA-256 of a file."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while piece := file.read(_PIECE):
            digest.update(piece)
    return digest.hexdigest()


def _copy_file(source: Path, target: Path) -> None:
    reading, writing = sqlite3.connect(f"{source.as_uri()}?mode=ro", uri=True), sqlite3.connect(target)
    try:
        # In one step: it reads one moment, and as the log is written ahead, writers need not wait for it.
        reading.backup(writing, pages=-1)
    finally:
        reading.close()
        writing.close()


def _copy_tables(store: Store, target: Path) -> None:
    with open_store(str(target)) as copy, store.read() as source, copy.engine.begin() as connection:
        if has_rows(source.connection):
            copy_rows(source.connection, connection)


def _make_single(path: Path) -> None:
    """Make one file of a database and the logs beside it."""
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        connection.execute("PRAGMA journal_mode = delete")
    finally:
        connection.close()


def _place(partial: Path, path: Path) -> Backup:
    digest = sha256_of(partial)
    checksum = checksum_file(path)
    try:
        with partial.open("rb") as file:
            os.fsync(file.fileno())
        checksum.write_text(f"{digest}  {path.name}\n", encoding="utf-8")
        partial.replace(path)
    except OSError as error:
        raise InvalidInput(f"the backup cannot be written there ({error.strerror})", where=str(path)) from None
    return Backup(path=path, checksum=checksum, sha256=digest, size=path.stat().st_size)
