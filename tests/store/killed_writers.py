"""Kill writers at random moments and look at what they leave: run as a program of its own by the tests.

The program forks one child a round, as starting Python two hundred times would take minutes. A child writes orders,
each with its art and its log line, and names each through a pipe once it is confirmed.
"""

import json
import os
import random
import signal
import sqlite3
import sys
import time
from pathlib import Path

from order_texts_of_store import order_text

from laydown.store import change_log, files, jobs, orders
from laydown.store.database import open_store
from laydown.store.upgrade import scripts

LINE = 12


def art_of(name):
    return (name * 5_000).encode()


def write_until_killed(url, prefix, pipe):
    """Write one order after the other; the pipe gets a name of `LINE` letters when its order is confirmed."""
    with open_store(url) as store:
        os.write(pipe, b"open".ljust(LINE))
        number = 0
        while True:
            name = f"{prefix}-{number}"
            with store.write(who="killed") as tx:
                art = files.put(tx, art_of(name))
                orders.add(tx, order_text(name=name), files={"a.png": art.sha256})
                jobs.add(tx, "plan", {"order": name})
            os.write(pipe, name.encode().ljust(LINE))
            number += 1


def killed_round(url, prefix, random_, *, within=None):
    """Fork a writer and kill it; gives the names that it confirmed.

    The moment is drawn from when it has confirmed up to two orders, or (``within``) from so many seconds after its
    start, so that the making of the database is hit.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            write_until_killed(url, prefix, writing)
        finally:
            os._exit(1)
    os.close(writing)
    said = b""
    while within is None and len(said) < LINE * random_.choice((1, 2, 3)):
        said += os.read(reading, LINE)
    time.sleep(random_.uniform(0, 0.04 if within is None else within))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while piece := os.read(reading, 1 << 16):
        said += piece
    os.close(reading)
    return [said[i : i + LINE].decode().strip() for i in range(0, len(said) - len(said) % LINE, LINE)]


def look(url, confirmed):
    """What is wrong with the database: half orders, and confirmed names that are not there."""
    with open_store(url) as store, store.read() as tx:
        found, number = orders.find(tx, limit=10**6)
        wrong = [f"{len(found)} orders of {number}"] if len(found) != number else []
        for order in found:
            one = orders.version(tx, order.id, 1)
            if files.content(tx, one.files["a.png"]) != art_of(order.name):
                wrong.append(f"{order.name} has another art")
        names = {order.name for order in found}
        logged = {line.after["name"] for line in change_log.lines(tx, kind="order", limit=10**6)}
        asked = {job.request["order"] for job in jobs.recent(tx, limit=10**6)}
        wrong += [] if names == logged == asked else [f"half orders: {(names ^ logged) | (names ^ asked)}"]
        lost = sorted(confirmed - names)
        return wrong, lost, number


def main(url, rounds, seed):
    """Kill writers of one database, look at it after each, and print a report."""
    scripts().walk_revisions()  # imported before the forks
    random_ = random.Random(seed)
    confirmed, wrong, lost, number = set(), [], [], 0
    for one in range(rounds):
        confirmed |= set(killed_round(url, f"r{one}", random_)) - {"open"}
        if url.startswith("sqlite"):
            connection = sqlite3.connect(url.removeprefix("sqlite:///"))
            said = connection.execute("PRAGMA quick_check").fetchone()[0]
            connection.close()
            wrong += [said] if said != "ok" else []
        if one % 10 == 9 or one == rounds - 1:
            more, lost, number = look(url, confirmed)
            wrong += more
        if wrong or lost:
            break
    print(json.dumps({"rounds": one + 1, "confirmed": len(confirmed), "orders": number, "wrong": wrong, "lost": lost}))


def making_takes(folder):
    """Seconds from the start of a writer until its database is made, the shortest of three: it differs by machine."""
    took = []
    for one in range(3):
        reading, writing = os.pipe()
        begun = time.monotonic()
        child = os.fork()
        if child == 0:
            os.close(reading)
            try:
                write_until_killed(f"sqlite:///{Path(folder) / f'timed{one}'}/new.sqlite", "timed", writing)
            finally:
                os._exit(1)
        os.close(writing)
        os.read(reading, LINE)
        took.append(time.monotonic() - begun)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(reading)
    return min(took)


def main_new(folder, rounds, seed):
    """Kill writers while they make a database, each time another one, and print a report."""
    scripts().walk_revisions()
    random_ = random.Random(seed)
    wrong, lost, hit = [], [], 0
    within = making_takes(folder)
    for one in range(rounds):
        url = f"sqlite:///{Path(folder) / str(one)}/new.sqlite"
        confirmed = set(killed_round(url, f"r{one}", random_, within=within))
        hit += "open" not in confirmed
        more, gone, _ = look(url, confirmed - {"open"})
        wrong, lost = wrong + more, lost + gone
    print(json.dumps({"rounds": rounds, "hit": hit, "wrong": wrong, "lost": lost}))


if __name__ == "__main__":
    what, where, rounds, seed = sys.argv[1:]
    {"same": main, "new": main_new}[what](where, int(rounds), int(seed))
