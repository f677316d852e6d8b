"""Putting a backup in the place of what a store holds, also while others have it open."""

from __future__ import annotations

import datetime as dt
import shutil
import sqlite3
import tempfile
from dataclasses import dataclass
from pathlib import Path

from laydown.errors import InvalidInput, StoreUnavailable
from laydown.store.address import address_of
from laydown.store.backup import backup, check_file, checksum_file, sha256_of
from laydown.store.database import Store, open_store
from laydown.store.row_copy import copy_rows, empty_tables, has_rows
from laydown.store.schema import sessions


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """A backup that was restored.

    Attributes
    ----------
    where : str
        The database.
    kept : Path or None
        Where that is now which was in it before: a backup of its own, or the damaged file itself; None when it was
        empty.
    """

    where: str
    kept: Path | None


def restore(path: Path, url: str | None = None, *, who: str = "restore", without_checksum: bool = False) -> Restored:
    """Check a backup, then put it in the place of what a database holds; what was there is kept.

    It happens in one transaction: whoever reads sees the one or the other. Nobody who was logged in when the backup
    was made is logged in afterwards.

    Parameters
    ----------
    path : Path
        File of `laydown.store.backup.backup`, of this or an earlier revision, of either kind of database.
    url : str or None
        As `laydown.store.database.open_store`.
    who : str
        Whom the log names.
    without_checksum : bool
        Go on although the checksum beside the file is gone.

    Raises
    ------
    InvalidInput
        When the file is no backup, or its checksum is missing or another.
    StoreUnavailable
        When the backup is damaged or was made by a newer laydown, or the database cannot be written to.
    """
    address = address_of(url)
    file = Path(str(address.database)) if address.get_backend_name() == "sqlite" else None
    _check_sum(path, without_checksum=without_checksum)
    moment = f"{dt.datetime.now(dt.UTC):%Y%m%dT%H%M%S%fZ}"
    with tempfile.TemporaryDirectory(prefix="laydown-restore-") as folder:
        copy = Path(folder) / "copy.sqlite"
        _copy(path, copy)
        check_file(copy, where=str(path))
        with _opened(copy, told=path) as source:
            if file is not None:
                kept = _move_damaged(file, moment)
                beside = file
            else:
                kept, beside = None, path
            with open_store(url) as target:
                was = _replace(source, target, beside.with_name(f"{beside.name}.before-{moment}"), path.name, who)
                return Restored(where=target.where, kept=kept or was)


def _check_sum(path: Path, *, without_checksum: bool) -> None:
    if not path.is_file():
        raise InvalidInput("there is no such file", where=str(path))
    beside = checksum_file(path)
    if not beside.exists():
        if without_checksum:
            return
        raise InvalidInput(
            f"its checksum {beside.name} is missing beside it, so it cannot be told whether the backup is whole",
            where=str(path),
        )
    said = (beside.read_text(encoding="utf-8", errors="replace").split() or [""])[0]
    if said != sha256_of(path):
        raise InvalidInput(
            f"this is not the file that was written; its SHA-256 differs from {beside.name}", where=str(path)
        )


def _copy(path: Path, copy: Path) -> None:
    try:
        shutil.copyfile(path, copy)
    except OSError as error:
        raise StoreUnavailable(
            f"the backup cannot be copied to be checked ({error.strerror})", where=str(path)
        ) from None


def _opened(copy: Path, *, told: Path) -> Store:
    """Open the copy of a backup, which brings it to the newest revision."""
    connection = sqlite3.connect(copy)
    try:
        there = connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'change_log'").fetchone()
    finally:
        connection.close()
    if there is None:
        raise InvalidInput("this file is no backup of a store", where=str(told))
    try:
        return open_store(str(copy))
    except StoreUnavailable as error:
        raise StoreUnavailable(error.what, where=str(told)) from None


def _move_damaged(file: Path, moment: str) -> Path | None:
    """Move a damaged database aside; a sound one, or none, is left alone."""
    if not file.exists() or file.stat().st_size == 0:
        return None
    try:
        check_file(file, where=str(file))
    except StoreUnavailable:
        kept = file.with_name(f"{file.name}.damaged-{moment}")
        for ending in ("-wal", "-shm", ""):
            part = Path(f"{file}{ending}")
            if part.exists():
                part.replace(f"{kept}{ending}")
        return kept
    return None


def _replace(source: Store, target: Store, keep_in: Path, name: str, who: str) -> Path | None:
    with target.write(who=who) as tx:
        # Nobody else writes until the end of this, so the backup holds all there ever was.
        kept = backup(target, keep_in).path if has_rows(tx.connection) else None
        empty_tables(tx.connection)
        with source.read() as reading:
            copy_rows(reading.connection, tx.connection, leave_out=(sessions,))
        tx.log("restore", "store", name, after={"kept": kept.name if kept is not None else None})
        return kept
