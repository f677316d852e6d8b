"""Spoiled and claimed pieces by cause, cloth, ink, lot and dryer day."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from laydown.domain.outcome import OrderOutcome
from laydown.domain.reliability import SpoiledGroup
from laydown.errors import InvalidInput
from laydown.lab.proportion import wilson_interval

UNKNOWN = "not noted"


def _cloth(one: OrderOutcome) -> tuple[str, ...]:
    return (one.cloth,)


def _ink(one: OrderOutcome) -> tuple[str, ...]:
    return one.inks or (UNKNOWN,)


def _lot(one: OrderOutcome) -> tuple[str, ...]:
    return (f"{one.cloth}, lot {one.lot}" if one.lot else f"{one.cloth}, lot {UNKNOWN}",)


def _dryer_day(one: OrderOutcome) -> tuple[str, ...]:
    return (f"{one.dryer or UNKNOWN}, {one.printed_on.isoformat()}",)


GROUPINGS: tuple[tuple[str, Callable[[OrderOutcome], tuple[str, ...]]], ...] = (
    ("cloth", _cloth),
    ("ink", _ink),
    ("lot", _lot),
    ("dryer day", _dryer_day),
)
"""What orders have in common; an order with several inks counts with each of them."""


def by_cause(outcomes: Sequence[OrderOutcome]) -> tuple[SpoiledGroup, ...]:
    """Spoiled and claimed pieces by cause, the commonest first; rates are of all pieces."""
    pieces = sum(one.handled for one in outcomes)
    spoiled, claimed, orders = dict[str, int](), dict[str, int](), dict[str, set[int]]()
    for one in outcomes:
        for cause, count in one.misprints:
            spoiled[cause] = spoiled.get(cause, 0) + count
            orders.setdefault(cause, set()).add(one.order)
        for claim in one.claims:
            claimed[claim.cause] = claimed.get(claim.cause, 0) + claim.pieces
            orders.setdefault(claim.cause, set()).add(one.order)
    found = []
    for cause, those in orders.items():
        bad = min(spoiled.get(cause, 0) + claimed.get(cause, 0), pieces)
        counts = [
            (one.handled, sum(n for c, n in one.misprints if c == cause) + _claimed(one, cause)) for one in outcomes
        ]
        effect = design_effect(counts)
        found.append(
            SpoiledGroup(
                name=cause,
                orders=len(those),
                pieces=pieces,
                spoiled=spoiled.get(cause, 0),
                claimed=claimed.get(cause, 0),
                interval=wilson_interval(bad / effect, pieces / effect),
                against=float("nan"),
                stands_out=False,
            )
        )
    return tuple(sorted(found, key=lambda g: (-(g.spoiled + g.claimed), g.name)))


def by_group(outcomes: Sequence[OrderOutcome], grouping: str) -> tuple[SpoiledGroup, ...]:
    """Spoiled and claimed pieces by what orders have in common, those that stand out and the worst first.

    Parameters
    ----------
    outcomes : sequence of OrderOutcome
    grouping : str
        One of `GROUPINGS`.

    Raises
    ------
    InvalidInput
        For another grouping.
    """
    names = dict(GROUPINGS)
    if grouping not in names:
        raise InvalidInput(f"orders are not grouped by {grouping!r}; possible are {', '.join(names)}")
    effect = design_effect([_counts(one) for one in outcomes])
    groups: dict[str, list[OrderOutcome]] = {}
    for one in outcomes:
        for name in names[grouping](one):
            groups.setdefault(name, []).append(one)
    found = []
    for name, inside in groups.items():
        ids = {one.order for one in inside}
        found.append(_group(name, inside, [one for one in outcomes if one.order not in ids], effect))
    return tuple(sorted(found, key=lambda g: (not g.stands_out, -g.share, g.name)))


def design_effect(counts: Sequence[tuple[int, int]]) -> float:
    """How many pieces of one order say as much as one that stands alone; at least 1.

    Parameters
    ----------
    counts : sequence of (int, int)
        Pieces and bad pieces of each order.

    Notes
    -----
    Pearson's chi-square of the orders' shares by its degrees of freedom, as for overdispersed counts
    (P. McCullagh and J. A. Nelder, Generalized Linear Models, 2nd ed. 1989, 4.5).
    """
    used = [(n, min(bad, n)) for n, bad in counts if n > 0]
    total, bad = sum(n for n, _ in used), sum(b for _, b in used)
    if len(used) < 2 or bad in {0, total}:
        return 1.0
    p = bad / total
    square = sum((b - n * p) ** 2 / (n * p * (1 - p)) for n, b in used)
    return max(1.0, square / (len(used) - 1))


def _group(name: str, inside: Sequence[OrderOutcome], outside: Sequence[OrderOutcome], effect: float) -> SpoiledGroup:
    pieces, bad = _sums(inside)
    others, bad_others = _sums(outside)
    interval = wilson_interval(bad / effect, pieces / effect)
    against = bad_others / others if others else float("nan")
    beyond = bool(others) and interval[0] > wilson_interval(bad_others / effect, others / effect)[1]
    return SpoiledGroup(
        name=name,
        orders=len(inside),
        pieces=pieces,
        spoiled=sum(count for one in inside for _, count in one.misprints),
        claimed=sum(claim.pieces for one in inside for claim in one.claims),
        interval=interval,
        against=against,
        stands_out=beyond and bad > 1,
    )


def _sums(outcomes: Sequence[OrderOutcome]) -> tuple[int, int]:
    counts = [_counts(one) for one in outcomes]
    return sum(n for n, _ in counts), sum(bad for _, bad in counts)


def _counts(one: OrderOutcome) -> tuple[int, int]:
    """Pieces of an order, and those that were spoiled or claimed; never more than there were."""
    bad = sum(count for _, count in one.misprints) + sum(claim.pieces for claim in one.claims)
    return one.handled, min(bad, one.handled)


def _claimed(one: OrderOutcome, cause: str) -> int:
    return sum(claim.pieces for claim in one.claims if claim.cause == cause)
