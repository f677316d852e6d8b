"""Opening a database, and what is said when it cannot be."""

import sqlite3
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import event, text

from laydown.errors import InvalidInput, LaydownError, StoreUnavailable
from laydown.store import change_log
from laydown.store.address import address_of, told, usual_file
from laydown.store.database import open_store


def test_the_usual_database_is_made_in_the_users_data_folder_for_its_owner_only(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    with open_store() as store:
        assert store.where == str(usual_file()) == str(tmp_path / "laydown" / "laydown.sqlite")
    assert stat.S_IMODE(usual_file().stat().st_mode) == 0o600
    assert stat.S_IMODE(usual_file().parent.stat().st_mode) == 0o700


def test_what_is_confirmed_is_on_the_disk_and_writers_wait_for_each_other(sqlite_store):
    with sqlite_store.write(who="ann") as tx:
        pragmas = {
            name: tx.connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "query_only")
        }
    assert pragmas == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 15000,
        "query_only": 0,
    }


def test_a_database_is_found_again_by_path_and_by_address(tmp_path):
    file = tmp_path / "a b" / "laydown.sqlite"
    with open_store(str(file)) as store, store.write(who="ann") as tx:
        tx.log("add", "thing", "x")
    with open_store(f"sqlite:///{file}") as store, store.read() as tx:
        assert len(change_log.lines(tx)) == 1


def test_ten_who_open_a_new_database_at_once_all_get_it(url):
    def open_and_write(number):
        with open_store(url) as store, store.write(who=f"n{number}") as tx:
            tx.log("add", "thing", str(number))

    with ThreadPoolExecutor(10) as pool:
        list(pool.map(open_and_write, range(10)))
    with open_store(url) as store, store.read() as tx:
        assert len(change_log.lines(tx)) == 10


@pytest.mark.parametrize(
    "url",
    [
        "",
        " ",
        "a\x00b",
        "sqlite://",
        "sqlite:///:memory:",
        "sqlite:///a\x00",
        "sqlite:///" + "x" * 5000,
        "mysql://x/y",
        "http://x",
        "://",
        "postgresql://",
        "postgresql://host",
        "postgresql://u:secret@h:port/d",
    ],
)
def test_an_address_that_cannot_be_is_refused_without_its_password(url):
    with pytest.raises((InvalidInput, StoreUnavailable)) as said:
        open_store(url)
    assert "secret" not in str(said.value)
    assert "\n" not in str(said.value)


@pytest.mark.parametrize("scheme", ["postgres", "postgresql", "postgresql+psycopg"])
def test_a_server_that_is_not_there_is_told_without_the_password(scheme):
    with pytest.raises(StoreUnavailable, match="cannot be reached") as said:
        open_store(f"{scheme}://ann:secret@127.0.0.1:9/shop")
    assert "secret" not in str(said.value)
    assert "\n" not in str(said.value)


def test_a_database_that_the_server_does_not_have_is_told(postgresql):
    with pytest.raises(StoreUnavailable, match=r"no database of that name|does not exist"):
        open_store(postgresql.format(name="nowhere"))


def test_an_address_is_shown_without_its_password():
    assert told(address_of("postgres://ann:secret@db/shop")) == "postgresql://ann:***@db/shop"


def test_a_folder_is_no_database(tmp_path):
    with pytest.raises(InvalidInput, match="folder"):
        open_store(str(tmp_path))


def test_a_file_below_a_file_cannot_be_made(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(StoreUnavailable, match="cannot be opened"):
        open_store(str(tmp_path / "file" / "laydown.sqlite"))


def test_a_file_of_something_else_is_no_database(tmp_path):
    (tmp_path / "laydown.sqlite").write_text("a letter to the bank, " * 1000)
    with pytest.raises(StoreUnavailable, match="no SQLite database"):
        open_store(str(tmp_path / "laydown.sqlite"))
    assert (tmp_path / "laydown.sqlite").read_text().startswith("a letter")


def test_a_database_of_another_program_is_left_alone(tmp_path):
    file = tmp_path / "laydown.sqlite"
    connection = sqlite3.connect(file)
    connection.execute("CREATE TABLE letters (a)")
    connection.commit()
    connection.close()
    content = file.read_bytes()

    with pytest.raises(StoreUnavailable, match="another program"):
        open_store(str(file))
    assert file.read_bytes() == content


def test_a_database_of_a_newer_laydown_is_left_alone(store, url):
    with store.write(who="ann") as tx:
        tx.connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreUnavailable, match="revision 9999, written by a newer laydown"):
        open_store(url)


def test_a_database_that_is_busy_for_too_long_is_told(sqlite_store, monkeypatch):
    monkeypatch.setattr("laydown.store.engines.PATIENCE", 0.05)
    other = sqlite3.connect(sqlite_store.where, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with open_store(sqlite_store.where) as store:
        with pytest.raises(StoreUnavailable, match="try again") as said, store.write(who="ann"):
            pass
        assert said.value.busy
        other.execute("ROLLBACK")
        with store.write(who="ann") as tx:
            tx.log("add", "thing", "x")
    other.close()


def test_a_server_that_is_busy_for_too_long_is_told(new_postgresql_url, monkeypatch):
    monkeypatch.setattr("laydown.store.engines.PATIENCE", 0.05)
    url = new_postgresql_url()
    with open_store(url) as store, open_store(url) as other, store.write(who="ann"):
        with pytest.raises(StoreUnavailable, match="try again") as said, other.write(who="ben"):
            pass
        assert said.value.busy


def test_a_writer_within_a_writer_is_told_instead_of_waiting_for_ever(sqlite_store, monkeypatch):
    monkeypatch.setattr("laydown.store.database.PATIENCE", 0.05)
    waits = pytest.raises(StoreUnavailable, match="try again")
    with sqlite_store.write(who="ann"), waits, sqlite_store.write(who="ann"):
        pass


def test_a_database_that_may_only_be_read_is_told(sqlite_store):
    @event.listens_for(sqlite_store.engine, "begin")
    def _read_only(connection):
        connection.exec_driver_sql("PRAGMA query_only = on")

    with pytest.raises(StoreUnavailable, match="may not be written to"), sqlite_store.write(who="ann") as tx:
        tx.log("add", "thing", "x")


def test_an_error_of_the_store_is_always_ours_or_a_fault_of_the_program(store):
    """A mistake in a statement is no fault of the user and is not hidden as one."""
    with pytest.raises(Exception, match="nonsense") as said, store.read() as tx:
        tx.connection.execute(text("SELECT nonsense"))
    assert not isinstance(said.value, LaydownError)


def test_importing_laydown_and_its_command_line_opens_and_imports_no_store():
    probe = "import sys, laydown, laydown.cli.main; print(sorted({'sqlalchemy', 'alembic'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout == "[]\n"


def test_opening_a_database_at_the_newest_revision_does_not_import_the_migrations(sqlite_store):
    probe = (
        "import sys; from laydown.store.database import open_store; open_store(sys.argv[1]).close(); "
        "print('alembic' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", probe, sqlite_store.where], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "False\n"


def test_the_driver_is_named_when_it_is_missing(monkeypatch):
    def missing(*_args, **_keys):
        raise ModuleNotFoundError("psycopg")

    monkeypatch.setattr("laydown.store.engines.create_engine", missing)
    with pytest.raises(StoreUnavailable, match="extra 'postgresql'"):
        open_store("postgresql://ann@db/shop")
