"""Many who read and then write at the same time: no change of anybody is lost."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from counting_writer import count_up

from laydown.errors import Conflict
from laydown.store import change_log, shelves
from laydown.store.database import open_store
from laydown.store.shop_exchange import save_shop

WRITER = Path(__file__).parent / "counting_writer.py"


@pytest.fixture
def ink(store, demo_shop):
    with store.write(who="ann") as tx:
        save_shop(tx, demo_shop)
        item = shelves.shelf(tx, "inks")[0]
        return shelves.put(tx, "inks", {**item.document, "price_per_kg": 0}, revision=item.revision).name


def price(store, ink):
    with store.read() as tx:
        return shelves.get(tx, "inks", ink).document["price_per_kg"]


def test_800_updates_by_8_threads_lose_nothing(store, ink):
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda _: count_up(store, ink, 100), range(8)))

    assert price(store, ink) == 800


@pytest.mark.slow
def test_800_updates_by_4_processes_of_their_own_lose_nothing(store, url, ink):
    writers = [
        subprocess.Popen(
            [sys.executable, str(WRITER), url, ink, "200"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for _ in range(4)
    ]
    for writer in writers:
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        writer.stdin.write("\n")
        writer.stdin.flush()
    for writer in writers:
        writer.communicate(timeout=240)
        assert writer.returncode == 0

    assert price(store, ink) == 800


def test_200_edits_from_pages_that_were_read_earlier_lose_nothing_and_the_others_are_told(store, ink):
    told = []

    def edit(_):
        done = 0
        while done < 25:
            with store.read() as tx:
                item = shelves.get(tx, "inks", ink)
            try:
                with store.write(who="ann") as tx:
                    document = {**item.document, "price_per_kg": item.document["price_per_kg"] + 1}
                    shelves.put(tx, "inks", document, revision=item.revision)
                done += 1
            except Conflict as conflict:
                told.append(conflict.present.document["price_per_kg"] > item.document["price_per_kg"])

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(edit, range(8)))

    assert price(store, ink) == 200
    assert all(told)


def test_two_stores_of_one_database_wait_for_each_other(store, url, ink):
    with open_store(url) as other, ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda one: count_up(one, ink, 25), [store, other, store, other]))

    assert price(store, ink) == 100


def test_a_reader_sees_one_moment_and_can_write_nothing(store):
    from sqlalchemy import text
    from sqlalchemy.exc import DBAPIError

    from laydown.errors import StoreUnavailable

    with store.write(who="ann") as tx:
        tx.log("add", "test", "first")
    with store.read() as reading:
        assert len(change_log.lines(reading, kind="test")) == 1
        with store.write(who="ann") as tx:
            tx.log("add", "test", "second")
        assert len(change_log.lines(reading, kind="test")) == 1
    with pytest.raises((DBAPIError, StoreUnavailable)), store.read() as reading:
        reading.connection.execute(text("UPDATE orders SET name = 'x'"))
    # The same connection writes again, and sees what others wrote.
    with store.write(who="ann") as tx:
        assert len(change_log.lines(tx, kind="test")) == 2
        tx.log("add", "test", "third")
