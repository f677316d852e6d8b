"""``laydown init``, ``laydown rules`` and ``laydown whites``: start a shop, read its rules, ask what it should own."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from laydown.cli.plan import ShopFolder


def init(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="A new or empty folder.", show_default=False)],
) -> None:
    """Start a shop's folder from the invented shop."""
    from laydown.services.shelves import init_shop

    init_shop(folder)
    typer.echo(f"{folder} holds an invented shop now; its files say what to change, and orders lie in {folder}/orders")
    typer.echo(f"next: laydown plan {folder}/orders/03-harbour-regatta-tees.toml --shop {folder}")


def rules(
    facts: Annotated[bool, typer.Option("--facts", help="List the facts that a rule can ask for instead.")] = False,
    shop: ShopFolder = None,
) -> None:
    """List the trade rules that plans are made by."""
    from rich.table import Table
    from rich.text import Text

    from laydown.cli.output import show
    from laydown.services.rules import rule_facts, trade_rules
    from laydown.services.shelves import open_shop

    table = Table(box=None, pad_edge=False, header_style="dim", expand=True)
    if facts:
        for heading, share in (("Fact", 2), ("Kind", 1), ("Meaning", 5)):
            table.add_column(heading, ratio=share, overflow="fold")
        for fact in rule_facts():
            table.add_row(Text(fact.name), Text(fact.kind), Text(fact.meaning))
    else:
        for heading, share in (("Rule", 3), ("Effect", 1), ("Reason", 5), ("Source", 3)):
            table.add_column(heading, ratio=share, overflow="fold")
        for rule in trade_rules(open_shop(shop)):
            effect = rule.effect.value if rule.active else f"{rule.effect.value} (off)"
            table.add_row(Text(rule.name), Text(effect), Text(rule.reason), Text(rule.source))
    show(table)


def whites(
    orders: Annotated[
        Path,
        typer.Argument(
            metavar="ORDERS_DIR",
            help="A folder of order files, past or expected, each with how often it comes (times_a_year).",
            show_default=False,
        ),
    ],
    shop: ShopFolder = None,
) -> None:
    """Find the inks that serve a season of orders at the lowest cost."""
    from laydown.cli.output import show, tell
    from laydown.report.shelf_table import ShelfTable
    from laydown.services.ownership import own_inks, read_season
    from laydown.services.shelves import open_shop

    shelves = open_shop(shop)
    answer = own_inks(shelves, read_season(orders, shelves), progress=tell)
    show(ShelfTable(answer, shelves.costs.currency, shelves.preferences))
