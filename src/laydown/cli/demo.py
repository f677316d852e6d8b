"""``laydown demo`` and ``laydown warmup``: see it work, and compile ahead."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def demo(
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the tickets and the JSON.")] = Path(
        "laydown-demo"
    ),
) -> None:
    """Plan every order of the invented shop."""
    from laydown.cli.output import rendered, tell
    from laydown.documents.whole_files import write_whole_files
    from laydown.errors import InvalidInput
    from laydown.report.tables import overview_table
    from laydown.services.demo import demo_files, demo_orders, plan_demo
    from laydown.services.shelves import open_shop

    if out.exists() and not out.is_dir():
        raise InvalidInput("this is a file, but a folder is needed", where=str(out))
    shop = open_shop()
    orders = demo_orders(shop)
    plans = {}
    for key, plan in plan_demo(shop, orders):
        plans[key] = plan
        tell(f"{len(plans)} of {len(orders)} planned: {plan.order.name}")
    table = rendered(overview_table(tuple(plans.values()), shop.preferences))
    write_whole_files(out, demo_files(shop, plans))
    typer.echo(table, nl=False)
    typer.echo(f"{len(plans)} tickets (PDF) and plans (JSON) are in {out}")


def warmup() -> None:
    """Compile the kernels ahead of the first plan."""
    from laydown.cli.output import tell
    from laydown.services.warmup import warm_up

    done = warm_up(progress=tell)
    typer.echo(f"ready after {done.seconds:.1f} s; compiled kernels are in {done.folder}")
    if done.removed:
        typer.echo(f"removed what {done.removed} other version{'s' if done.removed > 1 else ''} left behind")
