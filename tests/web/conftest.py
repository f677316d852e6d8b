"""Applications for the web's tests: with the demo shop, with people, or new; each on a database of its own."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from web_clients import NETWORK, PASSWORD, client_of

from laydown.services import accounts, opening, people
from laydown.web.settings import Settings


@pytest.fixture(scope="session")
def demo_database(tmp_path_factory) -> Path:
    """Database with the demo shop, made once and copied."""
    file = tmp_path_factory.mktemp("demo") / "laydown.sqlite"
    with opening.open_database(str(file)) as store:
        opening.start_demo(store, who="tests")
    return file


@pytest.fixture(scope="session")
def staffed_database(demo_database, tmp_path_factory) -> Path:
    """The same with one person of each role."""
    file = tmp_path_factory.mktemp("staffed") / "laydown.sqlite"
    shutil.copy(demo_database, file)
    with opening.open_database(str(file)) as store:
        accounts.add_first_owner(store, "Olga", PASSWORD)
        for name, role in (("Vera", "viewer"), ("Pit", "press"), ("Lea", "lead")):
            people.take_in(store, name, role, password=PASSWORD, who="Olga")
    return file


@pytest.fixture
def new_client(tmp_path):
    """App of the own machine in which no shop was started."""
    with client_of(Settings(data=tmp_path / "new", worker=False)) as client:
        yield client


@pytest.fixture
def client(tmp_path, demo_database):
    """App of the own machine with the demo shop."""
    shutil.copy(demo_database, tmp_path / "laydown.sqlite")
    with client_of(Settings(data=tmp_path, worker=False)) as client:
        yield client


@pytest.fixture
def network_client(tmp_path, staffed_database):
    """App in the network, with people of each role; nobody is logged in."""
    shutil.copy(staffed_database, tmp_path / "laydown.sqlite")
    with client_of(Settings(data=tmp_path, worker=False, **NETWORK), "192.0.2.7:8300") as client:
        yield client
