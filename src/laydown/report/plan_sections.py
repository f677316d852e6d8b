"""The parts of one plan on a terminal, each a rich renderable."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from laydown.domain.plan import Cost, Plan, PrintPlan, Settings
from laydown.domain.shop import Preferences
from laydown.report import display_units as show
from laydown.report.confidence import confidence_words, standing_words
from laydown.report.plain_text import capital, printable
from laydown.report.press_table import press_table
from laydown.report.rejections import group_rejections
from laydown.report.shop_words import shop_words
from laydown.report.stack_words import stack_words
from laydown.report.ticket_forecast import expected_cells

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

Row = tuple[str, "str | tuple[str, ...]", str]
"""Label, words (or a list of items) and style of a labelled row."""

_LABEL = 10

NEXT_BEST = 5
"""So many stacks that would also do are told, unless every one is asked for."""


def heading(plan: Plan, prefs: Preferences) -> Iterator[RenderableType]:
    """Order and garment."""
    from rich.table import Table
    from rich.text import Text

    order, garment = plan.order, plan.order.garment
    line = Table.grid(expand=True, padding=(0, 2, 0, 0), pad_edge=False)
    line.add_column(ratio=1, overflow="fold")
    line.add_column(justify="right")
    name = Text(printable(order.name), style="bold")
    if order.identifier:
        name.append(f"  {printable(order.identifier)}", style="not bold dim")
    line.add_row(name, Text(f"{show.number(order.quantity)} pieces, due {show.date(order.due)}"))
    yield line
    cloth = (
        printable(garment.name),
        str(garment.content),
        f"{garment.structure.value}, {show.areal_mass(garment.areal_mass.value, prefs)}",
        garment.dye.value,
        f"{garment.history.value} here",
    )
    yield Text(" · ".join(cloth), style="dim")


def print_rule(plan: Plan, chosen: PrintPlan, prefs: Preferences) -> RenderableType:
    """Line that opens one print."""
    from rich.rule import Rule
    from rich.text import Text

    sizes = {p.place: show.size(p, prefs) for p in plan.order.prints}
    words = Text(printable(chosen.place), style="bold")
    words.append(f", {sizes[chosen.place]}", style="not bold")
    return Rule(words, align="left", style="dim")


def choice(plan: Plan, chosen: PrintPlan, prefs: Preferences) -> RenderableType:
    """Tell what was chosen, why, and how sure it is."""
    assert chosen.stack is not None
    rows: list[Row] = [
        ("Chosen", stack_words(chosen.stack, prefs), "bold"),
        ("Why", tuple(shop_words(w, prefs) for w in chosen.why), ""),
    ]
    sure = confidence_words(chosen, plan)
    if chosen.forecast:
        sure = f"{sure}\n{standing_words(chosen.forecast)}"
    return _labelled([*rows, ("How sure", sure, "")])


def stop(chosen: PrintPlan, prefs: Preferences) -> Iterator[RenderableType]:
    """Tell what fails by how much, and what would help."""
    from rich.text import Text

    yield Text("  Do not print: no stack from these shelves meets every requirement.", style="bold")
    for s in chosen.shortfalls:
        yield ""
        yield _labelled(
            [
                ("Fails", capital(printable(s.requirement)), "bold"),
                ("Misses by", shop_words(s.by, prefs), ""),
                ("Closest", shop_words(s.closest, prefs), ""),
                ("Would help", shop_words(s.remedy, prefs), ""),
            ]
        )


def job(chosen: PrintPlan, prefs: Preferences, *, narrow: bool, every: bool) -> Iterator[RenderableType]:
    """Show settings, pace, forecast, cost and the next best stacks."""
    if chosen.settings and chosen.stack:
        yield ""
        yield press_table(chosen.stack, chosen.settings, prefs, narrow=narrow)
        yield ""
        yield _labelled([("Dryer", _dryer_words(chosen.settings, prefs), ""), *_pace(chosen)])
    if chosen.forecast:
        yield ""
        yield _forecast(chosen, prefs)
    if chosen.cost:
        yield ""
        yield _labelled([("Cost", *_cost_words(chosen.cost))])
    if chosen.alternatives:
        also = tuple(
            f"{stack_words(a.stack, prefs)}: {shop_words(a.reason, prefs)} ({show.chance(a.fail_risk)} risk)"
            for a in chosen.alternatives[: None if every else NEXT_BEST]
        )
        more = len(chosen.alternatives) - len(also)
        if more:
            also += (f"{show.number(more)} more would do; --all lists them",)
        yield _labelled([("Also does", also, "")])


def rejections(chosen: PrintPlan, prefs: Preferences, *, every: bool) -> Iterator[RenderableType]:
    """Why other stacks lost: groups with counts, or each stack with its own reason."""
    from rich.text import Text

    if not chosen.rejected:
        return
    yield ""
    yield Text(
        f"  Not chosen: {show.number(len(chosen.rejected))} of {show.number(chosen.considered)} weighed", style="dim"
    )
    table = _grid((6, "right"), (12, "left"))
    for group in group_rejections(chosen.rejected):
        count, stage = Text(show.number(group.count)), Text(printable(group.stage))
        if not every:
            table.add_row(count, stage, Text(_reason(shop_words(group.reason, prefs), group.others)))
            continue
        for n, one in enumerate(group.stacks):
            words = Text(shop_words(one.stack, prefs), style="dim")
            words.append(f"\n{shop_words(one.reason, prefs)}", style="not dim")
            table.add_row(count if n == 0 else "", stage if n == 0 else "", words)
    yield table


def closing(plan: Plan, prefs: Preferences) -> Iterator[RenderableType]:
    """Show tests, what would tell most, and cautions."""
    yield ""
    rows: list[Row] = []
    if plan.tests:
        rows.append(("Test first", _test_words(plan), ""))
    if plan.rests_on is not None:
        rows.append(("Rests on", capital(printable(plan.rests_on.sentence)) + ".", ""))
    rows.extend(("Measured here", capital(shop_words(one, prefs)) + ".", "") for one in plan.own_tests)
    if plan.decisive:
        rows.append(("Tells most", capital(printable(plan.decisive)) + ".", ""))
    if plan.cautions:
        rows.append(("Take care", tuple(shop_words(c, prefs) for c in plan.cautions), ""))
    if plan.cost and len(plan.prints) > 1:
        rows.append(("All prints", *_cost_words(plan.cost)))
    yield _labelled(rows)


def _grid(*columns: tuple[int, str]) -> Table:
    """Table without lines: narrow columns first, the last takes the rest."""
    from rich.table import Table

    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    for width, justify in columns:
        table.add_column(width=width, justify=justify, style="dim", no_wrap=width < _LABEL)  # type: ignore[arg-type]
    table.add_column(ratio=1, overflow="fold")
    return table


def _labelled(rows: Sequence[Row]) -> RenderableType:
    """Label, words and style of each row; several items become a list with a dash before each."""
    from rich.padding import Padding
    from rich.text import Text

    table = _grid((_LABEL, "left"))
    for label, words, style in rows:
        if isinstance(words, str):
            table.add_row(label, Text(words, style=style))
            continue
        marked = len(words) > 1
        for n, item in enumerate(words):
            told: RenderableType = Text(printable(item), style=style)
            if marked:
                told = _dashed(told)
            table.add_row(label if n == 0 else "", told)
    return Padding(table, (0, 0, 0, 2))


def _dashed(item: RenderableType) -> RenderableType:
    from rich.table import Table

    line = Table.grid(padding=(0, 1, 0, 0))
    line.add_column(width=1)
    line.add_column()
    line.add_row("–", item)
    return line


def _dryer_words(settings: Settings, prefs: Preferences) -> str:
    d = settings.dryer
    return (
        f"{printable(d.dryer)}: panel {show.temperature(d.panel_temperature, prefs)}, belt "
        f"{show.belt_speed(d.belt_speed, prefs)}, {show.duration(d.dwell)} inside; "
        f"a probe should peak at {show.temperature_range(d.probe_low, d.probe_high, prefs)}"
    )


def _pace(chosen: PrintPlan) -> list[tuple[str, str, str]]:
    made = chosen.production
    if made is None:
        return []
    words = (
        f"{show.pieces_per_hour(made.rate)} pieces an hour, the {made.bottleneck} sets it; "
        f"set-up {show.duration(made.set_up_time)}, run {show.duration(made.run_time)}"
    )
    return [("Pace", words, "")]


def _forecast(chosen: PrintPlan, prefs: Preferences) -> RenderableType:
    from rich.padding import Padding
    from rich.text import Text

    assert chosen.forecast is not None
    table = _grid((15, "left"), (13, "left"))
    for cell in expected_cells(chosen.forecast, prefs):
        table.add_row(Text(cell["name"]), Text(cell["value"], style="bold not dim"), Text(cell["more"]))
    return Padding(table, (0, 0, 0, 2))


def _cost_words(cost: Cost) -> tuple[str, str]:
    terms = " · ".join(f"{printable(name)} {show.number(amount, 2)}" for name, amount in cost.terms)
    total = (
        f"{show.money(cost.order, cost.currency)}, {show.number(cost.piece, 2)} a piece; "
        f"price to ask {show.money(cost.price, cost.currency)} for the order"
    )
    return f"{total}\n{terms}", ""


def _reason(reason: str, others: int) -> str:
    return reason + (f"; {show.number(others)} with other figures" if others else "")


def _test_words(plan: Plan) -> tuple[str, ...]:
    currency = next((p.cost.currency for p in plan.prints if p.cost), "")
    words = []
    for test in plan.tests:
        due = f"read on {show.date(test.read_on)}" if test.read_on else f"read after {show.duration(test.read_after)}"
        # Without a stack nothing is at stake yet, so a test cannot be weighed in money.
        worth = f"; worth {show.number(test.worth, 2)}, costs {show.money(test.cost, currency)}" if currency else ""
        words.append(f"{test.name}, {due}{worth}: {test.why}")
    return tuple(words)
