"""The process that does long work; started by the app, and ends with it."""

from __future__ import annotations

import logging
import os
import sys
import threading

DATABASE, NAME = "LAYDOWN_WORKER_DATABASE", "LAYDOWN_WORKER_NAME"
"""Environment in which the app tells the worker its database (other users can read a command line) and its name."""

NICENESS = 4
"""How much the pages come before long work on a busy processor."""


def main() -> None:
    """Warm the kernels, then work until standard input ends, which it does when the app does, however it does."""
    from laydown.services.job_worker import run_worker
    from laydown.services.opening import open_database

    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="%(asctime)s worker: %(message)s")
    logging.getLogger("laydown").setLevel(logging.INFO)
    if hasattr(os, "nice"):
        # Whoever looks at a page waits for it; whoever asked for a plan sees how far it is.
        os.nice(NICENESS)
    over = threading.Event()
    threading.Thread(target=_wait_for_the_end, args=(over,), daemon=True).start()
    with open_database(os.environ[DATABASE]) as store:
        _warm()
        run_worker(store, os.environ[NAME], stop=over.is_set)


def _warm() -> None:
    from laydown.services.warmup import ready

    try:
        ready()
    except Exception:
        # The first plan is slower then, or tells what is wrong.
        logging.getLogger("laydown.worker").exception("the kernels could not be compiled ahead")


def _wait_for_the_end(over: threading.Event) -> None:
    sys.stdin.buffer.read()
    over.set()
    # Work that is under way is given up by whoever starts next.
    os._exit(0)


if __name__ == "__main__":
    main()
