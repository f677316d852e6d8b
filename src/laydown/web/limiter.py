"""Counts tries, so that a password cannot be guessed."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

MOST = 5
WINDOW_S = 300.0
MOST_IN_ALL = 60
KEYS = 10_000
"""Names and addresses that are remembered; then the oldest is forgotten."""


class Limiter:
    """Failed tries of the last minutes, by key and in all; threads may share one."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._failed: dict[str, deque[float]] = {}
        self._all: deque[float] = deque()
        self._lock = threading.Lock()

    def wait_for(self, *keys: str) -> int:
        """Seconds until another try is allowed; 0 when it is now."""
        with self._lock:
            now = self._clock()
            waits = [_wait(self._failed.get(key, deque()), MOST, now) for key in keys]
            return max(*waits, _wait(self._all, MOST_IN_ALL, now), 0)

    def failed(self, *keys: str) -> None:
        """Remember a try that failed."""
        with self._lock:
            now = self._clock()
            self._all.append(now)
            for key in keys:
                while key not in self._failed and len(self._failed) >= KEYS:
                    del self._failed[next(iter(self._failed))]
                self._failed.setdefault(key, deque()).append(now)

    def succeeded(self, *keys: str) -> None:
        """Forget the tries of a key."""
        with self._lock:
            for key in keys:
                self._failed.pop(key, None)


def waiting_words(seconds: int) -> str:
    """How long to wait, as people say it."""
    return f"{seconds} s" if seconds < 60 else f"{-(-seconds // 60)} min"


def _wait(tries: deque[float], most: int, now: float) -> int:
    while tries and tries[0] <= now - WINDOW_S:
        tries.popleft()
    return int(tries[-most] + WINDOW_S - now) + 1 if len(tries) >= most else 0
