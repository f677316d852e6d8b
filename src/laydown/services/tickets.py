"""The sheet that the press crew works from."""

from __future__ import annotations

from laydown.domain.plan import Plan
from laydown.domain.shop import Shop


def ticket(shop: Shop, plan: Plan) -> bytes:
    """PDF ticket of a plan, on the paper and in the units that the shop prefers; one page a print."""
    from laydown.report.ticket import ticket_pdf

    return ticket_pdf(plan, shop.preferences)
