"""Add one to a shelf item's price again and again, reading it first: run as a process of its own by the tests."""

import sys

from laydown.store import shelves
from laydown.store.database import open_store


def count_up(store, name, times):
    for _ in range(times):
        with store.write(who="counter") as tx:
            item = shelves.get(tx, "inks", name)
            shelves.put(
                tx, "inks", {**item.document, "price_per_kg": item.document["price_per_kg"] + 1}, revision=item.revision
            )


if __name__ == "__main__":
    url, name, times = sys.argv[1:]
    with open_store(url) as opened:
        print("ready", flush=True)
        sys.stdin.readline()
        count_up(opened, name, int(times))
