"""Where a number of a kept plan comes from, as plain data."""

from __future__ import annotations

from laydown.services.explain import explain_number
from laydown.services.plan_book_view import View, read_both, source_words


def explained(plan_text: str, shop_text: str, path: str) -> View:
    """Trace a number; the errors are those of `laydown.services.explain.explain_number`."""
    plan, shop = read_both(plan_text, shop_text)
    found = explain_number(shop, plan, path)
    return {
        "path": found.path,
        "numbers": [{"path": one.path, "value": f"{one.value}", "meaning": one.meaning} for one in found.numbers],
        "model": found.model,
        "page": found.page,
        "range_note": found.range_note,
        "inputs": [
            {
                "name": one.input.name,
                "shown": one.input.shown,
                "grade": str(one.input.quantity.grade),
                "source": source_words(one.input.quantity.source),
                "citation": one.citation,
            }
            for one in found.inputs
        ],
    }
