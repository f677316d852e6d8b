"""Which test to run next: by what its result is expected to change in the orders that wait."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import Any, NamedTuple

from laydown import units
from laydown.domain.protocol import Protocol, Subject
from laydown.planning.tests_to_run import PROTOCOLS, told_after
from laydown.services.swatch_book import OPEN
from laydown.store import orders, plans, swatches
from laydown.store.database import Store
from laydown.store.orders import StoredOrder
from laydown.store.shop_exchange import load_shop

PENDING = ("new", "planned", "approved")
"""States of orders whose plan a result may still change; what is on the press is printed as it is."""

OF_SHOP = frozenset({Subject.LAYDOWN, Subject.TONE, Subject.DRYER, Subject.FLASH})
"""Subjects of tests that tell of the shop rather than of a cloth: every order shares them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """What one order adds to a proposal.

    Attributes
    ----------
    worth : float
        Expected saving from knowing the test's inputs before this order is chosen for, in the shop's currency.
    place, stack : str
        Print of the order that the swatch would be, and its stack in words; empty where the plan has none.
    dryer : str
        Dryer of the plan, set to ``panel`` [K] and ``belt`` [m/s]; empty where the plan has none.
    why : str
        Why the plan asks for the test.
    """

    order: int
    plan: int
    name: str
    due: dt.date
    worth: float
    place: str
    stack: str
    dryer: str
    panel: float
    belt: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A test that is proposed.

    Attributes
    ----------
    garment, lot : str
        Cloth that it would be run on; empty for a test that tells of the shop.
    terms : tuple of Term
        One for each order that it would tell something for, the largest first.
    worth : float
        Sum of the terms; it is an upper bound, as a real reading tells less than everything.
    cost : float
        Of one swatch.
    currency : str
    running : tuple of int
        Swatches of this test and cloth that are under way; of any lot where the order names none.
    in_time : bool
        Whether its result is there before the first of its orders is due.
    """

    protocol: Protocol
    garment: str
    lot: str
    terms: tuple[Term, ...]
    worth: float
    cost: float
    currency: str
    running: tuple[int, ...]
    in_time: bool

    @property
    def net(self) -> float:
        """Worth less cost."""
        return self.worth - self.cost


class _Asked(NamedTuple):
    """A test that a plan asks for, and the print it would be run with."""

    name: str
    worth: float
    why: str
    cost: float


class _Plan(NamedTuple):
    """What a proposal needs of a plan's JSON."""

    garment: str
    lot: str
    tests: tuple[_Asked, ...]
    place: str
    stack: str
    dryer: str
    panel: float
    belt: float


def proposals(store: Store, day: dt.date, *, most: int = 50) -> tuple[Proposal, ...]:
    """Tests that pending orders ask for, the one that is expected to save most first.

    Notes
    -----
    For each order the plan holds the expected value of each test (expected value of partial perfect information,
    `laydown.planning.information.value_of_test`). Orders on one cloth and lot share a bleed, wash, stretch or adhesion
    test; all orders share what tells of screens, dryer and flash. A proposal's worth is the sum over the orders that
    share it, each order once: choices for different orders are made one by one, so what they save adds up.
    """
    found: dict[tuple[str, str, str], list[tuple[_Asked, Term]]] = {}
    with store.read() as tx:
        shop = load_shop(tx)
        waiting, _ = orders.find(tx, states=PENDING, limit=500)
        running = swatches.find(tx, states=OPEN)
        newest = plans.newest_of(tx, [one.id for one in waiting])
        for order in waiting:
            if order.id not in newest:
                continue
            stored = newest[order.id][1]
            read = _read(stored.plan_sha256, _Text(partial(plans.text, tx, stored)))
            for key, asked, term in _asked(order, stored.number, read):
                found.setdefault(key, []).append((asked, term))
    known = {one.name: one.described(shop.protocols) for one in PROTOCOLS}
    made = [
        _proposal(known[name], garment, lot, rows, shop.costs.currency, running, day)
        for (name, garment, lot), rows in found.items()
        if name in known
    ]
    made.sort(key=lambda one: (bool(one.running), -one.net))
    return tuple(made[:most])


def _asked(order: StoredOrder, plan: int, read: _Plan) -> Iterable[tuple[tuple[str, str, str], _Asked, Term]]:
    subjects = {one.name: one.described().subject for one in PROTOCOLS}
    for asked in read.tests:
        of_shop = subjects.get(asked.name) in OF_SHOP
        key = (asked.name, "", "") if of_shop else (asked.name, read.garment, read.lot)
        term = Term(
            order=order.id,
            plan=plan,
            name=order.name,
            due=order.due,
            worth=asked.worth,
            place=read.place,
            stack=read.stack,
            dryer=read.dryer,
            panel=read.panel,
            belt=read.belt,
            why=asked.why,
        )
        yield key, asked, term


def _proposal(
    protocol: Protocol,
    garment: str,
    lot: str,
    rows: Sequence[tuple[_Asked, Term]],
    currency: str,
    running: Sequence[swatches.StoredSwatch],
    day: dt.date,
) -> Proposal:
    terms = sorted((term for _, term in rows), key=lambda one: (-one.worth, one.due, one.order))
    ready = day + dt.timedelta(seconds=told_after(protocol))
    return Proposal(
        protocol=protocol,
        garment=garment,
        lot=lot,
        terms=tuple(terms),
        worth=sum(term.worth for term in terms),
        cost=max(asked.cost for asked, _ in rows),
        currency=currency,
        running=tuple(
            one.number
            for one in running
            if one.swatch.protocol == protocol.name
            and (not garment or (one.swatch.garment == garment and lot in {"", one.swatch.lot}))
        ),
        in_time=ready <= min(term.due for term in terms),
    )


class _Text:
    """A text that is fetched when it is needed, and is no part of what is remembered by its hash."""

    __slots__ = ("fetch",)

    def __init__(self, fetch: Callable[[], str]) -> None:
        self.fetch = fetch

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Text)

    def __hash__(self) -> int:
        return 0


@lru_cache(maxsize=1000)
def _read(sha256: str, text: _Text) -> _Plan:  # noqa: ARG001 - plans never change, so their hash says them
    document: dict[str, Any] = json.loads(text.fetch())
    garment = document["order"]["garment"]
    printed = next((one for one in document["prints"] if one.get("choice") and one.get("settings")), None)
    dryer = printed["settings"]["dryer"] if printed is not None else {}
    return _Plan(
        garment=garment["name"],
        lot=garment.get("lot") or "",
        tests=tuple(
            _Asked(name=one["name"], worth=float(one["worth"]), why=one["why"], cost=float(one["cost"]))
            for one in document["tests"]
        ),
        place=printed["place"] if printed else "",
        stack=printed["choice"]["label"] if printed else "",
        dryer=dryer.get("dryer", ""),
        panel=units.from_celsius(dryer["panel_temperature_c"]) if dryer else 0.0,
        belt=units.from_metre_per_minute(dryer["belt_m_per_min"]) if dryer else 0.0,
    )
