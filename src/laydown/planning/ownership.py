"""Which whites, bases and additives a shop should own, given a season of orders.

Colours and clears are taken as owned. See ``docs/ownership.md`` for the programme and what it leaves out.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from laydown.domain.costs import Costs
from laydown.domain.ink import Ink, InkKind
from laydown.errors import InvalidInput
from laydown.planning.ownership_programme import Demand, Option, Programme, Shelf
from laydown.planning.ownership_records import (
    InkVerdict,
    Ownership,
    SeasonOrder,
    Served,
    StackOption,
    UniversalWhite,
)

__all__ = ["DECIDED", "InkVerdict", "Ownership", "SeasonOrder", "Served", "StackOption", "UniversalWhite", "best_shelf"]

DECIDED = frozenset({InkKind.WHITE, InkKind.BARRIER, InkKind.STRETCH_ADDITIVE, InkKind.REDUCER})
"""Kinds of ink whose keeping is decided."""


def best_shelf(orders: tuple[SeasonOrder, ...], inks: tuple[Ink, ...], costs: Costs) -> Ownership:
    """Find the inks that serve a season of orders at the lowest yearly cost, wishes weighed as plans weigh them.

    Parameters
    ----------
    orders : tuple of SeasonOrder
        Names differ. An order without a passing stack, or that never comes, is reported and left out.
    inks : tuple of Ink
        Every ink that a stack uses; whites, barriers, additives and reducers among them are decided on.
    costs : Costs
        Its ``ink_keeping`` and ``wash_up_cost`` are used.

    Returns
    -------
    Ownership

    Raises
    ------
    InvalidInput
        When two orders share a name or a stack uses an ink that is not among ``inks``.
    ConvergenceError
        When the solver finds no proven optimum.
    """
    _check(orders, inks)
    left_out = tuple((order.name, reason) for order in orders if (reason := _no_use(order)))
    season = _Season(
        orders=tuple(
            replace(order, options=tuple(option for option in order.options if option.meets))
            for order in orders
            if not _no_use(order)
        ),
        inks=tuple(ink for ink in inks if ink.kind in DECIDED),
        costs=costs,
    )
    programme = season.programme()
    best = _must(programme.least())
    served = season.served(best)
    in_question = tuple(order for order in orders if not _no_use(order))
    whites = [_universal(ink.name, in_question, season) for ink in season.inks if ink.kind is InkKind.WHITE]
    frequency = {order.name: order.times_a_year for order in orders}
    return Ownership(
        inks=season.shelf_order(best.inks),
        yearly_cost=best.cost,
        terms=best.terms,
        wishes=best.wishes,
        main_white=best.main_white,
        orders=served,
        reprints=_reprints(served),
        verdicts=tuple(_verdict(ink, season, programme, best) for ink in season.inks),
        universals=tuple(
            sorted(whites, key=lambda u: (math.fsum(frequency[name] for name in u.unprintable), u.yearly_cost))
        ),
        left_out=left_out,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Season:
    """Orders with the options that may be chosen, and the inks decided on."""

    orders: tuple[SeasonOrder, ...]
    inks: tuple[Ink, ...]
    costs: Costs

    def programme(self) -> Programme:
        decided = {ink.name for ink in self.inks}
        demands = tuple(
            Demand(
                times=order.times_a_year,
                options=tuple(
                    Option(
                        cost=option.cost,
                        use={name: kg for name, kg in option.uses if name in decided},
                        wishes=option.wishes,
                    )
                    for option in order.options
                ),
            )
            for order in self.orders
        )
        return Programme(
            demands=demands, inks=self.inks, keeping=self.costs.ink_keeping, wash_up=self.costs.wash_up_cost
        )

    def served(self, shelf: Shelf) -> tuple[Served, ...]:
        pairs = [(order, order.options[n]) for order, n in zip(self.orders, shelf.picks, strict=True)]
        return tuple(
            Served(
                order=order.name,
                times_a_year=order.times_a_year,
                stack=option.stack,
                cost=option.cost,
                fail_risk=option.fail_risk,
                meets=option.meets,
                ghosting=option.ghosting,
            )
            for order, option in pairs
        )

    def shelf_order(self, names: frozenset[str]) -> tuple[str, ...]:
        return tuple(ink.name for ink in self.inks if ink.name in names)

    def keeping_only(self, allow: Callable[[StackOption], bool]) -> _Season:
        """Keep the options that ``allow`` passes; orders that are left with none go."""
        narrowed = (
            replace(order, options=tuple(option for option in order.options if allow(option))) for order in self.orders
        )
        return replace(self, orders=tuple(order for order in narrowed if order.options))


def _verdict(ink: Ink, season: _Season, programme: Programme, best: Shelf) -> InkVerdict:
    kept = ink.name in best.inks
    name, nothing = frozenset({ink.name}), frozenset[str]()
    forced = (nothing, name) if kept else (name, nothing)
    other = programme.least(*forced)
    unserved = tuple(o.name for o in season.orders if all(ink.name in dict(option.uses) for option in o.options))
    moved: tuple[str, ...] = ()
    if other is not None:
        moves = zip(season.orders, best.picks, programme.nearest(other, best, *forced), strict=True)
        moved = tuple(order.name for order, before, after in moves if before != after)
    return InkVerdict(
        ink=ink.name,
        kind=ink.kind,
        kept=kept,
        # Both are proven optima; what is left below zero is round-off.
        change=None if other is None else max(0.0, other.weight - best.weight),
        unserved=unserved,
        moved=moved,
    )


def _universal(white: str, orders: tuple[SeasonOrder, ...], passing: _Season) -> UniversalWhite:
    """Print everything with one white: passing stacks where there are any, the others where there is nothing else."""
    others = {ink.name for ink in passing.inks if ink.kind is InkKind.WHITE and ink.name != white}
    allowed = replace(passing, orders=orders).keeping_only(lambda option: not others & dict(option.uses).keys())
    chosen = replace(passing, orders=tuple(_preferred(order) for order in allowed.orders))
    shelf = _must(chosen.programme().least())
    served = chosen.served(shelf)
    printed = {order.name for order in chosen.orders}
    same = replace(passing, orders=tuple(order for order in passing.orders if order.name in printed))
    best = _must(same.programme().least())
    return UniversalWhite(
        white=white,
        inks=chosen.shelf_order(shelf.inks),
        yearly_cost=shelf.cost,
        difference=shelf.cost - best.cost,
        missed=tuple(s for s in served if not s.meets),
        unprintable=tuple(order.name for order in orders if order.name not in printed),
        reprints=_reprints(served),
        reprints_best=_reprints(same.served(best)),
    )


def _preferred(order: SeasonOrder) -> SeasonOrder:
    good = tuple(option for option in order.options if option.meets)
    return replace(order, options=good) if good else order


def _reprints(served: tuple[Served, ...]) -> float:
    return math.fsum(s.times_a_year * s.fail_risk for s in served)


def _no_use(order: SeasonOrder) -> str:
    if order.times_a_year == 0:
        return "it comes 0 times a year"
    if not any(option.meets for option in order.options):
        return "no stack meets its requirements"
    return ""


def _must(shelf: Shelf | None) -> Shelf:
    """Narrow the type where every order is known to have an option."""
    assert shelf is not None
    return shelf


def _check(orders: tuple[SeasonOrder, ...], inks: tuple[Ink, ...]) -> None:
    names = [order.name for order in orders]
    for name in names:
        if names.count(name) > 1:
            raise InvalidInput(f"two orders share the name {name!r}; names must differ")
    known = {ink.name for ink in inks}
    if len(known) < len(inks):
        raise InvalidInput("two inks share a name; names must differ")
    for order in orders:
        for option in order.options:
            for ink, _ in option.uses:
                if ink not in known:
                    raise InvalidInput(f"the stack {option.stack!r} of {order.name!r} uses {ink!r}, which is no ink")
