"""Calling the command line: in this process, or as a process of its own."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
import warnings
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from laydown.cli.main import main
from laydown.documents.template import copy_template

ORDERS = Path(str(files("laydown.data") / "orders"))
COTTON = str(ORDERS / "01-gig-night-black-tees.toml")


@dataclass(frozen=True)
class Called:
    status: int
    out: str
    err: str


def call(*arguments: str) -> Called:
    """Run a command line in this process."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), warnings.catch_warnings():
        status = main(arguments)
    for stream in (out, err):
        stream.flush()
    return Called(status, out.buffer.getvalue().decode(), err.buffer.getvalue().decode())


def call_process(*arguments: str, cwd: Path | None = None, **environment: str) -> Called:
    """Run a command line as a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", "from laydown.cli.main import run; run()", *arguments],
        capture_output=True,
        cwd=cwd,
        env=os.environ | environment,
        timeout=300,
        check=False,
    )
    return Called(done.returncode, done.stdout.decode(), done.stderr.decode())


def is_one_sentence(text: str) -> bool:
    """Whether that is one line which begins as every message of ours does, and no trace."""
    return text.startswith("laydown: ") and text.endswith("\n") and text.count("\n") == 1 and "Traceback" not in text


def new_shop(folder: Path) -> Path:
    """Write the invented shop, orders included, into a new folder."""
    copy_template(folder)
    return folder


def files_under(folder: Path) -> dict[str, bytes]:
    """Content of every file below a folder, hidden ones included."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }
