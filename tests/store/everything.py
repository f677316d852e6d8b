"""A store with something in every table, and all of a store's rows to compare."""

import datetime as dt

from order_texts_of_store import ORDER, order_text
from sqlalchemy import select

from laydown.store import api_tokens, files, jobs, orders, plans, press_log, sessions, users
from laydown.store.schema import metadata
from laydown.store.shop_exchange import import_folder

PLAN = '{"complete": true, "meta": {"seed": 20240229, "samples": 256, "version": "0.1.0"}, "note": "µ"}\n'
HASH = "$argon2id$v=19$m=8,t=1,p=1$MTIzNDU2Nzg5MA$6q3pJ7yqXw5f0bnYHZ2yxA"
NOON = dt.datetime(2026, 12, 1, 12, tzinfo=dt.UTC)


def fill(store, folder):
    """Write something into every table; returns the order's number."""
    with store.write(who="Ünal") as tx:
        shop = import_folder(tx, folder)
        user = users.add(tx, "Ünal", "owner", password_hash=HASH)
        sessions.start(tx, user.id, lifetime=dt.timedelta(days=3650), device="tablet")
        api_tokens.add(tx, user.id, "till", role="press")
        art = files.put(tx, b"\x00\xffpicture" * 100)
        order = orders.add(tx, ORDER, files={"art/a.png": art.sha256})
        plans.add(tx, order.id, PLAN, shop, order_version=1, reason="first")
        order = orders.change(tx, order.id, order_text(quantity=150), revision=orders.get(tx, order.id).revision)
        plans.add(tx, order.id, PLAN, shop, order_version=2, changed_from=1, change={"belt": 2.5}, reason="slower")
        orders.approve(tx, order.id, 2, revision=order.revision)
        for pieces in (24, 26):
            press_log.add(
                tx, order.id, key=f"count-{pieces}", kind="count", document={"pieces": pieces}, happened_at=NOON
            )
        jobs.add(tx, "plan", {"order": order.id})
        jobs.claim(tx, "w1")
        jobs.finish(tx, 1, {"plan": 2})
    return order.id


def all_rows(store, *, without=()):
    """Every row of every table, by table."""
    with store.read() as tx:
        return {
            table.name: [tuple(row) for row in tx.run(select(table).order_by(*table.primary_key.columns))]
            for table in metadata.sorted_tables
            if table.name not in without
        }
