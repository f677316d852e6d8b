"""How a piece of long work says how far it is, and hears that it is to stop."""

from __future__ import annotations

import threading


class Stopped(Exception):
    """Somebody called the work off."""


class Progress:
    """Told by the work, read by the thread that writes it to the store."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._share = 0.0
        self._message = ""
        self._stop = threading.Event()

    def __call__(self, message: str, share: float | None = None) -> None:
        """Say what is being done, and what share of all is done.

        Raises
        ------
        Stopped
            When the work is to end.
        """
        with self._lock:
            self._message = message
            if share is not None:
                self._share = min(max(share, 0.0), 1.0)
        if self._stop.is_set():
            raise Stopped

    def told(self) -> tuple[float, str]:
        """Share and message."""
        with self._lock:
            return self._share, self._message

    def stop(self) -> None:
        """Let the next call raise."""
        self._stop.set()
