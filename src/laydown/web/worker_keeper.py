"""Keeps the process that does long work alive."""

from __future__ import annotations

import logging
import os
import secrets
import subprocess
import sys
import threading

from laydown.errors import LaydownError
from laydown.services.job_worker import give_up, give_up_silent
from laydown.services.opening import Store
from laydown.web.worker import DATABASE, NAME

log = logging.getLogger("laydown.web")

PAUSE_S, LONGEST_PAUSE_S = 0.5, 30.0
"""Before another worker takes the place of one that died; doubled each time one dies young."""

YOUNG_S = 20.0


class WorkerKeeper:
    """Starts the worker, and another when it died; what the dead one was doing fails and says so.

    Attributes
    ----------
    process : Popen or None
        The worker that lives.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._keep, name="worker keeper", daemon=True)
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it."""
        self._thread.start()

    def stop(self) -> None:
        """End it; work that is under way is given up."""
        self._over.set()
        process = self.process
        if process is not None:
            _end(process)
        self._thread.join(timeout=10)

    def _keep(self) -> None:
        pause = PAUSE_S
        self._give_up_silent()
        while not self._over.is_set():
            name = f"worker {secrets.token_hex(4)}"
            self.process = self._started(name)
            try:
                status = self.process.wait(timeout=YOUNG_S)
                pause = min(2 * pause, LONGEST_PAUSE_S)
            except subprocess.TimeoutExpired:
                status = self.process.wait()
                pause = PAUSE_S
            _end(self.process)
            if not self._over.is_set():
                log.warning("the worker ended with status %d; another one takes its place", status)
            self._give_up(name)
            self._over.wait(pause)

    def _started(self, name: str) -> subprocess.Popen[bytes]:
        address = self._store.address.render_as_string(hide_password=False)
        return subprocess.Popen(
            [sys.executable, "-m", "laydown.web.worker"],
            stdin=subprocess.PIPE,
            env=os.environ | {DATABASE: address, NAME: name},
        )

    def _give_up(self, name: str) -> None:
        try:
            for job in give_up(self._store, name):
                log.warning("job %d was lost with its worker", job.id)
        except LaydownError as error:
            log.warning("what the worker was doing could not be marked as lost: %s", error)

    def _give_up_silent(self) -> None:
        try:
            give_up_silent(self._store)
        except LaydownError as error:
            log.warning("lost work could not be looked for: %s", error)


def _end(process: subprocess.Popen[bytes]) -> None:
    if process.stdin is not None:
        process.stdin.close()
    try:
        process.wait(timeout=3)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait(timeout=5)
