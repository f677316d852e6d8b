"""Invented orders whose outcome is known."""

from __future__ import annotations

import datetime as dt
from typing import Any

from laydown.domain.outcome import Claim, OrderOutcome, Requirement

PRINTED = dt.date(2026, 3, 2)
TODAY = dt.date(2026, 9, 1)


def outcome(order: int = 1, **changes: Any) -> OrderOutcome:
    fields: dict[str, Any] = {
        "order": order,
        "name": f"order {order}",
        "printed_on": PRINTED,
        "cloth": "red tee",
        "pieces": 100,
        "risks": ((Requirement.BLEED, 0.05), (Requirement.ALL, 0.08)),
    }
    return OrderOutcome(**(fields | changes))


def claim(cause: str = "dye came through", pieces: int = 5, **changes: Any) -> Claim:
    return Claim(**({"cause": cause, "pieces": pieces, "received_on": dt.date(2026, 4, 9)} | changes))


def with_risk(order: int, risk: float, *, missed: bool = False) -> OrderOutcome:
    return outcome(order, risks=((Requirement.BLEED, risk),), claims=(claim(),) if missed else ())
