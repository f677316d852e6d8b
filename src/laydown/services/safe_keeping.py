"""Copies of a shop's database, made while everybody goes on working, and put back."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from laydown.store.backup import Backup
    from laydown.store.restore import Restored


def back_up(path: Path | str, *, url: str | None = None) -> Backup:
    """Write a copy of the store into one file, with its checksum beside it.

    Parameters
    ----------
    path : Path
    url : str or None
        Of the database, as `laydown.services.opening.open_database` takes it.

    Raises
    ------
    InvalidInput
        When the file cannot be written there.
    StoreUnavailable
        When the database cannot be read.
    """
    from laydown.services.opening import open_database
    from laydown.store.backup import backup

    store = open_database(url)
    try:
        return backup(store, Path(path))
    finally:
        store.close()


def put_back(path: Path | str, *, url: str | None = None, who: str = "restore") -> Restored:
    """Put a copy back into a database, after checking it; what the database held goes, logins are not restored.

    Parameters
    ----------
    path : Path
    url : str or None
        Of the database.
    who : str
        Who the log names.

    Raises
    ------
    InvalidInput
        When the copy is not there, is damaged, or does not fit its checksum.
    StoreUnavailable
        When the database cannot be written to.
    """
    from laydown.store.restore import restore

    return restore(Path(path), url, who=who)
