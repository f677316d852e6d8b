"""``laydown plan`` and ``laydown explain``: plan an order, and ask where a number comes from."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from laydown.cli.status import DONE, NOTHING_PASSES
from laydown.errors import InvalidInput

if TYPE_CHECKING:
    from laydown.services.explain import Explanation

OrderFile = Annotated[Path, typer.Argument(metavar="ORDER.toml", help="The order file.", show_default=False)]
ShopFolder = Annotated[
    Path | None,
    typer.Option(
        "--shop",
        metavar="DIR",
        envvar="LAYDOWN_SHOP",
        help="The shop's folder; without it the invented shop that laydown ships.",
        show_default=False,
    ),
]
LaydownModel = Annotated[
    str | None,
    typer.Option(
        "--laydown",
        metavar="MODEL",
        help="Model of the wet laydown by name (docs/models.md); without it the best of them.",
        show_default=False,
    ),
]


def plan(
    order: OrderFile,
    json: Annotated[bool, typer.Option("--json", help="Write the plan as JSON ('laydown schema plan').")] = False,
    ticket: Annotated[
        Path | None,
        typer.Option("--ticket", metavar="OUT.pdf", help="Write the press crew's sheet.", show_default=False),
    ] = None,
    shop: ShopFolder = None,
    every: Annotated[bool, typer.Option("--all", help="List every stack that lost, with its own reason.")] = False,
    laydown: LaydownModel = None,
) -> int:
    """Plan an order: what to print with, why, and how sure that is."""
    from laydown.cli.output import check_file, rendered, tell, write_file, write_out
    from laydown.services.planning import plan_order
    from laydown.services.shelves import open_shop, read_order

    if ticket is not None:
        check_file(ticket)
    shelves = open_shop(shop)
    with _told_in(order):
        made = plan_order(shelves, read_order(order, shelves), progress=tell, **_named_model(laydown))
    if json:
        from laydown.services.schemas import plan_json

        text = plan_json(made)
    else:
        from laydown.report.tables import plan_table

        text = rendered(plan_table(made, shelves.preferences, every_rejection=every))
    if ticket is not None:
        from laydown.services.tickets import ticket as typeset

        write_file(ticket, typeset(shelves, made, folder=order.parent))
    if json:
        write_out(text)
    else:
        typer.echo(text, nl=False)
    return DONE if made.complete else NOTHING_PASSES


def explain(
    order: OrderFile,
    number: Annotated[
        str,
        typer.Argument(
            metavar="NUMBER",
            help="Where it stands in the plan's JSON, for example 'forecast.bleed.days[5].difference_de.p50'; leading "
            "keys may be left out where one thing only is meant.",
            show_default=False,
        ),
    ],
    shop: ShopFolder = None,
    laydown: LaydownModel = None,
) -> int:
    """Tell where a number of a plan comes from."""
    from laydown.cli.output import tell
    from laydown.services.explain import explain_number
    from laydown.services.planning import plan_order
    from laydown.services.shelves import open_shop, read_order

    shelves = open_shop(shop)
    with _told_in(order):
        made = plan_order(shelves, read_order(order, shelves), progress=tell, **_named_model(laydown))
    _show_explanation(explain_number(shelves, made, number))
    return DONE


@contextmanager
def _told_in(order: Path) -> Iterator[None]:
    """Name the order's file where planning finds a print that cannot be planned; it knows the print's place only."""
    try:
        yield
    except InvalidInput as error:
        if not error.where.startswith("print "):
            raise
        raise InvalidInput(error.what, where=f"{order}, {error.where}") from None


def _named_model(laydown: str | None) -> dict[str, Any]:
    return {} if laydown is None else {"laydown_model": laydown}


def _show_explanation(found: Explanation) -> None:
    from rich.padding import Padding
    from rich.text import Text

    from laydown.cli.output import show

    for number in found.numbers:
        line = Text(f"{number.path} = {number.value:g}", style="bold")
        line.append(f"\n  {number.meaning}", style="not bold")
        show(line)
    show(Text(f"\nfrom   {found.model}\npage   {found.page}\nnote   {found.range_note}\n"))
    for one in found.inputs:
        told = Text(f"{one.input.name}: {one.input.shown}", style="bold")
        told.append(f"  {one.input.quantity.grade}", style="not bold")
        show(told)
        origin = f"{one.input.quantity.source}" + (f"\n{one.citation}" if one.citation else "")
        show(Padding(Text(origin, style="dim"), (0, 0, 0, 4)))
