"""One worker for all tests that read well-formed files; it is replaced whenever a file kills it."""

from __future__ import annotations

from functools import partial

import pytest

from laydown.artwork.reading import Limits, Reader, inspect_art, read_picture


@pytest.fixture(scope="session")
def reader():
    with Reader(Limits()) as made:
        yield made


@pytest.fixture
def read(reader):
    return partial(read_picture, reader=reader)


@pytest.fixture
def inspect(reader):
    return partial(inspect_art, reader=reader)


@pytest.fixture
def written(tmp_path):
    def write(data, name="art.png"):
        path = tmp_path / name
        path.write_bytes(data)
        return path

    return write
