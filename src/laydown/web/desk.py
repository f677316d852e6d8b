"""Processes of the app that are kept warm for answers within a second: views of plans, what-if, tickets."""

from __future__ import annotations

import logging
import multiprocessing
import os
import pickle
import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures import TimeoutError as TooLong
from concurrent.futures.process import BrokenProcessPool
from typing import Any, ParamSpec, TypeVar

from laydown.errors import InvalidInput, LaydownError, NotFound
from laydown.web.refusal import Refusal

P = ParamSpec("P")
T = TypeVar("T")

PATIENCE_S = 90.0
KEPT_BYTES = 64_000_000
"""Answers that are remembered, as they came through the pipe: plans never change, so neither do their views."""

log = logging.getLogger("laydown.web")


class Desk:
    """Asks a process of its own; without one, does it itself.

    Parameters
    ----------
    own_process : bool
        False: everything is done by the thread that asks (for tests).
    kernels : bool
        Whether the process loads the kernels when it starts, for what reckons; one that only draws starts at once.
    niceness : int
        How much others come before it on a busy processor.
    """

    def __init__(self, *, own_process: bool, kernels: bool = True, niceness: int = 0) -> None:
        self._own = own_process
        self._kernels = kernels
        self._niceness = niceness
        self._lock = threading.Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._kept: OrderedDict[tuple[Any, ...], tuple[int, Any]] = OrderedDict()
        self._bytes = 0
        self._coming: dict[tuple[Any, ...], Future[Any]] = {}

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
        found: T = self._asked(work, args, kwargs)[1]
        return found

    def _asked(self, work: Callable[..., T], args: tuple[Any, ...], kwargs: dict[str, Any]) -> tuple[int, T]:
        """Bytes of the answer, and the answer."""
        if not self._own:
            return 1, work(*args, **kwargs)
        pool = self._running()
        try:
            done, answer = pool.submit(_answered, work, args, kwargs).result(timeout=PATIENCE_S)
        except (BrokenProcessPool, TooLong, RuntimeError) as error:
            log.warning("the process for quick answers is replaced: %r", error)
            self._replace(pool)
            raise Refusal(503, "the process that reckons stopped or took too long; ask again", retry_after=2) from None
        if done:
            return len(answer), pickle.loads(answer)  # noqa: S301 - from a process of our own
        raise _error(*answer)

    def ask_once(self, key: tuple[Any, ...], work: Callable[..., T], fetch: Callable[[], tuple[Any, ...]]) -> T:
        """As `ask`, but an answer that was given before under the same key is given again.

        Whoever asks for an answer that is on its way waits for that one.

        Parameters
        ----------
        fetch : callable
            Gives what the work is asked with; called when there is no answer yet.
        """
        whole = (work.__module__, getattr(work, "__name__", ""), *key)
        with self._lock:
            if whole in self._kept:
                self._kept.move_to_end(whole)
                kept: T = self._kept[whole][1]
                return kept
            coming = self._coming.get(whole)
            mine = Future[T]()
            if coming is None:
                self._coming[whole] = mine
        if coming is not None:
            theirs: T = coming.result()
            return theirs
        try:
            size, found = self._asked(work, fetch(), {})
        except BaseException as error:
            mine.set_exception(error)
            raise
        else:
            self._keep(whole, size, found)
            mine.set_result(found)
            return found
        finally:
            with self._lock:
                del self._coming[whole]

    def _keep(self, whole: tuple[Any, ...], size: int, found: object) -> None:
        with self._lock:
            self._kept[whole] = size, found
            self._bytes += size
            while self._bytes > KEPT_BYTES and len(self._kept) > 1:
                self._bytes -= self._kept.popitem(last=False)[1][0]

    def _running(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._pool is None:
                context = multiprocessing.get_context("spawn")
                self._pool = ProcessPoolExecutor(
                    max_workers=1, mp_context=context, initializer=_begin, initargs=(self._niceness,)
                )
                self._pool.submit(_warm if self._kernels else _warm_drawing)
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


def _begin(niceness: int) -> None:
    """End with the app, however it ends."""
    if niceness and hasattr(os, "nice"):
        os.nice(niceness)
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


def _warm_drawing() -> None:
    from laydown.services.plan_book_warmth import warm_drawing

    try:
        warm_drawing()
    except Exception:
        logging.getLogger("laydown.web").exception("the process that draws could not be warmed up")


def _answered(work: Callable[..., T], args: tuple[Any, ...], kwargs: dict[str, Any]) -> tuple[bool, Any]:
    """Answer as it goes through the pipe, or what went wrong in a form that gets through."""
    try:
        return True, pickle.dumps(work(*args, **kwargs), protocol=pickle.HIGHEST_PROTOCOL)
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
