"""Plans in the store: fetch one with what it rests on, keep a changed one, ask for its pictures and films."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import select

from laydown.errors import InvalidInput, NotFound
from laydown.services.plan_standing import changes_since
from laydown.store import files, jobs, orders, plans
from laydown.store import schema as tables
from laydown.store.database import Store
from laydown.store.jobs import Job
from laydown.store.orders import StoredOrder
from laydown.store.plans import StoredPlan
from laydown.store.shop_exchange import shop_from_document
from laydown.store.transaction import Transaction, json_text

__all__ = ["FILMS", "PICTURES", "PlanSheet", "StoredPlan", "sheet"]

PICTURES, FILMS = "pictures", "films"
"""Kinds of work on a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSheet:
    """A kept plan and what it rests on.

    Attributes
    ----------
    newest : int
        Number of the order's newest plan.
    changes : tuple of str
        What of order and shelves is otherwise than it was made with.
    pictures, films : Job or None
        The newest work of that kind on this plan.
    """

    order: StoredOrder
    stored: StoredPlan
    newest: int
    numbers: tuple[int, ...]
    changes: tuple[str, ...]
    pictures: Job | None
    films: Job | None


def sheet(store: Store, order_id: int, number: int) -> PlanSheet:
    """Fetch a plan.

    Raises
    ------
    NotFound
        When there is no such order or plan.
    """
    with store.read() as tx:
        order = orders.get(tx, order_id)
        stored = plans.get(tx, order_id, number)
        numbers = tuple(one.number for one in plans.of_order(tx, order_id))
        return PlanSheet(
            order=order,
            stored=stored,
            newest=numbers[-1],
            numbers=numbers,
            changes=changes_since(tx, order, stored),
            pictures=newest_work(tx, PICTURES, order_id, number),
            films=newest_work(tx, FILMS, order_id, number),
        )


def texts(store: Store, plan: StoredPlan) -> tuple[str, str]:
    """JSON of a plan and the shop it rests on, as kept; a megabyte, so that only who needs them asks for them."""
    with store.read() as tx:
        return plans.text(tx, plan), files.content(tx, plan.shop_sha256).decode()


def keep_changed(
    store: Store,
    order_id: int,
    number: int,
    text: str,
    words: list[str],
    fields: Mapping[str, str],
    *,
    reason: str,
    who: str,
) -> StoredPlan:
    """Keep a changed plan as a version of its own.

    Parameters
    ----------
    number : int
        Plan that was changed.
    text : str
        From `laydown.services.plan_book_change.changed_plan`.
    words : list of str
        What was changed.
    reason : str
        Why; needed.

    Raises
    ------
    InvalidInput
        When no reason is given.
    """
    why = needed_reason(reason)
    with store.write(who=who) as tx:
        before = plans.get(tx, order_id, number)
        shop = shop_from_document(files.content(tx, before.shop_sha256).decode())
        kept = plans.add(
            tx,
            order_id,
            text,
            shop,
            order_version=before.order_version,
            laydown_model=before.laydown_model,
            changed_from=number,
            change={"words": words, "fields": dict(fields)},
            reason=why,
        )
        ask_for_pictures(tx, order_id, kept.number, text)
        return kept


def needed_reason(reason: str) -> str:
    """Reason for a changed plan, without blanks around it; an empty one is refused."""
    if not reason.strip():
        raise InvalidInput("say why it is changed; the reason is kept with the plan", where="reason")
    return reason.strip()


def ask_for_pictures(tx: Transaction, order_id: int, number: int, text: str) -> None:
    """Ask for the pictures of a plan that has art, in the transaction that keeps it."""
    import json

    document = json.loads(text)
    art = {one["place"] for one in document["order"]["prints"] if one["art"] is not None}
    if any(one["choice"] is not None and one["place"] in art for one in document["prints"]):
        jobs.add(tx, PICTURES, {"order": order_id, "number": number})


def ask_for(store: Store, kind: str, order_id: int, number: int, *, who: str) -> Job:
    """Ask for pictures or films of a plan; what waits or runs already is returned instead.

    Raises
    ------
    NotFound
        When there is no such plan or kind of work.
    """
    if kind not in {PICTURES, FILMS}:
        raise NotFound("kind of work", kind, (PICTURES, FILMS))
    with store.write(who=who) as tx:
        plans.get(tx, order_id, number)
        there = newest_work(tx, kind, order_id, number)
        if there is not None and there.state in {"waiting", "running"}:
            return there
        return jobs.add(tx, kind, {"order": order_id, "number": number})


def newest_work(tx: Transaction, kind: str, order_id: int, number: int) -> Job | None:
    """Newest work of a kind on a plan, or None."""
    asked = json_text({"order": order_id, "number": number})
    table = tables.jobs
    found = tx.run(
        select(table.c.id).where(table.c.kind == kind, table.c.request == asked).order_by(table.c.id.desc()).limit(1)
    ).scalar()
    return jobs.get(tx, found) if found is not None else None


def result_file(store: Store, kind: str, order_id: int, number: int, sha256: str) -> bytes:
    """File that work on a plan made.

    Raises
    ------
    NotFound
        When that work made no such file.
    """
    with store.read() as tx:
        job = newest_work(tx, kind, order_id, number)
        if job is None or job.state != "done" or sha256 not in json_text(dict(job.result)) or len(sha256) != 64:
            raise NotFound("file", sha256, ())
        return files.content(tx, sha256)


def write_art(store: Store, order_id: int, version: int, folder: Path) -> Path:
    """Write the files of an order's version into a folder and return it."""
    with store.read() as tx:
        return orders.write_folder(tx, order_id, folder, number=version).parent


def days_of(result: Mapping[str, Any], index: int) -> list[Mapping[str, Any]]:
    """Pictures of one print, by day, from the result of the work ``pictures``."""
    return next((list(one["days"]) for one in result.get("prints", ()) if one["index"] == index), [])
