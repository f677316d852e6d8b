"""What the tests of orders, plans and the press do again and again."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from web_clients import post, store_of

from laydown.services.schemas import plan_json
from laydown.store import jobs, orders, plans
from planned import invented_shop, planned

COTTON = "01-gig-night-black-tees"


@cache
def plan_text(key: str) -> str:
    return plan_json(planned(key))


def order_text(name: str = "Night swim tees", **changes: str) -> str:
    """Order of one white print."""
    text = (files("laydown.data") / "orders" / f"{COTTON}.toml").read_text(encoding="utf-8")
    text = text.replace('name = "Gig night tees"', f'name = "{name}"').replace('id = "A-1001"', 'id = "T-1"')
    for old, new in changes.items():
        text = text.replace(old, new)
    return text


def keep_plan(client, key: str = COTTON, order_id: int | None = None) -> tuple[int, int]:
    """Keep the plan of a shipped order as if it had been planned; returns order and plan."""
    shop = invented_shop()
    with store_of(client).write(who="tests") as tx:
        if order_id is None:
            order_id = next(one.id for one in orders.find(tx, limit=100)[0] if one.name == planned(key).order.name)
        kept = plans.add(tx, order_id, plan_text(key), shop, order_version=1)
    return order_id, kept.number


def waiting(client):
    """Work that waits."""
    with store_of(client).read() as tx:
        return jobs.recent(tx, states=("waiting",))


def send_new(client, **fields):
    """Send the form of a new order."""
    usual = {
        "way": "form",
        "name": "Night swim tees",
        "quantity": "96",
        "due": "2099-01-10",
        "garment": "100% cotton",
        "structure": "jersey",
        "mass": "180",
        "colour": "#1c1c1e",
        "p0_width": "280",
        "p0_height": "320",
        "p0_inks": "white",
        "p0_coverage": "42",
    }
    return post(client, "/orders/new", "/orders/new", **(usual | fields))
