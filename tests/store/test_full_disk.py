"""A full disk: one clear sentence, and nothing that was there is lost."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from everything import all_rows, fill
from order_texts_of_store import ORDER
from sqlalchemy import event

from laydown.errors import StoreUnavailable
from laydown.store import files, orders
from laydown.store.backup import backup
from laydown.store.database import open_store


@pytest.fixture
def nearly_full(sqlite_store, demo_folder):
    """A store whose file may not grow any more."""
    fill(sqlite_store, demo_folder)
    before = all_rows(sqlite_store)

    @event.listens_for(sqlite_store.engine, "begin")
    def _limit(connection):
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 1}")

    return sqlite_store, before


def test_a_full_disk_is_told_in_one_sentence_and_nothing_is_lost(nearly_full, tmp_path):
    store, before = nearly_full

    def take_in():
        with store.write(who="ann") as tx:
            art = files.put(tx, os.urandom(200_000))
            orders.add(tx, ORDER, files={"a.png": art.sha256})

    with pytest.raises(StoreUnavailable) as told:
        take_in()
    assert str(told.value) == (
        f"{tmp_path}/one/laydown.sqlite: the disk that holds the database is full, so nothing of this change was kept; "
        "free some space and try again"
    )
    assert all_rows(store) == before
    with open_store(str(tmp_path / "one" / "laydown.sqlite")) as again:
        assert all_rows(again) == before
        with again.write(who="ann") as tx:
            orders.add(tx, ORDER)


FILLER = """
import json, os, resource, sys
from laydown.errors import StoreUnavailable
from laydown.store import files
from laydown.store.database import open_store
url, limit = sys.argv[1], int(sys.argv[2])
kept, told = [], ""
with open_store(url) as store:
    # The system now refuses to let any file grow beyond this, as a full disk does.
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    try:
        for number in range(100):
            with store.write(who="ann") as tx:
                kept.append(files.put(tx, bytes([number]) * 100_000).sha256)
    except StoreUnavailable as error:
        kept.pop()
        told = str(error)
print(json.dumps([kept, told]))
"""


def test_a_disk_that_refuses_to_write_is_told_and_what_was_confirmed_stays(tmp_path):
    file = tmp_path / "laydown.sqlite"
    done = subprocess.run(
        [sys.executable, "-c", FILLER, str(file), "3000000"], capture_output=True, text=True, check=True, timeout=120
    )
    kept, told = json.loads(done.stdout)

    assert kept
    assert told.startswith(f"{file}: the disk")
    assert "nothing of this change was kept" in told
    with open_store(str(file)) as store, store.write(who="ann") as tx:
        assert [len(files.content(tx, sha256)) for sha256 in kept] == [100_000] * len(kept)
        files.put(tx, b"goes on")


def test_a_backup_onto_a_full_disk_is_told_and_leaves_no_piece(sqlite_store, demo_folder):
    """``/dev/full`` refuses every byte, as a full disk does."""
    fill(sqlite_store, demo_folder)
    target = Path(sqlite_store.where).parent / "b.laydown"
    Path(f"{target}.partial").symlink_to("/dev/full")

    with pytest.raises(StoreUnavailable):
        backup(sqlite_store, target)
    assert not target.exists()
    assert not Path(f"{target}.partial").is_symlink()
