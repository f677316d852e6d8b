"""An own PostgreSQL server for the tests: Debian's programs, a socket, and no waiting for disks unless asked for."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

PROGRAMS = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"))


def why_not():
    """Say why no server can be started here, or nothing."""
    if not PROGRAMS:
        return "there is no PostgreSQL server on this machine (/usr/lib/postgresql)"
    if os.geteuid() == 0 and shutil.which("runuser") is None:
        return "PostgreSQL does not run as root, and there is no runuser to become another user"
    return ""


class Server:
    """A server that can be started, killed and started again.

    ``durable``: as it is set up by itself, so that what is confirmed is on the disk.
    """

    def __init__(self, *, durable=False):
        # A socket's path may have 107 characters, and the postgres user must be able to walk to it.
        self.folder = Path(tempfile.mkdtemp(prefix="laydown-pg-", dir="/tmp"))
        self.address = f"postgresql://postgres@/{{name}}?host={self.folder}"
        self._become = []
        if os.geteuid() == 0:
            shutil.chown(self.folder, "postgres", "postgres")
            self._become = ["runuser", "-u", "postgres", "--"]
        self._data = self.folder / "data"
        self._process = None
        settings = {
            "listen_addresses": "",
            "unix_socket_directories": str(self.folder),
            "max_connections": "60",
            "shared_buffers": "32MB",
        }
        settings |= {} if durable else {"fsync": "off", "full_page_writes": "off"}
        self._options = [part for key, value in settings.items() for part in ("-c", f"{key}={value}")]
        make = ["initdb", "--no-sync", "-D", str(self._data), "-U", "postgres", "-A", "trust", "-E", "UTF8"]
        self._run(*make, "--locale=C.UTF-8", check=True)

    def start(self):
        """Start it, and wait until it answers."""
        program = str(PROGRAMS[-1])
        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen(
                [*self._become, program, "-D", str(self._data), *self._options], stdout=log, stderr=log, cwd=self.folder
            )
        self._wait()

    def kill(self):
        """Kill every process of it at once, as a power cut does."""
        first = int((self._data / "postmaster.pid").read_text().split()[0])
        family = [first]
        for one in family:
            for thread in Path(f"/proc/{one}/task").iterdir():
                family += [int(child) for child in (thread / "children").read_text().split()]
        for one in family:
            with contextlib.suppress(ProcessLookupError):
                os.kill(one, signal.SIGKILL)
        self._process.wait(timeout=20)

    def stop(self):
        """End it and remove what it kept."""
        self._run("pg_ctl", "-D", str(self._data), "-m", "immediate", "stop", check=False)
        if self._process is not None:
            self._process.wait(timeout=20)
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, program, *arguments, check):
        command = [*self._become, str(PROGRAMS[-1].parent / program), *arguments]
        subprocess.run(command, check=check, capture_output=True, cwd=self.folder)

    def _wait(self):
        import psycopg

        until = time.monotonic() + 60
        while True:
            try:
                psycopg.connect(self.address.format(name="postgres")).close()
            except psycopg.OperationalError:
                if time.monotonic() > until:
                    raise RuntimeError((self.folder / "log").read_text()) from None
                time.sleep(0.05)
            else:
                return


@contextmanager
def running(*, durable=False):
    """Run a server for as long as it is needed."""
    server = Server(durable=durable)
    try:
        server.start()
        yield server
    finally:
        server.stop()


@contextmanager
def server(*, durable=False):
    """Run a server for as long as it is needed; gives the address of it with a place for a database's name."""
    with running(durable=durable) as one:
        yield one.address
