"""The reader's side of the worker: start it, hand it one file at a time, take nothing it says on trust."""

from __future__ import annotations

import fcntl
import mmap
import os
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import asdict
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.messages import Garbled, receive, send
from laydown.errors import InvalidInput

_START = "import sys; sys.path[:] = {path!r}; from laydown.artwork.reading.worker import main; main()"
_KEPT = ("LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH")


def worker_command() -> list[str]:
    """The worker as a program: this interpreter, isolated, with the same packages."""
    path = [entry for entry in sys.path if Path(entry).is_absolute()]
    return [sys.executable, "-I", "-c", _START.format(path=path)]


def _environment(folder: str) -> dict[str, str]:
    kept = {name: os.environ[name] for name in _KEPT if name in os.environ}
    return {
        **kept,
        "HOME": folder,
        "TMPDIR": folder,
        "LC_ALL": "C.UTF-8",
        "OPENBLAS_NUM_THREADS": "1",
        "MALLOC_ARENA_MAX": "2",
    }


class _Process:
    """One worker with its own empty folder."""

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="laydown-art-")
        mine, theirs = socket.socketpair()
        self.channel = mine
        try:
            with theirs:
                self._process = subprocess.Popen(  # noqa: S603 - our own interpreter with our own text
                    worker_command(),
                    stdin=theirs.fileno(),
                    stdout=subprocess.DEVNULL,
                    stderr=subprocess.DEVNULL,
                    cwd=self._folder.name,
                    env=_environment(self._folder.name),
                    start_new_session=True,
                )
        except BaseException:
            mine.close()
            self._folder.cleanup()
            raise

    @property
    def pid(self) -> int:
        return self._process.pid

    def end(self) -> int:
        """Kill it, unless it has gone by itself, and give its exit code."""
        self.channel.close()
        if self._process.poll() is None:
            # One that lost its channel for a reason of its own is on its way out: its exit code tells the reason.
            self._process.kill()
        code = self._process.wait()
        self._folder.cleanup()
        return code

    def code_soon(self) -> int | None:
        """Exit code of a worker that has closed its channel."""
        try:
            return self._process.wait(timeout=5)
        except subprocess.TimeoutExpired:
            return None


class Reader:
    """A worker that reads one art file after the other, and is replaced when one of them kills it.

    Threads may share a reader: they wait for each other.

    Parameters
    ----------
    limits : Limits
        They hold for each file anew.
    """

    def __init__(self, limits: Limits | None = None) -> None:
        self.limits = limits or Limits()
        self.started = 0
        self._process: _Process | None = None
        self._lock = threading.Lock()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """End the worker."""
        with self._lock:
            self._drop()

    def _drop(self) -> int | None:
        process, self._process = self._process, None
        return process.end() if process else None

    def ask(self, job: dict[str, Any], art: int, result: int) -> dict[str, Any]:
        """Have one job done.

        Parameters
        ----------
        job : dict
            ``do``, ``kind``, ``page`` and what the kind needs.
        art, result : int
            Descriptors of the art file and of the memory for the result.

        Returns
        -------
        dict
            What the worker answered; not yet checked.

        Raises
        ------
        InvalidInput
            The worker refused the file, or did not survive it.
        """
        with self._lock:
            deadline = time.monotonic() + self.limits.wall
            try:
                answer = self._exchange({**job, "limits": asdict(self.limits)}, (art, result), deadline)
            except BaseException:
                self._drop()
                raise
            if answer.get("spent"):
                self._drop()
        if "done" in answer and isinstance(answer["done"], dict):
            return answer["done"]
        if isinstance(answer.get("refused"), str):
            raise InvalidInput(clean(answer["refused"], 400))
        with self._lock:
            self._drop()
        raise InvalidInput(NONSENSE)

    def _exchange(self, message: dict[str, Any], files: tuple[int, int], deadline: float) -> dict[str, Any]:
        if self._process is None:
            self._process = _Process()
            self.started += 1
        channel = self._process.channel
        try:
            channel.settimeout(max(deadline - time.monotonic(), 0.01))
            send(channel, message, files)
            return _receive_until(channel, deadline)
        except TimeoutError:
            raise InvalidInput(
                f"reading it took longer than the allowed {self.limits.wall:g} s; simplify it or export it again"
            ) from None
        except Garbled:
            raise InvalidInput(NONSENSE) from None
        except (EOFError, OSError):
            raise InvalidInput(self._epitaph(self._process.code_soon())) from None

    def _epitaph(self, code: int | None) -> str:
        """Why a worker may have gone, from its exit code."""
        if code == -signal.SIGXCPU:
            return (
                f"reading it took more than the allowed {self.limits.cpu:g} s of computing; "
                f"simplify it or export it again"
            )
        if code in {-signal.SIGKILL, -signal.SIGABRT}:
            return (
                f"reading it was ended, most likely for want of memory (allowed are "
                f"{self.limits.memory_bytes / 1e6:.0f} MB); simplify it or export it again"
            )
        return "it is damaged so that reading it failed; open it in a drawing program and export it again"


NONSENSE = "reading it gave no usable answer; open it in a drawing program and export it again"


def _receive_until(channel: socket.socket, deadline: float) -> dict[str, Any]:
    """One message, all of it before the deadline."""

    def take(count: int) -> bytes:
        channel.settimeout(max(deadline - time.monotonic(), 0.01))
        return channel.recv(count)

    return receive(take)


def clean(text: str, longest: int) -> str:
    """Words from a file or a worker without control characters, on one line."""
    return " ".join("".join(one if one.isprintable() else " " for one in text).split())[:longest]


def result_memory() -> int:
    """Descriptor of empty memory for a result; it vanishes with its last user, whatever happens."""
    if hasattr(os, "memfd_create"):
        return os.memfd_create("laydown-art", os.MFD_CLOEXEC | os.MFD_ALLOW_SEALING)
    with tempfile.TemporaryFile() as file:
        return os.dup(file.fileno())


def map_result(result: int, size: int) -> mmap.mmap:
    """The result, once its size is certain.

    Raises
    ------
    InvalidInput
        The worker made less than it said.
    """
    if hasattr(fcntl, "F_ADD_SEALS"):
        # Without this a worker could shrink the memory later, and whoever looks at it would die.
        fcntl.fcntl(result, fcntl.F_ADD_SEALS, fcntl.F_SEAL_SHRINK | fcntl.F_SEAL_GROW)
    if os.fstat(result).st_size != size:
        raise InvalidInput(NONSENSE)
    return mmap.mmap(result, size)


__all__ = ["NONSENSE", "Reader", "clean", "map_result", "result_memory", "worker_command"]
