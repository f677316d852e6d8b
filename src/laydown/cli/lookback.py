"""``laydown lookback``: what was spoiled or claimed, and whether forecast risks came true."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import typer

from laydown.cli.store import Database

SHOWN = 5
"""Groups of each kind that are told."""


def lookback(
    since: Annotated[
        dt.datetime | None,
        typer.Option("--since", formats=["%Y-%m-%d"], help="Leave out what was printed before.", show_default=False),
    ] = None,
    example: Annotated[bool, typer.Option("--example", help="Look at the shipped, invented orders.")] = False,
    database: Database = None,
) -> None:
    """Tell what became of the orders that were printed."""
    from laydown.report.plain_text import printable
    from laydown.services import looking_back
    from laydown.services.opening import open_database

    if example:
        found = looking_back.example()
        typer.echo("Invented orders, as an example.")
    else:
        today = dt.date.today()  # noqa: DTZ011 - the day at the shop
        with open_database(database) as store:
            found = looking_back.look_back(store, today=today, since=since.date() if since else None)
    if not found.outcomes:
        typer.echo("nothing printed was entered at the press; 'laydown lookback --example' shows invented orders")
        return
    typer.echo(
        f"{len(found.outcomes)} order{'' if len(found.outcomes) == 1 else 's'}, {found.pieces} pieces over the press"
    )
    for one in found.reliability:
        if one.orders:
            typer.echo(f"\nForecast risk and outcome, {one.requirement.value}")
            for sentence in one.words:
                typer.echo(f"  {sentence}")
    for title, rows in (("cause", found.causes), *found.groups):
        typer.echo(f"\nSpoiled and claimed by {title}")
        for group in rows[:SHOWN]:
            low, high = group.interval
            mark = "  stands out" if group.stands_out else ""
            typer.echo(
                f"  {printable(group.name)}: {group.spoiled} spoiled, {group.claimed} claimed of {group.pieces} "
                f"({group.share:.1%}; {low:.1%} to {high:.1%}){mark}"
            )
