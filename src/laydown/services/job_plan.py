"""Long work of the kind ``plan``: plan a version of an order and keep the plan."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from laydown.services.job_progress import Progress
from laydown.services.plan_book import ask_for_pictures
from laydown.store import jobs, orders, plans
from laydown.store.database import Store
from laydown.store.jobs import Job
from laydown.store.shop_exchange import load_shop

READ, TRIED = 0.1, 0.9
"""Shares of the work that are done when order and art are read, and when every stack was tried."""


def plan_version(store: Store, job: Job, progress: Progress) -> Mapping[str, Any]:
    """Plan the version of the order that the job names, on the shop as it is now.

    Parameters
    ----------
    store : Store
    job : Job
        Its request has ``order``, ``version`` and ``reason``.
    progress : Progress

    Returns
    -------
    mapping
        ``order`` and the plan's ``number``.

    Raises
    ------
    InvalidInput, NotFound
        When the order cannot be planned.
    Conflict
        When the job was given up meanwhile; nothing was kept then.
    """
    from laydown.services.planning import plan_order
    from laydown.services.schemas import plan_json
    from laydown.services.shelves import read_order

    order_id, version = int(job.request["order"]), int(job.request["version"])
    progress("reading the order and its art", 0.05)
    with tempfile.TemporaryDirectory(prefix="laydown-job-") as folder:
        # Shop and order of one moment: what somebody changes meanwhile is for the next plan.
        with store.read() as tx:
            shop = load_shop(tx)
            path = orders.write_folder(tx, order_id, Path(folder), number=version)
        order = read_order(path, shop)

    def tried(share: float) -> None:
        progress(f"trying stacks for {order.name}", READ + (TRIED - READ) * share)

    plan = plan_order(shop, order, tried=tried)
    progress("keeping the plan", 0.97)
    text = plan_json(plan)
    with store.write(who=job.made_by) as tx:
        kept = plans.add(tx, order_id, text, shop, order_version=version, reason=str(job.request.get("reason", "")))
        ask_for_pictures(tx, order_id, kept.number, text)
        result = {"order": order_id, "number": kept.number}
        # In the same transaction: a plan is kept exactly when its job is done.
        jobs.finish(tx, job.id, result)
    return result
