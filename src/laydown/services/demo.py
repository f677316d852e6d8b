"""The demonstration: every order of the invented shop that laydown ships, planned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from laydown.documents.template import demo_folder, demo_order_texts
from laydown.domain.order import Order
from laydown.domain.plan import Plan
from laydown.domain.shop import Shop
from laydown.services.planning import plan_order
from laydown.services.schemas import plan_json
from laydown.services.shelves import open_shop, read_order
from laydown.services.tickets import ticket


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoOrder:
    """A shipped order; ``key`` is the name of its file without the ending."""

    key: str
    order: Order


def demo_orders(shop: Shop | None = None) -> tuple[DemoOrder, ...]:
    """Shipped orders, read against the invented shop or a shop that has its garments and inks."""
    shelves = shop or open_shop()
    return tuple(
        DemoOrder(key=name.removesuffix(".toml"), order=read_order(demo_folder() / name, shelves))
        for name in demo_order_texts()
    )


def plan_demo(shop: Shop, orders: tuple[DemoOrder, ...]) -> Iterator[tuple[str, Plan]]:
    """Plan the orders one after the other, each under its key."""
    for one in orders:
        yield one.key, plan_order(shop, one.order)


def demo_files(shop: Shop, plans: Mapping[str, Plan]) -> dict[str, str | bytes]:
    """Ticket and JSON of each plan, by file name."""
    files: dict[str, str | bytes] = {}
    for key, plan in plans.items():
        files[f"{key}.pdf"] = ticket(shop, plan, folder=demo_folder())
        files[f"{key}.json"] = plan_json(plan)
    return files
