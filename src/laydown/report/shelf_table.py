"""Which inks to own, to read on a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from laydown.domain.shop import Preferences
from laydown.planning.ownership_records import InkVerdict, Ownership, UniversalWhite
from laydown.report import display_units as show
from laydown.report.plain_text import printable
from laydown.report.shop_words import shop_words

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType
    from rich.table import Table

MOST_NAMED = 4
"""So many orders are named in a cell; the rest are counted."""


class ShelfTable:
    """The shelf to own, what each ink is worth, and what one white for everything would mean.

    Parameters
    ----------
    answer : Ownership
    currency : str
        The shop's currency.
    prefs : Preferences
        How the shop likes to read numbers.
    """

    def __init__(self, answer: Ownership, currency: str, prefs: Preferences) -> None:
        self._answer, self._currency, self._prefs = answer, currency, prefs

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield the answer, then a table each for inks, orders and universal whites."""
        from rich.text import Text

        answer = self._answer
        yield Text(f"Own: {', '.join(map(printable, answer.inks)) or 'nothing'}", style="bold")
        terms = " · ".join(f"{name} {self._money(amount)}" for name, amount in answer.terms)
        yield Text(f"{self._money(answer.yearly_cost)} a year: {terms}")
        if round(answer.wishes):
            side = "for" if answer.wishes < 0 else "against"
            yield Text(
                "Stacks are weighed as plans weigh them: preferences and the weight of the prints count as "
                f"{self._money(abs(answer.wishes))} a year {side} this shelf, which nobody pays."
            )
        if answer.main_white:
            yield Text(
                f"{printable(answer.main_white)} stays in the press; each order with another white pays a wash-up."
            )
        yield Text(f"Expected reprints: {show.number(answer.reprints, 1)} orders a year.")
        yield ""
        yield self._inks()
        yield ""
        yield self._orders()
        if self._ghosting():
            yield Text(f"Ghosting is to be watched for on {_named(self._ghosting())}: stack cool and dry, and test.")
        yield ""
        yield self._universals()
        for order, why in answer.left_out:
            yield Text(f"Left out: {printable(order)}, because {why}.")

    def _inks(self) -> Table:
        table = _table(("Ink", 3), ("", 1), ("A year", 2), ("What the opposite would do", 6))
        for one in self._answer.verdicts:
            table.add_row(printable(one.ink), "own" if one.kept else "do without", self._change(one), _consequence(one))
        return table

    def _change(self, one: InkVerdict) -> str:
        return "cannot" if one.change is None else f"+{self._money(one.change)}"

    def _orders(self) -> Table:
        table = _table(("Order", 3), ("Times", 1), ("Printed with", 6), ("Each", 2), ("Risk", 1))
        for one in self._answer.orders:
            table.add_row(
                printable(one.order),
                f"{one.times_a_year:g}",
                shop_words(one.stack, self._prefs),
                self._money(one.cost),
                show.chance(one.fail_risk),
            )
        return table

    def _ghosting(self) -> tuple[str, ...]:
        return tuple(one.order for one in self._answer.orders if one.ghosting)

    def _universals(self) -> Table:
        table = _table(
            ("One white for everything", 3), ("A year", 2), ("Against the best", 2), ("What it would mean", 6)
        )
        for one in self._answer.universals:
            table.add_row(printable(one.white), self._money(one.yearly_cost), self._difference(one), _meaning(one))
        return table

    def _difference(self, one: UniversalWhite) -> str:
        sign = "+" if one.difference >= 0 else ""
        return f"{sign}{self._money(one.difference)}"

    def _money(self, amount: float) -> str:
        return show.money(amount, self._currency)


def _table(*columns: tuple[str, int]) -> Table:
    from rich.table import Table

    table = Table(box=None, expand=True, header_style="dim", pad_edge=False, padding=(0, 2, 0, 0))
    for name, ratio in columns:
        table.add_column(name, ratio=ratio, overflow="fold")
    return table


def _named(orders: tuple[str, ...]) -> str:
    shown = ", ".join(printable(order) for order in orders[:MOST_NAMED])
    more = len(orders) - MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown


def _consequence(one: InkVerdict) -> str:
    if one.unserved:
        return f"forced by {_named(one.unserved)}: without it no stack passes"
    if one.moved:
        return f"{'without' if one.kept else 'with'} it another stack for {_named(one.moved)}"
    return "no order would be printed differently"


def _meaning(one: UniversalWhite) -> str:
    said = []
    if one.unprintable:
        said.append(f"cannot print {_named(one.unprintable)} (not in the cost)")
    if one.missed:
        risks = (f"{printable(o.order)} (fails {show.chance(o.fail_risk)})" for o in one.missed[:MOST_NAMED])
        more = len(one.missed) - MOST_NAMED
        said.append("misses its requirements: " + ", ".join(risks) + (f" and {more} more" if more > 0 else ""))
    beside = tuple(ink for ink in one.inks if ink != one.white)
    if beside:
        said.append(f"beside it {_named(beside)}")
    said.append(
        f"{show.number(one.reprints, 1)} reprinted orders a year instead of {show.number(one.reprints_best, 1)}"
    )
    return "; ".join(said)
