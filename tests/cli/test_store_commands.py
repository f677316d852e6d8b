"""``laydown backup`` and ``laydown restore``."""

import pytest
from calls import call, is_one_sentence

from laydown.services.opening import current_shop, open_database, start_demo, start_empty


@pytest.fixture
def url(tmp_path):
    address = f"sqlite:///{tmp_path / 'shop.sqlite'}"
    store = open_database(address)
    start_empty(store, "Quay Prints", who="test")
    store.close()
    return address


def name_of(url):
    store = open_database(url)
    try:
        return current_shop(store).name
    finally:
        store.close()


def test_a_copy_is_written_and_put_back(url, tmp_path):
    copy = tmp_path / "copy.laydown"
    made = call("backup", str(copy), "--database", url)
    assert made.status == 0, made.err
    assert copy.stat().st_size > 0

    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    store = open_database(other)
    start_demo(store, who="test")
    store.close()
    assert name_of(other) != "Quay Prints"

    back = call("restore", str(copy), "--database", other, "--yes")
    assert back.status == 0, back.err
    assert name_of(other) == "Quay Prints"


def test_a_damaged_copy_changes_nothing(url, tmp_path):
    copy = tmp_path / "copy.laydown"
    assert call("backup", str(copy), "--database", url).status == 0
    copy.write_bytes(copy.read_bytes()[:-100])

    refused = call("restore", str(copy), "--database", url, "--yes")

    assert refused.status == 2
    assert is_one_sentence(refused.err)
    assert name_of(url) == "Quay Prints"
