"""What is due, and what needs somebody's decision."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import Any, NamedTuple

from laydown.services.order_book import OrderRow, rows_of
from laydown.store import jobs, orders, plans
from laydown.store.database import Store
from laydown.store.jobs import Job
from laydown.store.plans import StoredPlan
from laydown.store.transaction import Transaction

OPEN = ("new", "planned", "approved", "printing")
SOON = dt.timedelta(days=7)
MOST = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class TestDue:
    """A test that a plan asks for; ``read_on`` is when it is to be read."""

    __test__ = False

    row: OrderRow
    name: str
    why: str
    read_on: dt.date


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    """The day at a glance.

    Attributes
    ----------
    late, soon, later : tuple of OrderRow
        Open orders by when they are due: before today, within a week, after that.
    without_plan, nothing_passes, out_of_date, to_approve : tuple of OrderRow
        Open orders that need a decision, each in the first list that fits.
    tests : tuple of TestDue
    jobs : tuple of Job
        Long work that waits or runs.
    empty : bool
        Whether there is no order at all.
    """

    day: dt.date
    late: tuple[OrderRow, ...]
    soon: tuple[OrderRow, ...]
    later: tuple[OrderRow, ...]
    without_plan: tuple[OrderRow, ...]
    nothing_passes: tuple[OrderRow, ...]
    out_of_date: tuple[OrderRow, ...]
    to_approve: tuple[OrderRow, ...]
    tests: tuple[TestDue, ...]
    jobs: tuple[Job, ...]
    empty: bool


def today(store: Store, day: dt.date) -> Today:
    """See what is due on a day and what waits for a decision."""
    with store.read() as tx:
        found, _ = orders.find(tx, states=OPEN, limit=MOST)
        rows = rows_of(tx, found)
        tests: list[TestDue] = []
        for row in rows:
            if row.newest is None or row.order.state == "new":
                continue
            approved = row.order.approved_plan
            plan = row.newest if approved in {None, row.newest.number} else plans.get(tx, row.order.id, approved or 0)
            tests += [
                TestDue(row=row, name=test.name, why=test.why, read_on=test.read_on)
                for test in _tests_of(tx, plan)
                if test.read_on <= day + SOON
            ]
        work = tuple(jobs.recent(tx, states=("waiting", "running"), limit=20))
        empty = not rows and orders.find(tx, limit=1)[1] == 0
    undecided = [row for row in rows if row.order.state in {"new", "planned"}]
    without = tuple(row for row in undecided if row.newest is None)
    fails = tuple(row for row in undecided if row.newest is not None and not row.newest.complete)
    old = tuple(row for row in rows if row.out_of_date and row not in fails and row.order.state != "printing")
    approve = tuple(row for row in undecided if row.newest is not None and row not in fails and row not in old)
    return Today(
        day=day,
        late=tuple(row for row in rows if row.order.due < day),
        soon=tuple(row for row in rows if day <= row.order.due <= day + SOON),
        later=tuple(row for row in rows if row.order.due > day + SOON),
        without_plan=without,
        nothing_passes=fails,
        out_of_date=old,
        to_approve=approve,
        tests=tuple(sorted(tests, key=lambda test: test.read_on)),
        jobs=work,
        empty=empty,
    )


def plans_in_use(store: Store, *, limit: int) -> tuple[StoredPlan, ...]:
    """Plan of every open order that has one, the approved or else the newest; the soonest due come first."""
    with store.read() as tx:
        found, _ = orders.find(tx, states=OPEN, limit=MOST)
        newest = plans.newest_of(tx, [one.id for one in found])
        used = [
            plans.get(tx, one.id, one.approved_plan or newest[one.id][1].number) for one in found if one.id in newest
        ]
    return tuple(used[:limit])


class _Test(NamedTuple):
    """A test of a plan that is read on a day."""

    name: str
    why: str
    read_on: dt.date


def _tests_of(tx: Transaction, plan: StoredPlan) -> tuple[_Test, ...]:
    return tx.remembered.once(("tests", plan.plan_sha256), lambda: _tests_in(plans.text(tx, plan)))


def _tests_in(plan: str) -> tuple[_Test, ...]:
    """Tests of a plan's JSON, without reading the rest of it, which is a hundred times as long."""
    at = plan.find('\n  "tests": ')
    found: list[dict[str, Any]] = json.JSONDecoder().raw_decode(plan, plan.index("[", at))[0] if at >= 0 else []
    return tuple(
        _Test(name=test["name"], why=test["why"], read_on=dt.date.fromisoformat(test["read_on"]))
        for test in found
        if test["read_on"]
    )
