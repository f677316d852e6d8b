"""``laydown probe keep``, ``logs``, ``use``, ``check`` and ``chart``: dryers of the shop's database."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import typer

from laydown.cli.probe import LogFile, content_of, probe
from laydown.cli.store import Database

WHO = "command line"

commands = probe
"""The whole group; importing this file adds the commands of the database to it."""

Dryer = Annotated[str, typer.Option("--dryer", metavar="NAME", help="Dryer or flash unit by name.", show_default=False)]
Machine = Annotated[str, typer.Argument(metavar="MACHINE", help="Dryer or flash unit by name.", show_default=False)]
Kind = Annotated[str, typer.Argument(metavar="KIND", help="panel, peak, belt or flash.", show_default=False)]


@probe.command()
def keep(
    file: LogFile,
    dryer: Dryer,
    garment: Annotated[
        str, typer.Option("--garment", metavar="NAME", help="Garment on the belt, by name.", show_default=False)
    ],
    panel_c: Annotated[
        float | None,
        typer.Option("--panel-c", metavar="°C", help="Panel setting; needed of a dryer.", show_default=False),
    ] = None,
    belt: Annotated[
        float | None, typer.Option("--belt", metavar="M/MIN", help="Belt as dialled.", show_default=False)
    ] = None,
    flash_s: Annotated[
        float | None, typer.Option("--flash-s", metavar="S", help="How long a flash unit flashed.", show_default=False)
    ] = None,
    film_um: Annotated[float, typer.Option("--film-um", metavar="µm", help="Ink on the test piece.")] = 0.0,
    date: Annotated[
        dt.datetime | None,
        typer.Option("--date", formats=["%Y-%m-%d"], help="Day of the run; without it today.", show_default=False),
    ] = None,
    note: Annotated[str, typer.Option("--note", help="Anything worth knowing.", show_default=False)] = "",
    database: Database = None,
) -> None:
    """Keep a log in the shop's database."""
    import hashlib

    from laydown.domain.probe_log import ProbeConditions
    from laydown.services import dryer_book, probe_machines
    from laydown.services.opening import open_database
    from laydown.units import from_celsius, from_metre_per_minute, from_micron

    content = content_of(file)
    with open_database(database) as store:
        said = None if panel_c is None else from_celsius(panel_c)
        conditions = ProbeConditions(
            dryer=dryer,
            garment=garment,
            date=date.date() if date else dt.datetime.now(tz=dt.UTC).date(),
            setting=probe_machines.setting_of(dryer_book.machine(store, dryer), said),
            speed=None if belt is None else from_metre_per_minute(belt),
            film=from_micron(film_um),
            flash_seconds=flash_s,
            note=note,
        )
        # The same file under the same conditions is the same log, however often it is sent.
        key = hashlib.sha256(content + repr(conditions).encode()).hexdigest()
        kept, new = dryer_book.keep(store, content, file.name, conditions, key=key, who=WHO)
    typer.echo(f"log {kept.id} of {dryer}" + ("" if new else " was kept before"))


@probe.command()
def logs(dryer: Dryer, database: Database = None) -> None:
    """List the logs of a dryer or flash unit, the newest first."""
    from laydown.services import dryer_book
    from laydown.services.opening import open_database, shop_head

    with open_database(database) as store:
        found = dryer_book.logs(store, dryer)
        flash = dict(dryer_book.machine_names(store))[dryer]
        head = shop_head(store)
    from laydown.domain.shop import Preferences
    from laydown.report import display_units as show
    from laydown.services import probe_words

    prefs = head.preferences if head else Preferences()
    for one in found:
        told = probe_words.conditions_sentence(one.conditions, prefs, flash=flash)
        typer.echo(f"{one.id}: {show.date(one.conditions.date)}, {one.name}, {told}")
    if not found:
        typer.echo(f"no log of {dryer} is kept yet")


@probe.command()
def use(
    dryer: Dryer,
    log: Annotated[
        list[int] | None, typer.Option("--log", metavar="N", help="Log to fit to; without it the newest.")
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask before the shelf is changed.")] = False,
    database: Database = None,
) -> None:
    """Fit a dryer or flash unit to its kept logs and put it on the shelf; plans use it from then on."""
    from laydown.cli.output import show
    from laydown.cli.probe_tables import FitTable
    from laydown.domain.shop import Preferences
    from laydown.services import dryer_book, probe_fit
    from laydown.services.opening import open_database, shop_head

    with open_database(database) as store:
        asked = dryer_book.request(store, dryer, tuple(log or ()))
        head = shop_head(store)
        found = probe_fit.fit(asked.machine, asked.climate, asked.files)
        show(FitTable(found, head.preferences if head else Preferences()))
        if not yes:
            typer.confirm(f"Use this {dryer} in plans?", abort=True)
        dryer_book.use(store, probe_fit.document(probe_fit.fitted(found)), revision=asked.revision, who=WHO)
    typer.echo(f"{dryer} on the shelf is the fitted one now")


@probe.command()
def check(
    machine: Machine,
    kind: Kind,
    value: Annotated[float, typer.Argument(metavar="VALUE", help="In the shop's units.", show_default=False)],
    note: Annotated[str, typer.Option("--note", help="Anything worth knowing.", show_default=False)] = "",
    anew: Annotated[
        bool, typer.Option("--anew", help="Reckon limits anew from here: after maintenance, or at another setting.")
    ] = False,
    database: Database = None,
) -> None:
    """Enter a daily check, and say how the machine stands."""
    import secrets

    from laydown.domain.probe_check import ProbeCheck
    from laydown.domain.shop import Preferences
    from laydown.services import dryer_watch, probe_words
    from laydown.services.opening import open_database, shop_head

    with open_database(database) as store:
        head = shop_head(store)
        wanted = dryer_watch.kind_of(kind)
        kelvin = probe_words.check_from(wanted, value, head.preferences if head else Preferences())
        entry = ProbeCheck(
            machine=machine, kind=wanted, value=kelvin, happened_at=dt.datetime.now(tz=dt.UTC), note=note, anew=anew
        )
        dryer_watch.enter(store, entry, key=secrets.token_hex(16), who=WHO)
    chart(machine, kind, database)


@probe.command()
def chart(machine: Machine, kind: Kind, database: Database = None) -> None:
    """Say whether a machine is in control, and which orders were printed since the last good check."""
    from laydown.domain.shop import Preferences
    from laydown.report.plain_text import capital
    from laydown.services import dryer_watch, probe_words
    from laydown.services.opening import open_database, shop_head

    with open_database(database) as store:
        seen = dryer_watch.watch(store, machine, dryer_watch.kind_of(kind))
        head = shop_head(store)
    prefs = head.preferences if head else Preferences()
    typer.echo(f"{capital(seen.verdict)}.")
    limits = seen.chart.limits
    if limits is not None:
        low, centre, high = (
            probe_words.check_value(seen.kind, x, prefs) for x in (limits.low, limits.centre, limits.high)
        )
        typer.echo(f"Centre {centre}, limits {low} to {high}, from {limits.checks} checks.")
    for sentence in seen.told:
        typer.echo(f"{capital(sentence)}.")
    for order in seen.touched:
        sure = "" if order.sure else " (its plan does not say on which machine)"
        typer.echo(f"Printed since the last good check: order {order.id}, {order.name}, {order.pieces} pieces{sure}.")
