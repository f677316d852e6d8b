"""Plans of the shipped orders, made once a process and shared by the tests of commands, services and pages."""

from __future__ import annotations

from functools import cache

from laydown.documents.template import demo_folder
from laydown.domain.plan import Plan
from laydown.domain.shop import Shop
from laydown.services.planning import plan_order
from laydown.services.shelves import open_shop, read_order

COTTON = "01-gig-night-black-tees"
POLYESTER = "05-running-club-red-polyester"
TWO_PRINTS = "16-sailing-hoodies-navy"


@cache
def invented_shop() -> Shop:
    return open_shop()


@cache
def planned(key: str) -> Plan:
    """Plan of a shipped order, by its file name without the ending."""
    shop = invented_shop()
    return plan_order(shop, read_order(demo_folder() / f"{key}.toml", shop))
