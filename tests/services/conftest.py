"""A store with the demo shop."""

import shutil

import pytest

from laydown.services import opening


@pytest.fixture(scope="module")
def demo_file(tmp_path_factory):
    file = tmp_path_factory.mktemp("demo") / "laydown.sqlite"
    with opening.open_database(str(file)) as store:
        opening.start_demo(store, who="tests")
    return file


@pytest.fixture
def store(demo_file, tmp_path):
    shutil.copy(demo_file, tmp_path / "laydown.sqlite")
    with opening.open_database(str(tmp_path / "laydown.sqlite")) as opened:
        yield opened
