"""``laydown claim``: what customers came back with: list, keep, correct, take back."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Annotated, Any

import typer

from laydown.cli.store import Database

if TYPE_CHECKING:
    from laydown.domain.outcome import Claim
    from laydown.services.looking_back import StoredClaim

WHO = "command line"

claim = typer.Typer(
    name="claim",
    help="Keep what customers came back with; 'laydown lookback' tells what it comes to.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Number = Annotated[int, typer.Argument(metavar="N", help="Number of the claim.", min=1, show_default=False)]


@claim.command("list")
def list_(database: Database = None) -> None:
    """List every claim that holds, the newest first."""
    from laydown.services import looking_back
    from laydown.services.opening import open_database

    with open_database(database) as store:
        found = looking_back.all_claims(store)
    for one in found:
        typer.echo(_told(one.claim))
    if not found:
        typer.echo("no claim was entered yet")


@claim.command()
def keep(
    order: Annotated[
        str, typer.Argument(metavar="ORDER", help="Number of the order, or the shop's own.", show_default=False)
    ],
    cause: Annotated[str, typer.Option("--cause", metavar="WORDS", help="What is wrong.", show_default=False)],
    pieces: Annotated[int, typer.Option("--pieces", metavar="N", help="How many.", show_default=False)],
    received: Annotated[
        dt.datetime | None,
        typer.Option("--received", formats=["%Y-%m-%d"], help="Day; without it today.", show_default=False),
    ] = None,
    text: Annotated[str, typer.Option("--text", help="What the customer says.", show_default=False)] = "",
    database: Database = None,
) -> None:
    """Keep a claim."""
    import secrets

    from laydown.domain.outcome import Claim
    from laydown.services import looking_back, press_book
    from laydown.services.opening import open_database

    with open_database(database) as store:
        said = Claim(
            order=press_book.find_order(store, order),
            cause=cause,
            pieces=pieces,
            received_on=received.date() if received else _today(),
            text=text,
        )
        kept, _ = looking_back.enter_claim(store, said, key=secrets.token_hex(16), who=WHO, today=_today())
    typer.echo(_told(kept.claim))


@claim.command()
def correct(
    number: Number,
    cause: Annotated[
        str | None, typer.Option("--cause", metavar="WORDS", help="What is wrong.", show_default=False)
    ] = None,
    pieces: Annotated[int | None, typer.Option("--pieces", metavar="N", help="How many.", show_default=False)] = None,
    received: Annotated[
        dt.datetime | None, typer.Option("--received", formats=["%Y-%m-%d"], help="Day.", show_default=False)
    ] = None,
    text: Annotated[str | None, typer.Option("--text", help="What the customer says.", show_default=False)] = None,
    database: Database = None,
) -> None:
    """Put a corrected claim in the place of one; what is not given stays, and the old one stays in the log."""
    import secrets
    from dataclasses import replace

    from laydown.errors import InvalidInput
    from laydown.services import looking_back
    from laydown.services.opening import open_database

    day = received.date() if received else None
    given = {"cause": cause, "pieces": pieces, "received_on": day, "text": text}
    changes: dict[str, Any] = {name: value for name, value in given.items() if value is not None}
    if not changes:
        raise InvalidInput("say what is to be corrected: --cause, --pieces, --received or --text", where="claim")
    with open_database(database) as store:
        old: StoredClaim = looking_back.standing_claim(store, number)
        said = replace(old.claim, **changes)
        kept, _ = looking_back.enter_claim(
            store, said, key=secrets.token_hex(16), who=WHO, today=_today(), replaces=number
        )
    typer.echo(f"{_told(kept.claim)}; takes the place of claim {number}")


@claim.command()
def back(number: Number, database: Database = None) -> None:
    """Take back a claim that was entered by mistake; it stays in the log."""
    import secrets

    from laydown.services import looking_back
    from laydown.services.opening import open_database

    with open_database(database) as store:
        looking_back.take_back(store, number, key=secrets.token_hex(16), who=WHO)
    typer.echo(f"claim {number} is taken back")


def _told(said: Claim) -> str:
    from laydown.report.plain_text import printable

    words = f": {printable(said.text)}" if said.text else ""
    pieces = f"{said.pieces} piece{'' if said.pieces == 1 else 's'}"
    return f"claim {said.number}, order {said.order}, {said.received_on}: {said.cause}, {pieces}{words}"


def _today() -> dt.date:
    return dt.date.today()  # noqa: DTZ011 - the day at the shop
