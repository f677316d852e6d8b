"""An own PostgreSQL server for the tests: Debian's programs, a socket, no waiting for disks."""

from __future__ import annotations

import os
import shutil
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


@contextmanager
def server(*, durable=False):
    """Run a server for as long as it is needed; gives the address of it without a database's name.

    ``durable``: as it is set up by itself, so that what is confirmed is on the disk.
    """
    programs = PROGRAMS[-1].parent
    # A socket's path may have 107 characters, and the postgres user must be able to walk to it.
    folder = Path(tempfile.mkdtemp(prefix="laydown-pg-", dir="/tmp"))
    become = []
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
        become = ["runuser", "-u", "postgres", "--"]
    data = folder / "data"
    start = [*become, str(programs / "initdb"), "--no-sync", "-D", str(data), "-U", "postgres", "-A", "trust"]
    subprocess.run([*start, "-E", "UTF8", "--locale=C.UTF-8"], check=True, capture_output=True, cwd=folder)
    settings = {
        "listen_addresses": "",
        "unix_socket_directories": str(folder),
        "max_connections": "60",
        "shared_buffers": "32MB",
    }
    settings |= {} if durable else {"fsync": "off", "full_page_writes": "off"}
    options = [part for key, value in settings.items() for part in ("-c", f"{key}={value}")]
    with (folder / "log").open("wb") as log:
        process = subprocess.Popen(
            [*become, str(programs / "postgres"), "-D", str(data), *options], stdout=log, stderr=log, cwd=folder
        )
    try:
        _wait(folder)
        yield f"postgresql://postgres@/{{name}}?host={folder}"
    finally:
        subprocess.run(
            [*become, str(programs / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop"],
            check=False,
            capture_output=True,
            cwd=folder,
        )
        process.wait(timeout=20)
        shutil.rmtree(folder, ignore_errors=True)


def _wait(folder):
    import psycopg

    until = time.monotonic() + 30
    while True:
        try:
            psycopg.connect(f"postgresql://postgres@/postgres?host={folder}").close()
        except psycopg.OperationalError:
            if time.monotonic() > until:
                raise RuntimeError((folder / "log").read_text()) from None
            time.sleep(0.05)
        else:
            return
