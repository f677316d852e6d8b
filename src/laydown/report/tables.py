"""Plans to read on a terminal: one plan at length, many in a list."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from laydown.domain.plan import Plan, PrintPlan
from laydown.domain.shop import Preferences
from laydown.report import display_units as show
from laydown.report import plan_sections as sections
from laydown.report.plain_text import printable
from laydown.report.shop_words import shop_words
from laydown.report.stack_words import stack_in_short

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType
    from rich.table import Table
    from rich.text import Text

NARROW = 96
"""Below this many columns tables fold their lesser columns into the cell before."""


def plan_table(plan: Plan, prefs: Preferences, *, every_rejection: bool = False) -> PlanTable:
    """Make a plan readable: what was chosen and why, how sure, settings, forecast, cost, tests, and why not others.

    Parameters
    ----------
    plan : Plan
    prefs : Preferences
        How the shop likes to read numbers.
    every_rejection : bool
        List each stack that lost with its own reason, instead of groups with counts.

    Returns
    -------
    PlanTable
        A rich renderable; it fits the width it is given, from 80 columns up.
    """
    return PlanTable(plan, prefs, every_rejection=every_rejection)


def overview_table(plans: Sequence[Plan], prefs: Preferences) -> OverviewTable:
    """Make a list of plans readable: a row a print with the stack, why, how sure, cost, pace and what to test.

    Parameters
    ----------
    plans : sequence of Plan
    prefs : Preferences

    Returns
    -------
    OverviewTable
        A rich renderable; it fits the width it is given, from 80 columns up.
    """
    return OverviewTable(plans, prefs)


class PlanTable:
    """One plan on a terminal; see `plan_table`."""

    def __init__(self, plan: Plan, prefs: Preferences, *, every_rejection: bool) -> None:
        self._plan, self._prefs, self._every = plan, prefs, every_rejection

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield the parts from top to bottom."""
        plan, prefs = self._plan, self._prefs
        narrow = options.max_width < NARROW
        yield from sections.heading(plan, prefs)
        for chosen in plan.prints:
            yield ""
            yield sections.print_rule(plan, chosen, prefs)
            if chosen.stack is None:
                yield from sections.stop(chosen, prefs)
            else:
                yield sections.choice(plan, chosen, prefs)
                yield from sections.job(chosen, prefs, narrow=narrow, every=self._every)
            yield from sections.rejections(chosen, prefs, every=self._every)
        yield from sections.closing(plan, prefs)


class OverviewTable:
    """Many plans on a terminal; see `overview_table`."""

    def __init__(self, plans: Sequence[Plan], prefs: Preferences) -> None:
        self._plans, self._prefs = plans, prefs

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield the table and a line that says what its figures mean."""
        from rich.text import Text

        narrow = options.max_width < NARROW
        table = _overview_columns(narrow=narrow)
        for plan in self._plans:
            for n, chosen in enumerate(plan.prints):
                cells = _overview_row(plan, chosen, self._prefs, first=n == 0, narrow=narrow)
                table.add_row(*cells, end_section=n + 1 == len(plan.prints))
        yield table
        yield Text("Sure: share of simulated prints that meet every requirement of the order.", style="dim")


def _overview_columns(*, narrow: bool) -> Table:
    from rich import box
    from rich.table import Table

    table = Table(
        box=box.SIMPLE_HEAD, expand=True, padding=(0, 1), header_style="dim", show_lines=False, pad_edge=False
    )
    table.add_column("Order", ratio=3, min_width=16, overflow="fold")
    table.add_column("Stack, and why", ratio=7, min_width=26, overflow="fold")
    table.add_column("Sure", justify="right", no_wrap=True, min_width=6)
    table.add_column("Cost", justify="right", no_wrap=True)
    table.add_column("An hour", justify="right", no_wrap=True)
    if not narrow:
        table.add_column("Test first", ratio=3, min_width=14, overflow="fold")
    return table


def _overview_row(plan: Plan, chosen: PrintPlan, prefs: Preferences, *, first: bool, narrow: bool) -> list[Text]:
    from rich.text import Text

    order = plan.order
    name = Text(printable(order.name) if first else "", style="bold")
    if first:
        name.append(f"\n{show.number(order.quantity)} pieces\ndue {show.short_date(order.due)}", style="not bold dim")
    if len(plan.prints) > 1:
        name.append(f"{chr(10) if first else ''}{printable(chosen.place)}", style="not bold")
    if chosen.stack is None:
        what = Text("do not print", style="bold")
        what.append(
            "".join(f"\n{printable(s.requirement)}: {shop_words(s.by, prefs)}" for s in chosen.shortfalls),
            style="not bold",
        )
    else:
        what = Text(stack_in_short(chosen.stack, prefs))
        if chosen.why:
            what.append(f"\n{shop_words(chosen.why[0], prefs)}", style="dim")
    test = _first_test(plan) if first else ""
    if narrow and test:
        what.append(f"\ntest first: {test}")
    cost = chosen.cost
    cells = [
        name,
        what,
        Text(show.NOTHING if chosen.stack is None else show.chance(chosen.confidence)),
        Text(f"{show.money(cost.order, cost.currency)}\n{show.number(cost.piece, 2)} each" if cost else show.NOTHING),
        Text(show.pieces_per_hour(chosen.production.rate) if chosen.production else show.NOTHING),
    ]
    return cells if narrow else [*cells, Text(test)]


def _first_test(plan: Plan) -> str:
    """Name the test to begin with, and how many more there are."""
    if not plan.tests:
        return show.NOTHING
    test = plan.tests[0]
    due = f", read {show.short_date(test.read_on)}" if test.read_on else ""
    more = f"; {len(plan.tests) - 1} more" if len(plan.tests) > 1 else ""
    return f"{printable(test.name)}{due}{more}"
