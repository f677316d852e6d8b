"""``laydown backup`` and ``laydown restore``: a copy of the shop's database, and the way back."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Database = Annotated[
    str | None,
    typer.Option(
        "--database",
        metavar="URL",
        envvar="LAYDOWN_DATABASE",
        help="'sqlite:///FILE' or 'postgresql://USER@HOST/NAME'; without it the file in the user's data folder.",
        show_default=False,
    ),
]


def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The copy to write.", show_default=False)],
    database: Database = None,
) -> None:
    """Copy the shop's database into one file, while everybody goes on working."""
    from laydown.services.safe_keeping import back_up

    made = back_up(file, url=database)
    typer.echo(f"{made.path}: {made.size:,} bytes; its checksum is in {made.checksum}")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A copy made before.", show_default=False)],
    database: Database = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask: what the database holds now is replaced.")] = False,
) -> None:
    """Put a copy back into the shop's database, in place of what is there."""
    from laydown.services.safe_keeping import put_back

    if not yes:
        typer.confirm("Everything in the database is replaced by the copy. Go on?", abort=True)
    made = put_back(file, url=database)
    typer.echo(f"restored from {file}" + (f"; {made.kept} holds what was there" if made.kept else ""))
