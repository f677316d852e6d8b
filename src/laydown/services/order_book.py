"""Orders in the store: take them in, find them, look at one, change it, say how far it is."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from laydown.domain.art import ArtRequest
from laydown.domain.garment import Garment
from laydown.domain.order import InkUse, Order, Print
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.services.plan_standing import changes_since
from laydown.store import files, jobs, orders, plans, press_log
from laydown.store.database import Store
from laydown.store.jobs import Job
from laydown.store.orders import OrderVersion, StoredOrder
from laydown.store.plans import StoredPlan
from laydown.store.press_log import PressTotals
from laydown.store.shop_exchange import load_shop
from laydown.store.transaction import Transaction
from laydown.store.words import ORDER_STATES

__all__ = ["ORDER_STATES", "OrderRow", "OrderSheet", "StoredOrder", "find", "sheet", "take_in"]

LARGEST_ART = 200_000_000
"""Bytes of an art file that a page takes."""

WHERE = "the order"


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """An order in a list.

    Attributes
    ----------
    plans : int
        How many it has.
    newest : StoredPlan or None
        Its newest plan.
    out_of_date : bool
        Whether order or shelves are otherwise than that plan was made with.
    """

    order: StoredOrder
    plans: int
    newest: StoredPlan | None
    out_of_date: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSheet:
    """Everything that is known of an order.

    Attributes
    ----------
    version : OrderVersion
        The text that counts.
    jobs : tuple of Job
        Work on it that waits or runs, or failed last.
    changes : tuple of str
        What is otherwise than its newest plan was made with.
    """

    order: StoredOrder
    version: OrderVersion
    versions: tuple[OrderVersion, ...]
    plans: tuple[StoredPlan, ...]
    jobs: tuple[Job, ...]
    totals: PressTotals
    changes: tuple[str, ...]


def find(
    store: Store, *, text: str = "", states: Sequence[str] = (), limit: int = 100, offset: int = 0
) -> tuple[tuple[OrderRow, ...], int]:
    """Orders that fit, the soonest due first, and how many fit in all; see `laydown.store.orders.find`."""
    for state in states:
        if state not in ORDER_STATES:
            raise InvalidInput(
                f"{state!r} is no state of an order; allowed are {', '.join(ORDER_STATES)}", where="state"
            )
    with store.read() as tx:
        found, number = orders.find(tx, text=text, states=states, limit=limit, offset=offset)
        return rows_of(tx, found), number


def rows_of(tx: Transaction, found: Sequence[StoredOrder]) -> tuple[OrderRow, ...]:
    """Orders with the standing of their newest plans."""
    newest = plans.newest_of(tx, [one.id for one in found])
    now = load_shop(tx) if newest else None
    rows: list[OrderRow] = []
    for one in found:
        number, plan = newest.get(one.id, (0, None))
        old = plan is not None and bool(changes_since(tx, one, plan, now))
        rows.append(OrderRow(order=one, plans=number, newest=plan, out_of_date=old))
    return tuple(rows)


def sheet(store: Store, order_id: int) -> OrderSheet:
    """Look at an order.

    Raises
    ------
    NotFound
        When there is none.
    """
    with store.read() as tx:
        order = orders.get(tx, order_id)
        versions = orders.versions(tx, order_id)
        kept = plans.of_order(tx, order_id)
        return OrderSheet(
            order=order,
            version=versions[-1],
            versions=versions,
            plans=kept,
            jobs=jobs_of(tx, order_id),
            totals=press_log.totals(tx, order_id),
            changes=changes_since(tx, order, kept[-1]) if kept else (),
        )


def jobs_of(tx: Transaction, order_id: int) -> tuple[Job, ...]:
    """Work on an order that waits or runs; and the newest piece of each kind when it failed."""
    seen: set[str] = set()
    found: list[Job] = []
    for job in jobs.recent(tx, limit=300):
        if job.request.get("order") != order_id:
            continue
        if job.state not in jobs.FINAL or (job.state == "failed" and job.kind not in seen):
            found.append(job)
        seen.add(job.kind)
    return tuple(found)


def keep_art(store: Store, content: BinaryIO, *, who: str) -> str:
    """Keep an art file and return its SHA-256.

    Raises
    ------
    InvalidInput
        When it is empty or too large.
    """
    size = content.seek(0, 2)
    if not size:
        raise InvalidInput("the file is empty; choose another", where="art")
    if size > LARGEST_ART:
        raise InvalidInput(
            f"the file is larger than {LARGEST_ART // 1_000_000} MB, the most that is taken", where="art"
        )
    with store.write(who=who) as tx:
        return files.put(tx, content).sha256


def content_of(store: Store, sha256: str) -> bytes:
    """Content of a kept file.

    Raises
    ------
    NotFound
        When it is not kept.
    """
    with store.read() as tx:
        return files.content(tx, sha256)


def take_in(store: Store, text: str, *, art: Mapping[str, str] | None = None, who: str) -> StoredOrder:
    """Take an order in.

    Parameters
    ----------
    text : str
        The order file (TOML).
    art : mapping of str to str
        SHA-256 of each file that the text names, from `keep_art`.

    Raises
    ------
    InvalidInput, NotFound
        When the text is no order that this shop could plan: what the art holds is found out by planning.
    """
    check(store, text, art or {})
    with store.write(who=who) as tx:
        return orders.add(tx, text, files=art)


def change(
    store: Store, order_id: int, text: str, *, revision: int, art: Mapping[str, str] | None, reason: str, who: str
) -> StoredOrder:
    """Give an order a new version; the parameters and errors are those of `laydown.store.orders.change`."""
    with store.read() as tx:
        present = orders.get(tx, order_id)
        kept = dict(orders.version(tx, order_id, present.version).files)
    names = kept | dict(art or {})
    check(store, text, names)
    with store.write(who=who) as tx:
        return orders.change(tx, order_id, text, revision=revision, files=names, reason=reason)


def set_state(store: Store, order_id: int, state: str, *, revision: int, who: str) -> StoredOrder:
    """Say how far an order is; errors are those of `laydown.store.orders.set_state`."""
    with store.write(who=who) as tx:
        return orders.set_state(tx, order_id, state, revision=revision)


def approve(store: Store, order_id: int, plan: int | None, *, revision: int, who: str) -> StoredOrder:
    """Say which plan an order is printed by; errors are those of `laydown.store.orders.approve`."""
    with store.write(who=who) as tx:
        return orders.approve(tx, order_id, plan, revision=revision)


def check(store: Store, text: str, art: Mapping[str, str]) -> Order:
    """Read an order's text against the shelves as they are; its art is not read, which would take long.

    Raises
    ------
    InvalidInput, NotFound
        With the key of the text in ``where``.
    """
    from laydown.documents.order_file import order_from_text

    with store.read() as tx:
        shop = load_shop(tx)
    with tempfile.TemporaryDirectory(prefix="laydown-check-") as place:
        folder = Path(place)
        for name in art:
            path = folder / name.replace("\0", "")
            try:
                allowed = "\0" not in name and path.resolve().is_relative_to(folder.resolve())
                if allowed:
                    path.parent.mkdir(parents=True, exist_ok=True)
                    path.touch()
            except (OSError, ValueError):
                allowed = False
            if not allowed:
                raise InvalidInput(f"{name[:80]!r} is not allowed; name a file such as 'art/front.png'", where="files")
        return order_from_text(text, shop, where=WHERE, folder=folder, art=_unread)


def _unread(
    path: Path,  # noqa: ARG001 - the signature is the reader's
    request: ArtRequest,
    *,
    name: str,
    place: str,
    garment: Garment,  # noqa: ARG001
    shop: Shop,  # noqa: ARG001
    where: str,  # noqa: ARG001
) -> Print:
    """Stand in for the print that the art makes."""
    inks = request.inks or ("white",)
    size = request.width or request.height or 0.3
    return Print(
        place=place,
        width=request.width or size,
        height=request.height or size,
        inks=tuple(InkUse(ink=ink, coverage=1.0 / len(inks)) for ink in dict.fromkeys(inks)),
        artwork=name,
    )
