"""Long work: ask for it, see how far it is, call it off. `laydown.services.job_worker` does it in another process."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from laydown.services.job_kinds import kind_named
from laydown.store import jobs
from laydown.store.database import Store
from laydown.store.jobs import FINAL, Job

__all__ = ["FINAL", "Job", "ask_for_plan", "cancel", "find", "recent", "submit"]


def submit(store: Store, kind: str, request: Mapping[str, Any], *, who: str) -> Job:
    """Ask for a piece of work.

    Parameters
    ----------
    kind : str
        One of `laydown.services.job_kinds.JOB_KINDS`.
    request : mapping
        What that kind needs, JSON types only.

    Raises
    ------
    NotFound
        When there is no such kind.
    """
    kind_named(kind)
    with store.write(who=who) as tx:
        return jobs.add(tx, kind, request)


def ask_for_plan(store: Store, order_id: int, *, who: str, reason: str = "") -> Job:
    """Ask for a plan of the version of an order that counts.

    Raises
    ------
    NotFound
        When there is no such order.
    """
    from laydown.store import orders

    with store.write(who=who) as tx:
        order = orders.get(tx, order_id)
        return jobs.add(tx, "plan", {"order": order_id, "version": order.version, "reason": reason})


def find(store: Store, job_id: int) -> Job:
    """Piece of work by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    with store.read() as tx:
        return jobs.get(tx, job_id)


def recent(store: Store, *, states: Sequence[str] = (), limit: int = 50) -> tuple[Job, ...]:
    """Pieces of work, the newest first."""
    with store.read() as tx:
        return jobs.recent(tx, states=states, limit=limit)


def cancel(store: Store, job_id: int, *, who: str) -> Job:
    """Call a piece of work off: at once while it waits, within seconds while it runs.

    Raises
    ------
    NotFound
        When there is none.
    InvalidInput
        When it has ended already.
    """
    with store.write(who=who) as tx:
        return jobs.ask_cancel(tx, job_id)
