"""Where the commands write: text to the terminal, files whole."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from laydown.errors import InvalidInput

if TYPE_CHECKING:
    from rich.console import RenderableType

PAPER = 110
"""Columns of a table that goes into a file or a log."""


def rendered(thing: RenderableType) -> str:
    """Text of something rich; where standard output is no terminal, without colours and `PAPER` columns wide."""
    from rich.console import Console

    known = sys.stdout.isatty() or "COLUMNS" in os.environ
    console = Console(file=sys.stdout, highlight=False, width=None if known else PAPER)
    with console.capture() as captured:
        console.print(thing)
    return captured.get()


def show(thing: RenderableType) -> None:
    """Print something rich to standard output."""
    typer.echo(rendered(thing), nl=False)


def write_out(text: str) -> None:
    """Write a text to standard output as UTF-8, whatever the terminal speaks."""
    typer.echo(text.encode(), nl=False)


def tell(sentence: str) -> None:
    """Say what is being done, when somebody watches."""
    if sys.stderr.isatty():
        typer.echo(f"{sentence} ...", err=True)


def check_file(path: Path) -> None:
    """Raise InvalidInput when a file could not be written there; asked before any work is done."""
    if path.is_dir():
        raise InvalidInput("this is a folder, but a file is needed", where=str(path))
    if not path.parent.is_dir():
        raise InvalidInput(f"there is no folder {str(path.parent)!r} to write it to", where=str(path))


def write_file(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    from laydown.documents.whole_files import write_whole_files

    write_whole_files(path.parent, {path.name: content})
