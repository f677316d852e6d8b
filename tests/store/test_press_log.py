"""Entries at the press: sent again after the network dropped, kept once."""

import datetime as dt
from concurrent.futures import ThreadPoolExecutor
from uuid import uuid4

import pytest
from order_texts_of_store import ORDER

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import orders, press_log
from laydown.store.press_log import PressTotals

NOON = dt.datetime(2026, 12, 1, 12, tzinfo=dt.timezone(dt.timedelta(hours=-5)))


@pytest.fixture
def order(store):
    with store.write(who="ann") as tx:
        return orders.add(tx, ORDER).id


def enter(store, order, kind, *, key=None, at=NOON, **document):
    with store.write(who="crew") as tx:
        return press_log.add(tx, order, key=key or str(uuid4()), kind=kind, document=document, happened_at=at)


def test_an_entry_is_kept_with_when_it_happened(store, order):
    entry, new = enter(store, order, "probe reading", temperature=433.15, place="left")

    assert new
    assert entry.happened_at == NOON
    assert entry.happened_at.tzinfo is dt.UTC
    assert entry.document == {"temperature": 433.15, "place": "left"}
    with store.read() as tx:
        assert press_log.of_order(tx, order) == (entry,)


def test_an_entry_sent_by_eight_at_once_five_times_each_is_kept_once(store, order):
    keys = [str(uuid4()) for _ in range(5)]

    def send(_):
        return [enter(store, order, "count", key=key, pieces=12)[1] for key in keys]

    with ThreadPoolExecutor(8) as pool:
        news = list(pool.map(send, range(8)))

    assert [sum(new[i] for new in news) for i in range(5)] == [1] * 5
    with store.read() as tx:
        assert len(press_log.of_order(tx, order)) == 5
        assert press_log.totals(tx, order).printed == 60


def test_a_key_is_not_used_for_something_else(store, order):
    kept, _ = enter(store, order, "count", key="key-12345", pieces=12)

    with pytest.raises(Conflict, match="this key") as told:
        enter(store, order, "count", key="key-12345", pieces=13)
    assert told.value.present == kept


def test_totals_leave_out_what_was_withdrawn(store, order):
    enter(store, order, "count", pieces=24)
    wrong, _ = enter(store, order, "count", pieces=240)
    enter(store, order, "misprint", pieces=2, cause="lint")
    enter(store, order, "misprint", pieces=1, cause="lint")
    enter(store, order, "misprint", pieces=1, cause="off register")
    enter(store, order, "set-up step", step="screen 1 in head 1", done=True, at=NOON + dt.timedelta(minutes=1))
    enter(store, order, "set-up step", step="screen 1 in head 1", done=False)
    with store.write(who="crew") as tx:
        press_log.add(tx, order, key="withdrawal-1", kind="withdrawal", document={"key": wrong.key}, happened_at=NOON)
    with store.read() as tx:
        assert press_log.totals(tx, order) == PressTotals(
            printed=24, misprints={"lint": 3, "off register": 1}, steps={"screen 1 in head 1": True}
        )
        assert wrong in press_log.of_order(tx, order)


@pytest.mark.parametrize(
    ("kind", "document"),
    [
        ("count", {}),
        ("count", {"pieces": 0}),
        ("count", {"pieces": 1.5}),
        ("count", {"pieces": True}),
        ("count", {"pieces": 10**30}),
        ("misprint", {"pieces": 1, "cause": " "}),
        ("strike-off", {"good": "yes"}),
        ("probe reading", {"temperature": float("nan")}),
        ("probe reading", {"temperature": 160}),
        ("note", {"text": "x" * 20_001}),
        ("note", {"text": "x", "more": {1}}),
        ("song", {"text": "x"}),
        ("withdrawal", {"key": "nothing-there"}),
    ],
)
def test_an_entry_that_says_too_little_is_refused(store, order, kind, document):
    with pytest.raises(InvalidInput), store.write(who="crew") as tx:
        press_log.add(tx, order, key="key-12345", kind=kind, document=document, happened_at=NOON)
    with store.read() as tx:
        assert press_log.of_order(tx, order) == ()


@pytest.mark.parametrize("key", ["", "short", "x" * 81, "key-\x00-12345", "key-\ud800-123"])
def test_a_key_that_cannot_be_one_is_refused(store, order, key):
    with pytest.raises(InvalidInput), store.write(who="crew") as tx:
        press_log.add(tx, order, key=key, kind="count", document={"pieces": 1}, happened_at=NOON)


def test_an_entry_needs_an_order_and_a_time_zone(store, order):
    with pytest.raises(NotFound):
        enter(store, order + 1, "count", pieces=1)
    with pytest.raises(InvalidInput, match="time zone"):
        enter(store, order, "count", pieces=1, at=NOON.replace(tzinfo=None))
