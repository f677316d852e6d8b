"""The page that the study prints: what was done, what came out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from tools.lab.virtual_cloths import bench
from tools.lab.virtual_cloths.figure import calibration_figure
from tools.lab.virtual_cloths.one_cloth import DAYS, LIMIT, LIMIT_DAY, Outcome
from tools.lab.virtual_cloths.scores import accuracy, decisions

from laydown.domain.stack import Role
from laydown.lab.proportion import exact_interval

PAGE, FIGURE = "virtual_cloths.md", "virtual_cloths.svg"
MOST_ERROR, FEWEST_INSIDE, MOST_INSIDE = 1.0, 0.85, 0.95

NAMES = {
    "swatch": "the swatch itself, after the test",
    "order": "an order, after the test",
    "prior": "the same order, before it",
}


def write_page(outcomes: Sequence[Outcome], within: Sequence[Outcome], *, seed: int, folder: Path) -> tuple[Path, ...]:
    """Write page and figure into a folder: of truths as the intervals say, and of those within; returns the files."""
    figure, page = folder / FIGURE, folder / PAGE
    figure.write_text(calibration_figure(outcomes), encoding="utf-8")
    page.write_text(page_text(outcomes, within, seed=seed), encoding="utf-8")
    return page, figure


def page_text(outcomes: Sequence[Outcome], within: Sequence[Outcome], *, seed: int) -> str:
    """The page as MyST markdown."""
    template = (Path(__file__).parent / "page.md").read_text(encoding="utf-8")
    words = {
        "cloths": str(len(outcomes)),
        "seed": str(seed),
        "accuracy": _accuracy_table(outcomes),
        "accuracy_bleeding": _accuracy_table(_without_barrier(outcomes)),
        "bleeding": str(len(_without_barrier(outcomes))),
        "within": _accuracy_table(within),
        "within_bleeding": _accuracy_table(_without_barrier(within)),
        "by_white": _by_white(outcomes),
        "by_cloth": _by_cloth(outcomes),
        "decisions": _decision_table(outcomes),
        "goals": _goals(outcomes),
        "test_cost": f"{bench.test_cost():.0f} {bench.shop().costs.currency}",
        "quantity": str(bench.QUANTITY),
        "limit": f"{LIMIT:g}",
        "limit_day": f"{DAYS[LIMIT_DAY]:g}",
        "factor": f"{bench.shop().costs.reprint_factor:g}",
        "seconds": f"{np.median([one.seconds for one in outcomes]):.1f}",
        "effective": f"{np.median([one.effective for one in outcomes]):.0f}",
        "unsure": str(sum(one.effective < 50 for one in outcomes)),
    }
    for name, value in words.items():
        template = template.replace("{{" + name + "}}", value)
    return template


def _accuracy_table(outcomes: Sequence[Outcome]) -> str:
    lines = [
        "| forecast of | median error, day 30 | day 60 | in the 90 % band, day 30 | day 60 | median width |",
        "|---|---|---|---|---|---|",
    ]
    for which, name in NAMES.items():
        a = accuracy(outcomes, which)
        lines.append(
            f"| {name} | {a.error[0]:.2f} | {a.error[1]:.2f} | {_held(a.inside[0], a.cloths)} | "
            f"{_held(a.inside[1], a.cloths)} | {a.width[0]:.1f} |"
        )
    return "\n".join(lines)


def _without_barrier(outcomes: Sequence[Outcome]) -> list[Outcome]:
    """Cloths whose tested stack has no barrier: dye comes through, so that a band can miss it."""
    roles = [{one.role for one in white.stack.passes} for white in bench.whites()]
    return [one for one in outcomes if Role.BARRIER not in roles[one.white]]


def _held(inside: int, of: int) -> str:
    low, high = exact_interval(inside, of)
    return f"{inside / of:.1%} ({low:.0%} to {high:.0%})"


def _by_white(outcomes: Sequence[Outcome]) -> str:
    names = [one.name for one in bench.whites()]
    return _groups([(name, [o for o in outcomes if o.white == i]) for i, name in enumerate(names)], "tested stack")


def _by_cloth(outcomes: Sequence[Outcome]) -> str:
    return _groups([(name, [o for o in outcomes if o.cloth == name]) for name in bench.CLOTHS], "cloth")


def _groups(groups: list[tuple[str, list[Outcome]]], title: str) -> str:
    rest = "error, order | in band | error before the test"
    lines = [
        f"| {title} | cloths | true difference on day 30 (5 to 95 %) | error, swatch | in band | {rest} |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for name, group in groups:
        if not group:
            continue
        own, order, prior = (accuracy(group, which) for which in ("swatch", "order", "prior"))
        truth = np.percentile([one.true_order[0] for one in group], (5, 50, 95))
        lines.append(
            f"| {name} | {own.cloths} | {truth[1]:.1f} ({truth[0]:.1f} to {truth[2]:.1f}) | {own.error[0]:.2f} | "
            f"{own.inside[0] / own.cloths:.0%} | {order.error[0]:.2f} | {order.inside[0] / order.cloths:.0%} | "
            f"{prior.error[0]:.2f} |"
        )
    return "\n".join(lines)


def _decision_table(outcomes: Sequence[Outcome]) -> str:
    found, money = decisions(outcomes), bench.shop().costs.currency
    rows = (
        ("before the test", found.before, found.reprints_before),
        ("after the test", found.after, found.reprints_after),
        ("knowing the truth", found.perfect, found.reprints_perfect),
    )
    lines = [
        f"| white chosen | mean cost of an order [{money}] | above the least | printed again |",
        "|---|---|---|---|",
    ]
    for name, cost, again in rows:
        lines.append(f"| {name} | {cost:.0f} | {cost - found.perfect:.0f} | {again} of {found.orders} |")
    return "\n".join(lines) + (
        f"\n\nThe test changed the white of {found.changed} of {found.orders} orders. It saves {found.worth:.0f} "
        f"{money} an order before its own cost of {found.test:.0f} {money}, so {found.worth - found.test:.0f} in all."
    )


def _goals(outcomes: Sequence[Outcome]) -> str:
    lines = ["| goal | measured | met |", "|---|---|---|"]
    for which in ("swatch", "order"):
        a = accuracy(outcomes, which)
        for day in range(len(DAYS)):
            held = a.inside[day] / a.cloths
            lines.append(
                f"| {NAMES[which]}, day {DAYS[day]:g}: median error at most {MOST_ERROR:g} | {a.error[day]:.2f} | "
                f"{_yes(a.error[day] <= MOST_ERROR)} |"
            )
            lines.append(
                f"| {NAMES[which]}, day {DAYS[day]:g}: 90 % bands hold {FEWEST_INSIDE:.0%} to {MOST_INSIDE:.0%}"
                f" | {held:.1%} | {_yes(FEWEST_INSIDE <= held <= MOST_INSIDE)} |"
            )
    found = decisions(outcomes)
    lines.append(
        f"| decisions after the test lose less than before it | {found.after - found.perfect:.0f} against "
        f"{found.before - found.perfect:.0f} | {_yes(found.after < found.before)} |"
    )
    return "\n".join(lines)


def _yes(met: bool) -> str:
    return "yes" if met else "**no**"
