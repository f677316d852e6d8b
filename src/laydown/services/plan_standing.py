"""Whether a plan still stands: what of its order and of the shop it rests on is otherwise by now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from laydown.domain.shop import Shop
from laydown.store import plans
from laydown.store.orders import StoredOrder
from laydown.store.plans import StoredPlan
from laydown.store.shop_exchange import load_shop
from laydown.store.transaction import Transaction

SETTINGS = ("climate", "costs", "practice")
"""Settings that plans rest on; the shop's name and its units change no plan."""


def changes_since(tx: Transaction, order: StoredOrder, plan: StoredPlan, now: Shop | None = None) -> tuple[str, ...]:
    """What of the order and of the shop is otherwise than what a plan was made with, each in words.

    Contents are compared, not moments: what was changed and changed back is as it was, and what somebody changed while
    the plan was made is found.

    Parameters
    ----------
    now : Shop, optional
        The shop as it is, when it is at hand.
    """
    version = (f"the order, now version {order.version}",) if plan.order_version != order.version else ()
    then = plans.shop_of(tx, plan)
    return (*version, *differences(then, now or load_shop(tx)))


def differences(then: Shop, now: Shop) -> tuple[str, ...]:
    """What of the shelves differs between two states of a shop, in words; empty when every plan would be the same."""
    told: list[str] = []
    for (kind, before), (_, after) in zip(then.shelves(), now.shelves(), strict=True):
        # How a test is done decides on no stack.
        told += _differences(kind, before, after) if kind != "protocols" else []
    told += [f"{kind} changed" for kind in SETTINGS if getattr(then, kind) != getattr(now, kind)]
    if then.preferences.condition != now.preferences.condition:
        told.append("preferences changed")
    # Of every cloth, whatever the order's: a finding also tells how the shop prints, and each plan's ink rests on that.
    if then.findings != now.findings:
        gone = [one for one in then.findings if one not in now.findings]
        named = dict.fromkeys(
            one.garment or str(one.dye) for one in (*gone, *now.findings) if one in gone or one not in then.findings
        )
        told += [f"what tests say of {name} changed" for name in named]
    return tuple(told)


def _differences(kind: str, before: Iterable[Any], after: Iterable[Any]) -> list[str]:
    if before == after:
        return []
    then, now = _by_name(kind, before), _by_name(kind, after)
    told = [f"{kind}: {name} added" for name in now if name not in then]
    told += [f"{kind}: {name} changed" for name in now if name in then and now[name] != then[name]]
    told += [f"{kind}: {name} taken off" for name in then if name not in now]
    return told or ([f"{kind} put in another order"] if list(then) != list(now) else [])


def _by_name(kind: str, records: Iterable[Any]) -> dict[str, Any]:
    # A rule tells its place on the shelf, which changes when another rule goes.
    return {one.name: replace(one, where="") if kind == "rules" else one for one in records}
