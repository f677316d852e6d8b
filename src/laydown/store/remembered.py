"""What was read from content that never changes, so that it need not be read again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")

MOST = 512


class Remembered:
    """Answers by a key that stands for their content, such as its SHA-256; threads may share one.

    What was not asked for longest is forgotten. Nobody may change what is given.
    """

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = threading.Lock()

    def once(self, key: Hashable, make: Callable[[], T]) -> T:
        """Answer that is kept under a key, or that of ``make``, which two threads may call at the same time."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                kept: T = self._kept[key]
                return kept
        made = make()
        with self._lock:
            self._kept[key] = made
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made
