"""What a person sees who waits for more than a second."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PATIENCE = 1.0
"""Seconds before anything is shown."""


@contextmanager
def bar(what: str, total: int | None = None) -> Iterator[Callable[[int], None]]:
    """Show a bar on the terminal when the work inside takes longer than a second.

    Parameters
    ----------
    what : str
    total : int or None
        Steps; None: it is not known how many.

    Yields
    ------
    callable
        To be told how many steps are done; says nothing where nobody watches.
    """
    if not sys.stderr.isatty():
        yield lambda _done: None
        return
    from threading import Timer

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    shown = Progress(
        TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(), console=Console(stderr=True), transient=True
    )
    task = shown.add_task(what, total=total)
    later = Timer(PATIENCE, shown.start)
    later.daemon = True
    later.start()
    try:
        yield lambda done: shown.update(task, completed=done)
    finally:
        later.cancel()
        later.join()
        shown.stop()
