"""Databases for the store's tests: every test that asks for ``url`` or ``store`` runs on both kinds."""

from __future__ import annotations

import itertools
from importlib.resources import files
from pathlib import Path

import pytest
from postgresql_server import server, why_not

from laydown.documents.shop_folder import read_shop
from laydown.store.database import open_store


@pytest.fixture(scope="session")
def postgresql():
    """Address of a server, with a place for the database's name."""
    if why_not():
        pytest.skip(why_not())
    with server() as address:
        yield address


@pytest.fixture
def new_postgresql_url(postgresql):
    """Give the address of an empty database, another one at each call; the next test gets them emptied."""
    import psycopg

    numbers = itertools.count(1)

    def make():
        name = f"laydown_{next(numbers)}"
        with psycopg.connect(postgresql.format(name="postgres"), autocommit=True) as connection:
            if connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone() is None:
                connection.execute(f"CREATE DATABASE {name}")
        with psycopg.connect(postgresql.format(name=name), autocommit=True) as connection:
            # Making a database copies a thousand files; emptying one is quicker.
            connection.execute("SET client_min_messages = warning")
            connection.execute("DROP SCHEMA public CASCADE")
            connection.execute("CREATE SCHEMA public")
        return postgresql.format(name=name)

    return make


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request, tmp_path):
    """Address of an empty database."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path}/store/laydown.sqlite"
    return request.getfixturevalue("new_postgresql_url")()


@pytest.fixture
def store(url):
    """Empty store."""
    with open_store(url) as opened:
        yield opened


@pytest.fixture
def sqlite_store(tmp_path):
    """Empty store in a file."""
    with open_store(str(tmp_path / "one" / "laydown.sqlite")) as opened:
        yield opened


@pytest.fixture(scope="session")
def demo_folder():
    """Folder of the invented shop."""
    return Path(str(files("laydown.data") / "shop"))


@pytest.fixture(scope="session")
def demo_shop(demo_folder):
    """Record of the invented shop."""
    return read_shop(demo_folder)
