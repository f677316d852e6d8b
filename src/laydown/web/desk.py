"""A process of the app that is kept warm for answers within a second: views of plans, what-if, tickets."""

from __future__ import annotations

import logging
import multiprocessing
import os
import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures import TimeoutError as TooLong
from concurrent.futures.process import BrokenProcessPool
from typing import Any, ParamSpec, TypeVar

from laydown.errors import InvalidInput, LaydownError, NotFound
from laydown.web.refusal import Refusal

P = ParamSpec("P")
T = TypeVar("T")

PATIENCE_S = 90.0
KEPT = 64
"""Answers that are remembered: plans never change, so neither do their views."""

log = logging.getLogger("laydown.web")


class Desk:
    """Asks a process of its own; without one, does it itself.

    Parameters
    ----------
    own_process : bool
        False: everything is done by the thread that asks (for tests).
    """

    def __init__(self, *, own_process: bool) -> None:
        self._own = own_process
        self._lock = threading.Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._kept: OrderedDict[tuple[Any, ...], Any] = OrderedDict()

    def start(self) -> None:
        """Start the process, so that its kernels are loaded before somebody asks."""
        if self._own:
            self._running()

    def stop(self) -> None:
        """End it."""
        with self._lock:
            pool, self._pool = self._pool, None
        if pool is not None:
            _end(pool)

    def ask(self, work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """Let the process do a piece of work and return its answer.

        Raises
        ------
        LaydownError
            As the work raises it.
        Refusal
            When the process stopped or takes too long; the next one who asks gets a new one.
        """
        if not self._own:
            return work(*args, **kwargs)
        pool = self._running()
        try:
            done, answer = pool.submit(_answered, work, args, kwargs).result(timeout=PATIENCE_S)
        except (BrokenProcessPool, TooLong, RuntimeError) as error:
            log.warning("the process for quick answers is replaced: %r", error)
            self._replace(pool)
            raise Refusal(503, "the process that reckons stopped or took too long; ask again", retry_after=2) from None
        if done:
            found: T = answer
            return found
        raise _error(*answer)

    def ask_once(self, key: tuple[Any, ...], work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """As `ask`, but an answer that was given before under the same key is given again."""
        whole = (work.__module__, getattr(work, "__name__", ""), *key)
        with self._lock:
            if whole in self._kept:
                self._kept.move_to_end(whole)
                kept: T = self._kept[whole]
                return kept
        found = self.ask(work, *args, **kwargs)
        with self._lock:
            self._kept[whole] = found
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return found

    def _running(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._pool is None:
                context = multiprocessing.get_context("spawn")
                self._pool = ProcessPoolExecutor(max_workers=1, mp_context=context, initializer=_begin)
                self._pool.submit(_warm)
            return self._pool

    def _replace(self, pool: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._pool is pool:
                self._pool = None
        _end(pool)


def _end(pool: ProcessPoolExecutor) -> None:
    processes = list((getattr(pool, "_processes", None) or {}).values())
    pool.shutdown(wait=False, cancel_futures=True)
    for process in processes:
        process.terminate()


def _begin() -> None:
    """End with the app, however it ends."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_follow, args=(parent,), daemon=True).start()


def _follow(parent: Any) -> None:
    parent.join()
    os._exit(0)


def _warm() -> None:
    from laydown.services.plan_book_warmth import warm

    try:
        warm()
    except Exception:
        # The first answer is slower then, or tells what is wrong.
        logging.getLogger("laydown.web").exception("the process for quick answers could not be warmed up")


def _answered(work: Callable[..., T], args: tuple[Any, ...], kwargs: dict[str, Any]) -> tuple[bool, Any]:
    """Answer, or what went wrong in a form that gets through a pipe."""
    try:
        return True, work(*args, **kwargs)
    except NotFound as error:
        return False, ("not found", error.kind, error.name, error.known, error.where)
    except InvalidInput as error:
        return False, ("invalid", error.what, error.where)
    except LaydownError as error:
        return False, ("invalid", str(error), "")


def _error(kind: str, *told: Any) -> LaydownError:
    if kind == "not found":
        return NotFound(told[0], told[1], told[2], where=told[3])
    return InvalidInput(told[0], where=told[1])
