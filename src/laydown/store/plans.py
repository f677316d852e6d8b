"""Plans: every version, with all that it rests on, so that an old one can be shown and computed again."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, and_, func, select

from laydown.domain.shop import Shop
from laydown.errors import InvalidInput, NotFound
from laydown.store import files, orders
from laydown.store.orders import OrderVersion
from laydown.store.schema import plans
from laydown.store.shop_exchange import shop_document, shop_from_document
from laydown.store.transaction import Transaction, json_text, storable

_WHOLE = (("seed", 1 << 63), ("samples", 1 << 31))
"""Whole numbers of a plan, and what they have to be below to be kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredPlan:
    """A plan that is kept; its text and its shop are fetched with `text` and `rests_on`.

    Attributes
    ----------
    number : int
        Counts the plans of one order from 1.
    order_version : int
        Version of the order's text it was made for.
    plan_sha256, shop_sha256 : str
        Where the plan's JSON and the shop it rests on are kept.
    seed, samples, laydown_model, program
        What it was computed with; ``program`` is laydown's version.
    complete : bool
        Whether every print has a stack.
    changed_from : int or None
        Number of the plan that this one is a change of.
    change : dict
        What was changed, as the service that made it describes it; empty for a recommendation.
    reason : str
        Why it was made.
    """

    order_id: int
    number: int
    order_version: int
    plan_sha256: str
    shop_sha256: str
    seed: int
    samples: int
    laydown_model: str
    program: str
    complete: bool
    changed_from: int | None
    change: Mapping[str, Any]
    reason: str
    made_at: dt.datetime
    made_by: str


def add(
    tx: Transaction,
    order_id: int,
    plan: str,
    shop: Shop,
    *,
    order_version: int,
    laydown_model: str = "transfer",
    changed_from: int | None = None,
    change: Mapping[str, Any] | None = None,
    reason: str = "",
) -> StoredPlan:
    """Keep a plan; an order that is ``new`` becomes ``planned``.

    Parameters
    ----------
    plan : str
        JSON text by the published schema (`laydown.documents.plan_document.plan_to_json`); kept as it is.
    shop : Shop
        The shop it was made with.
    order_version : int
        Version of the order's text it was made for.
    changed_from : int, optional
        Number of the plan that it is a change of.

    Raises
    ------
    InvalidInput
        When the text is no plan.
    NotFound
        When there is no such order, version or earlier plan.
    """
    meta, complete = _meta(plan)
    order = orders.get(tx, order_id)
    orders.version(tx, order_id, order_version)
    if changed_from is not None:
        get(tx, order_id, changed_from)
    storable("the reason", reason, most=2000)
    number = (tx.run(select(func.max(plans.c.number)).where(plans.c.order_id == order_id)).scalar() or 0) + 1
    kept = files.put(tx, plan.encode(), pack=True)
    snapshot = files.put(tx, shop_document(shop).encode(), pack=True)
    values = {
        "order_version": order_version,
        "plan_sha256": kept.sha256,
        "shop_sha256": snapshot.sha256,
        "changed_from": changed_from,
        "change": json_text(dict(change or {})),
        "reason": reason,
    }
    tx.log("add", "plan", f"{order_id}/{number}", after=values)
    tx.run(
        plans.insert().values(
            order_id=order_id,
            number=number,
            seed=meta["seed"],
            samples=meta["samples"],
            laydown_model=laydown_model,
            program=meta["version"],
            complete=complete,
            made_at=tx.now,
            made_by=tx.who,
            **values,
        )
    )
    if order.state == "new":
        orders.set_state(tx, order_id, "planned", revision=order.revision)
    return get(tx, order_id, number)


def get(tx: Transaction, order_id: int, number: int) -> StoredPlan:
    """Plan of an order by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(plans).where(plans.c.order_id == order_id, plans.c.number == number)).first()
    if row is None:
        known = tx.run(select(plans.c.number).where(plans.c.order_id == order_id).order_by(plans.c.number)).scalars()
        raise NotFound("plan", str(number), map(str, known))
    return _plan(row)


def of_order(tx: Transaction, order_id: int) -> tuple[StoredPlan, ...]:
    """Plans of an order, the first one first."""
    rows = tx.run(select(plans).where(plans.c.order_id == order_id).order_by(plans.c.number))
    return tuple(_plan(row) for row in rows)


def latest(tx: Transaction, order_id: int) -> StoredPlan | None:
    """Newest plan of an order, or None."""
    row = tx.run(select(plans).where(plans.c.order_id == order_id).order_by(plans.c.number.desc()).limit(1)).first()
    return _plan(row) if row is not None else None


def newest_of(tx: Transaction, order_ids: Sequence[int]) -> dict[int, tuple[int, StoredPlan]]:
    """How many plans each of some orders has, and its newest; orders without one are left out."""
    last = (
        select(plans.c.order_id, func.count().label("kept"), func.max(plans.c.number).label("newest"))
        .where(plans.c.order_id.in_(order_ids))
        .group_by(plans.c.order_id)
        .subquery()
    )
    rows = tx.run(
        select(plans, last.c.kept).join(
            last, and_(plans.c.order_id == last.c.order_id, plans.c.number == last.c.newest)
        )
    )
    return {row.order_id: (row.kept, _plan(row)) for row in rows}


def text(tx: Transaction, plan: StoredPlan) -> str:
    """JSON text of a plan, to the last byte as it was kept."""
    return files.content(tx, plan.plan_sha256).decode()


def rests_on(tx: Transaction, plan: StoredPlan) -> tuple[Shop, OrderVersion]:
    """Shop as it was when the plan was made, and the version of the order it was made for."""
    return shop_of(tx, plan), orders.version(tx, plan.order_id, plan.order_version)


def shop_of(tx: Transaction, plan: StoredPlan) -> Shop:
    """Shop as it was when a plan was made; read once, as many plans rest on the same."""
    sha256 = plan.shop_sha256
    return tx.remembered.once(("shop", sha256), lambda: shop_from_document(files.content(tx, sha256).decode()))


def _meta(plan: str) -> tuple[dict[str, Any], bool]:
    try:
        document = json.loads(plan)
        meta, complete = document["meta"], document["complete"]
        whole = all(isinstance(meta[key], int) and 0 <= meta[key] < most for key, most in _WHOLE)
        fits = whole and isinstance(meta["version"], str)
    except (ValueError, TypeError, KeyError, RecursionError):
        fits = False
    if not fits:
        raise InvalidInput("this is no plan by the published schema ('laydown schema plan' shows it)", where="plan")
    return meta, bool(complete)


def _plan(row: Row[Any]) -> StoredPlan:
    values = {name: getattr(row, name) for name in StoredPlan.__dataclass_fields__}
    return StoredPlan(**(values | {"change": json.loads(row.change)}))
