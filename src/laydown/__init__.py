"""laydown plans a garment screen print before a screen is burned.

>>> import laydown
>>> shop = laydown.open_shop()  # the invented shop that laydown ships; your own: open_shop("folder")
>>> shop.name
'Saltmarsh Press Works'

Whatever is listed in ``__all__`` may be relied on. Nothing heavy is imported before it is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from laydown.errors import (
    Conflict,
    ConvergenceError,
    InvalidInput,
    LaydownError,
    NotFound,
    OutOfRange,
    StoreUnavailable,
)

if TYPE_CHECKING:
    from laydown.services.explain import explain_number
    from laydown.services.ownership import own_inks, read_season
    from laydown.services.planning import plan_order
    from laydown.services.rules import rule_facts, trade_rules
    from laydown.services.schemas import plan_json, schema
    from laydown.services.shelves import init_shop, open_shop, read_order
    from laydown.services.tickets import ticket
    from laydown.services.warmup import warm_up
    from laydown.services.what_if import what_if

__version__ = "0.1.0"

__all__ = [
    "Conflict",
    "ConvergenceError",
    "InvalidInput",
    "LaydownError",
    "NotFound",
    "OutOfRange",
    "StoreUnavailable",
    "__version__",
    "explain_number",
    "init_shop",
    "open_shop",
    "own_inks",
    "plan_json",
    "plan_order",
    "read_order",
    "read_season",
    "rule_facts",
    "schema",
    "ticket",
    "trade_rules",
    "warm_up",
    "what_if",
]

_HOMES = {
    "explain_number": "laydown.services.explain",
    "init_shop": "laydown.services.shelves",
    "open_shop": "laydown.services.shelves",
    "own_inks": "laydown.services.ownership",
    "plan_json": "laydown.services.schemas",
    "plan_order": "laydown.services.planning",
    "read_order": "laydown.services.shelves",
    "read_season": "laydown.services.ownership",
    "rule_facts": "laydown.services.rules",
    "schema": "laydown.services.schemas",
    "ticket": "laydown.services.tickets",
    "trade_rules": "laydown.services.rules",
    "warm_up": "laydown.services.warmup",
    "what_if": "laydown.services.what_if",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'laydown' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
