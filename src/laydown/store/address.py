"""Which database is meant: an address as people write it, or the file in the user's data folder."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from laydown.errors import InvalidInput

FILE_NAME = "laydown.sqlite"

_POSTGRESQL = ("postgresql", "postgres", "postgresql+psycopg")
_ALLOWED = "allowed are 'sqlite:///<file>' and 'postgresql://<user>@<host>/<database>'"


def address_of(url: str | None) -> URL:
    """Address of a database.

    Parameters
    ----------
    url : str or None
        ``sqlite:///<file>``, ``postgresql://...`` or the path of a SQLite file; None: `usual_file`.

    Raises
    ------
    InvalidInput
        When it is none of these, or names no file.
    """
    if url is None:
        return URL.create("sqlite", database=str(usual_file()))
    if "://" not in url:
        if not url.strip() or "\x00" in url:
            raise InvalidInput(f"{url!r} names no file; {_ALLOWED}", where="database")
        return URL.create("sqlite", database=str(Path(url).absolute()))
    try:
        address = make_url(url)
    except (ArgumentError, ValueError):
        # What cannot be read may still hold a password, so it is not repeated.
        raise InvalidInput(f"the address cannot be read; {_ALLOWED}", where="database") from None
    if address.drivername in _POSTGRESQL:
        if not address.database:
            raise InvalidInput("the address names no database after the host; " + _ALLOWED, where="database")
        return address.set(drivername="postgresql+psycopg")
    if address.drivername in {"sqlite", "sqlite+pysqlite"}:
        if address.database in {None, "", ":memory:"} or "\x00" in str(address.database):
            raise InvalidInput(f"the address names no file; {_ALLOWED}", where="database")
        return URL.create("sqlite", database=str(Path(str(address.database)).absolute()))
    raise InvalidInput(f"{address.drivername!r} is no database that is known here; {_ALLOWED}", where="database")


def usual_file() -> Path:
    """SQLite file in the user's data folder."""
    from platformdirs import user_data_path

    return user_data_path("laydown", appauthor=False) / FILE_NAME


def told(address: URL) -> str:
    """Address as an error may show it: the file, or everything but the password."""
    if address.get_backend_name() == "sqlite":
        return str(address.database)
    return address.set(drivername="postgresql").render_as_string(hide_password=True)
