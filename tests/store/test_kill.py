"""Killed without warning: nothing confirmed is lost, nothing is left half done."""

import contextlib
import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from killed_writers import art_of, look
from order_texts_of_store import order_text
from postgresql_server import running, why_not

from laydown.errors import StoreUnavailable
from laydown.store import files, jobs, orders
from laydown.store.backup import backup, check_file, checksum_file, sha256_of
from laydown.store.database import open_store

PROGRAM = Path(__file__).parent / "killed_writers.py"


def report(*arguments):
    done = subprocess.run(
        [sys.executable, str(PROGRAM), *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
        env=os.environ | {"PYTHONPATH": str(PROGRAM.parent)},
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


@pytest.mark.slow
def test_writers_killed_200_times_lose_nothing_that_was_confirmed_and_leave_no_half_order(tmp_path):
    told = report("same", f"sqlite:///{tmp_path}/one/laydown.sqlite", 200, 1)

    assert (told["rounds"], told["wrong"], told["lost"]) == (200, [], [])
    assert told["confirmed"] > 100
    # A writer that was killed between its confirmation and the word of it leaves one more, and only one.
    assert told["confirmed"] <= told["orders"] <= told["confirmed"] + 200


@pytest.mark.slow
def test_clients_of_postgresql_killed_40_times_lose_nothing_that_was_confirmed(new_postgresql_url):
    told = report("same", new_postgresql_url(), 40, 2)

    assert (told["rounds"], told["wrong"], told["lost"]) == (40, [], [])
    assert told["confirmed"] > 20


@pytest.mark.slow
def test_a_database_whose_making_was_killed_is_made_by_whoever_opens_it_next(tmp_path):
    told = report("new", tmp_path, 30, 3)

    assert (told["wrong"], told["lost"]) == ([], [])
    assert told["hit"] > 5


def write_while_it_lives(url, prefix, confirmed):
    """Write one order after the other until the server is gone; gives what is confirmed."""
    with open_store(url) as store, contextlib.suppress(StoreUnavailable):
        for number in range(10_000):
            name = f"{prefix}-{number}"
            with store.write(who="killed") as tx:
                art = files.put(tx, art_of(name))
                orders.add(tx, order_text(name=name), files={"a.png": art.sha256})
                jobs.add(tx, "plan", {"order": name})
            confirmed.add(name)


@pytest.mark.slow
@pytest.mark.skipif(bool(why_not()), reason=why_not() or "there is a server")
def test_a_server_of_postgresql_that_is_killed_loses_nothing_that_was_confirmed():
    import psycopg

    random_ = random.Random(5)
    with running(durable=True) as server:
        with psycopg.connect(server.address.format(name="postgres"), autocommit=True) as connection:
            connection.execute("CREATE DATABASE laydown")
        url = server.address.format(name="laydown")
        open_store(url).close()
        confirmed = set()
        for one in range(4):
            before = len(confirmed)
            writers = [
                threading.Thread(target=write_while_it_lives, args=(url, f"r{one}{name}", confirmed)) for name in "ab"
            ]
            for writer in writers:
                writer.start()
            until = time.monotonic() + 60
            while len(confirmed) < before + 4 and time.monotonic() < until:
                time.sleep(0.01)
            time.sleep(random_.uniform(0, 0.1))
            server.kill()
            for writer in writers:
                writer.join(60)
            server.start()
            wrong, lost, number = look(url, confirmed)
            assert (wrong, lost) == ([], [])
            # Each writer may have had one more confirmed by the server than it heard of.
            assert len(confirmed) <= number <= len(confirmed) + 2 * (one + 1)
        assert len(confirmed) >= 16


@pytest.mark.slow
def test_a_backup_that_is_killed_leaves_no_half_file_under_its_name(tmp_path):
    random_ = random.Random(6)
    url = f"sqlite:///{tmp_path}/laydown.sqlite"
    with open_store(url) as store, store.write(who="tests") as tx:
        files.put(tx, random_.randbytes(12_000_000))
    begun = time.monotonic()
    assert backup_killed(url, tmp_path / "whole.backup", None)
    takes = time.monotonic() - begun
    torn = 0
    for one in range(12):
        path = tmp_path / f"{one}.backup"
        backup_killed(url, path, random_.uniform(0, takes))
        if path.exists():
            check_file(path, where="the backup")
            assert checksum_file(path).read_text().split()[0] == sha256_of(path)
        else:
            torn += 1
            with open_store(url) as store:
                backup(store, path)
            check_file(path, where="the backup")
        assert not list(tmp_path.glob(f"{one}.backup.partial*"))
    assert torn > 0


def backup_killed(url, path, after):
    """Back up in a process of its own, killed after so many seconds; gives whether it came to its end."""
    child = os.fork()
    if child == 0:
        with contextlib.suppress(BaseException):
            with open_store(url) as store:
                backup(store, path)
            os._exit(0)
        os._exit(1)
    if after is not None:
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
    return os.waitpid(child, 0)[1] == 0
