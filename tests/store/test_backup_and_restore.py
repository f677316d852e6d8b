"""Backups made while people work, checked, and restored into either kind of database."""

import sqlite3
import stat
import subprocess
import threading
import time

import pytest
from everything import all_rows, fill
from order_texts_of_store import ORDER, order_text

from laydown.errors import InvalidInput, StoreUnavailable
from laydown.store import change_log, files, orders
from laydown.store.backup import backup
from laydown.store.database import open_store
from laydown.store.restore import restore
from laydown.store.shop_exchange import load_shop

KINDS = ("sqlite", "postgresql")


@pytest.fixture
def other_url(request, tmp_path, new_postgresql_url):
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path}/other/laydown.sqlite"
    return new_postgresql_url()


def unlogged(rows):
    """Rows without the log's line about the restore itself."""
    return {name: rows[name] for name in rows if name != "change_log"} | {"change_log": rows["change_log"][:-1]}


@pytest.mark.parametrize("other_url", KINDS, indirect=True)
def test_a_backup_of_either_kind_is_restored_into_either_kind_row_by_row(store, other_url, demo_folder, tmp_path):
    fill(store, demo_folder)
    before = all_rows(store, without=("sessions",))
    assert all(before.values())

    made = backup(store, tmp_path / "b.laydown")
    done = restore(made.path, other_url, who="ann")

    assert done.kept is None
    with open_store(other_url) as other:
        assert unlogged(all_rows(other, without=("sessions",))) == before
        assert all_rows(other)["sessions"] == []
        with other.write(who="ann") as tx:
            assert load_shop(tx).name
            line = change_log.lines(tx, limit=1)[0]
            assert (line.action, line.who, line.key) == ("restore", "ann", "b.laydown")
            assert orders.add(tx, ORDER).id == 2


def test_a_restore_keeps_what_was_there_and_can_be_undone(store, url, demo_folder, tmp_path):
    order = fill(store, demo_folder)
    made = backup(store, tmp_path / "b.laydown")
    with store.write(who="ben") as tx:
        present = orders.get(tx, order)
        orders.change(tx, order, order_text(quantity=999), revision=present.revision)
        second = orders.add(tx, ORDER)
    after_backup = all_rows(store, without=("sessions",))

    first = restore(made.path, url)
    with store.read() as tx:
        assert orders.get(tx, order).quantity == 150
        assert orders.find(tx)[1] == 1
    restore(first.kept, url)

    assert unlogged(all_rows(store, without=("sessions",))) == after_backup
    with store.write(who="ben") as tx:
        assert orders.add(tx, ORDER).id > second.id


def test_a_store_that_is_open_meanwhile_goes_on_with_what_was_restored(store, url, demo_folder, tmp_path):
    """Were the file swapped, whoever has it open would write into nothing."""
    fill(store, demo_folder)
    made = backup(store, tmp_path / "b.laydown")
    restore(made.path, url)
    with store.write(who="ben") as tx:
        added = orders.add(tx, order_text(name="after"))

    with open_store(url) as again, again.read() as tx:
        assert orders.get(tx, added.id).name == "after"


def test_the_log_still_refuses_changes_after_a_restore(store, url, demo_folder, tmp_path):
    from sqlalchemy import text
    from sqlalchemy.exc import DBAPIError

    fill(store, demo_folder)
    restore(backup(store, tmp_path / "b.laydown").path, url)
    for statement in ("DELETE FROM change_log", "UPDATE change_log SET who = 'x'"):
        with pytest.raises(DBAPIError, match="only ever added to"), store.write(who="eve") as tx:
            tx.connection.execute(text(statement))


def test_a_backup_made_while_people_write_is_one_moment(store, tmp_path):
    stop, written = threading.Event(), []

    def work():
        while not stop.is_set():
            with store.write(who="ann") as tx:
                art = files.put(tx, f"picture {len(written)}".encode())
                added = orders.add(tx, order_text(name=f"n{len(written)}"), files={"a": art.sha256})
            written.append(added.id)

    writer = threading.Thread(target=work)
    writer.start()
    counts = []
    try:
        for number in range(4):
            at_least = len(written)
            made = backup(store, tmp_path / f"{number}.laydown")
            connection = sqlite3.connect(made.path)
            tables = ("orders", "order_versions", "order_files", "files")
            count = {connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in tables}
            assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
            connection.close()
            assert len(count) == 1
            counts.append(count.pop())
            assert counts[-1] >= at_least
            # However busy the machine is, something is written before the next backup.
            until = time.monotonic() + 60
            while len(written) <= counts[-1] and time.monotonic() < until:
                time.sleep(0.002)
    finally:
        stop.set()
        writer.join()
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]


def test_a_backup_is_one_file_for_its_owner_with_a_checksum_that_others_can_check(store, demo_folder, tmp_path):
    fill(store, demo_folder)
    made = backup(store, tmp_path / "b.laydown")

    left = {file.name for file in tmp_path.iterdir() if file.is_file()}
    assert left == {"b.laydown", "b.laydown.sha256"}
    assert stat.S_IMODE(made.path.stat().st_mode) == 0o600
    subprocess.run(
        ["sha256sum", "--check", "--strict", made.checksum.name], cwd=tmp_path, check=True, capture_output=True
    )


def test_a_backup_never_takes_the_place_of_a_file(store, tmp_path):
    (tmp_path / "b.laydown").write_text("mine")

    with pytest.raises(InvalidInput, match="already"):
        backup(store, tmp_path / "b.laydown")
    with pytest.raises(InvalidInput, match="cannot be written"):
        backup(store, tmp_path / "no" / "b.laydown")
    assert (tmp_path / "b.laydown").read_text() == "mine"


@pytest.mark.parametrize(
    ("spoil", "error", "words"),
    [
        (lambda path: path.write_bytes(path.read_bytes()[:-1] + b"\x07"), InvalidInput, "SHA-256 differs"),
        (lambda path: path.write_bytes(path.read_bytes()[:5000]), InvalidInput, "SHA-256 differs"),
        (lambda path: path.with_name(path.name + ".sha256").unlink(), InvalidInput, "checksum .* is missing"),
        (lambda path: path.unlink(), InvalidInput, "no such file"),
    ],
)
def test_a_spoiled_backup_is_refused_and_changes_nothing(store, url, demo_folder, tmp_path, spoil, error, words):
    fill(store, demo_folder)
    made = backup(store, tmp_path / "b.laydown")
    before = all_rows(store)
    spoil(made.path)

    with pytest.raises(error, match=words):
        restore(made.path, url)
    assert all_rows(store) == before


@pytest.mark.parametrize("content", [b"", b"no database at all" * 1000, b"SQLite format 3\x00" + b"\x00" * 5000])
def test_a_file_that_is_no_backup_is_refused_even_without_a_checksum(url, tmp_path, content):
    (tmp_path / "b.laydown").write_bytes(content)

    with pytest.raises((InvalidInput, StoreUnavailable), match=r"b\.laydown: "):
        restore(tmp_path / "b.laydown", url, without_checksum=True)


def test_a_restore_that_breaks_off_changes_nothing(store, url, demo_folder, tmp_path, monkeypatch):
    from sqlalchemy import text
    from sqlalchemy.exc import DBAPIError

    fill(store, demo_folder)
    made = backup(store, tmp_path / "b.laydown")
    before = all_rows(store)

    def break_off(*_args, **_keys):
        raise ZeroDivisionError

    monkeypatch.setattr("laydown.store.restore.copy_rows", break_off)
    with pytest.raises(ZeroDivisionError):
        restore(made.path, url)

    assert all_rows(store) == before
    with pytest.raises(DBAPIError, match="only ever added to"), store.write(who="eve") as tx:
        tx.connection.execute(text("DELETE FROM change_log"))


def test_a_damaged_database_is_moved_aside_and_the_backup_takes_its_place(sqlite_store, demo_folder, tmp_path):
    order = fill(sqlite_store, demo_folder)
    made = backup(sqlite_store, tmp_path / "b.laydown")
    file = tmp_path / "one" / "laydown.sqlite"
    sqlite_store.close()
    content = bytearray(file.read_bytes())
    content[4096 : 4096 * 8] = b"\x55" * (4096 * 7)
    file.write_bytes(content)

    done = restore(made.path, str(file))

    assert ".damaged-" in done.kept.name
    assert done.kept.read_bytes() == content
    with open_store(str(file)) as opened, opened.read() as tx:
        assert orders.get(tx, order).quantity == 150


def test_a_damaged_database_is_not_backed_up_in_silence(sqlite_store, demo_folder, tmp_path):
    fill(sqlite_store, demo_folder)
    file = tmp_path / "one" / "laydown.sqlite"
    sqlite_store.close()
    content = bytearray(file.read_bytes())
    content[-4096 * 6 : -4096] = b"\x55" * (4096 * 5)
    file.write_bytes(content)

    with open_store(str(file)) as opened, pytest.raises(StoreUnavailable, match="damaged"):
        backup(opened, tmp_path / "b.laydown")
    assert not (tmp_path / "b.laydown").exists()
    assert not (tmp_path / "b.laydown.partial").exists()
