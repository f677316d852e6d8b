"""Which whites, bases and additives the shop should own, given a season of orders."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from pathlib import Path

from laydown.domain.order import Order
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.planning.assess import assess
from laydown.planning.choice import Choice
from laydown.planning.job import Assessment
from laydown.planning.ownership import DECIDED, Ownership, SeasonOrder, StackOption, best_shelf
from laydown.production.cost import whole_order
from laydown.services.planning import SAMPLES, SEED, choices_for
from laydown.services.shelves import read_order

MOST_OPTIONS = 40
"""So many sets of inks are weighed for an order, best first."""


FINAL = frozenset({"rule", "press", "flash"})
"""Stages at which a stack cannot be printed, whatever risk a shop is ready to carry."""


def read_season(folder: Path | str, shop: Shop) -> tuple[Order, ...]:
    """Read every order file of a folder, in the order of their names.

    Raises
    ------
    InvalidInput
        When the folder is missing or holds no order file.
    """
    path = Path(folder)
    if not path.is_dir():
        raise InvalidInput("there is no such folder; name a folder with order files (*.toml)", where=str(path))
    files = sorted(path.glob("*.toml"))
    if not files:
        raise InvalidInput("the folder holds no order file (*.toml)", where=str(path))
    return tuple(read_order(file, shop) for file in files)


def own_inks(
    shop: Shop,
    orders: Iterable[Order],
    *,
    samples: int = SAMPLES,
    seed: int = SEED,
    progress: Callable[[str], None] | None = None,
) -> Ownership:
    """Find the inks that serve a season of orders at the lowest yearly cost.

    Parameters
    ----------
    shop : Shop
        Its ink shelf is what may be owned.
    orders : iterable of Order
        Each with how often it comes in a year (``times_a_year``).
    progress : callable, optional
        Told which order is being planned.

    Returns
    -------
    Ownership
    """
    season: list[SeasonOrder] = []
    for order in orders:
        if progress is not None:
            progress(f"planning {order.name}")
        choices, _ = choices_for(shop, order, samples=samples, seed=seed)
        season.append(
            SeasonOrder(name=order.name, times_a_year=order.times_a_year, options=_options(shop, order, choices))
        )
    return best_shelf(tuple(season), shop.inks, shop.costs)


def _options(shop: Shop, order: Order, choices: tuple[Choice, ...]) -> tuple[StackOption, ...]:
    """Ways to print an order: for every set of inks the best stack, for several prints one stack each."""
    if len(choices) == 1:
        return tuple(_option(shop, order, (a,)) for a in _best_by_inks(choices[0]))
    by_inks = [{_inks(a): a for a in _best_by_inks(choice)} for choice in choices]
    found: list[StackOption] = []
    for key, first in by_inks[0].items():
        # Prints of one garment go through the same whites where they can: a shop opens one pail for a job.
        rest = [shelf.get(key) or _best(shelf.values()) for shelf in by_inks[1:]]
        if all(a is not None for a in rest):
            found.append(_option(shop, order, (first, *(a for a in rest if a is not None))))
    return tuple(found)


def _best_by_inks(choice: Choice) -> list[Assessment]:
    """For every set of inks that can be printed at all, the stack a plan would rank first, else the closest to it.

    A stack that misses a requirement early on has no cost yet; it is computed to the end here, because a shop that
    owns nothing better would print it and carry the risk.
    """
    best: dict[frozenset[str], Assessment] = {}
    for a in sorted(choice.computed, key=lambda a: (not a.passes, a.rank_cost)):
        best.setdefault(_inks(a), a)
    for a in choice.failing:
        if _inks(a) not in best and a.stage not in FINAL:
            whole = assess(choice.job, a.stack, whole=True)
            if whole.cost is not None:
                best[_inks(a)] = whole
    return list(best.values())[:MOST_OPTIONS]


def _best(options: Iterable[Assessment]) -> Assessment | None:
    return min(options, key=lambda a: (not a.passes, a.rank_cost), default=None)


def _inks(a: Assessment) -> frozenset[str]:
    """Inks of a stack that are a question of ownership; colours are owned anyway."""
    return frozenset(ink.name for ink in a.stack.inks if ink.kind in DECIDED)


def _option(shop: Shop, order: Order, parts: tuple[Assessment, ...]) -> StackOption:
    uses: dict[str, float] = {}
    costs, risks, wishes = [], [], []
    for a in parts:
        if a.cost is None or a.forecast is None or a.setup is None:
            continue
        costs.append(a.cost)
        risks.append(a.forecast.fail_risk)
        wishes.append(a.rank_cost - a.expected_cost)
        for amount in a.setup.production.inks:
            uses[amount.ink] = uses.get(amount.ink, 0.0) + amount.total
    total = whole_order(tuple(costs), tuple(risks), order.quantity, shop.costs)
    return StackOption(
        stack="; ".join(a.stack.label for a in parts),
        cost=total.order,
        fail_risk=1 - math.prod(1 - r for r in risks),
        meets=all(a.passes for a in parts),
        uses=tuple(uses.items()),
        wishes=math.fsum(wishes),
        ghosting=any(a.forecast is not None and a.forecast.ghosting.warned for a in parts),
    )
