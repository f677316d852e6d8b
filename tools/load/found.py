"""What of the confirmed writes stands in the database: each once, none lost."""

from __future__ import annotations

import json
from collections import Counter

from visitors import Seen

from laydown.services import opening
from laydown.store import change_log, orders, press_log


def wrong_in(url: str, seen: Seen, open_orders: tuple[int, ...]) -> list[str]:
    """Sentences on what is lost or doubled; empty when everything stands as it was confirmed."""
    wrong: list[str] = []
    with opening.open_database(url) as store, store.read() as tx:
        kept = Counter(entry.key for order in open_orders for entry in press_log.of_order(tx, order))
        wrong += [f"entry {key} is lost" for key in seen.entries if key not in kept]
        wrong += [f"entry {key} is kept {times} times" for key, times in kept.items() if times > 1]
        wrong += [f"entry {key} was never confirmed" for key in kept if key not in seen.entries]
        prices = Counter(
            (line.key, json.loads(line.after["document"])["price_per_kg"])
            for line in change_log.lines(tx, kind="inks", limit=10**6)
            if line.action == "change" and line.after is not None
        )
        wrong += _differing("price", prices, Counter(seen.prices))
        states = Counter(
            (int(line.key), line.after["state"])
            for line in change_log.lines(tx, kind="order", limit=10**6)
            if line.action == "state" and line.after is not None and line.who.startswith("Writer")
        )
        wrong += _differing("state", states, Counter(seen.states))
        names = Counter(one.name for one in orders.find(tx, text="taken in", limit=10**6)[0])
        wrong += _differing("order", names, Counter(seen.orders))
    return wrong


def _differing(what: str, kept: Counter, confirmed: Counter) -> list[str]:
    lost = [f"{what} {one} is lost" for one in (confirmed - kept)]
    return lost + [f"{what} {one} was never confirmed, or is doubled" for one in (kept - confirmed)]
