"""The published JSON schemas (draft 2020-12) of an order file and of a plan."""

from __future__ import annotations

from typing import Any

from laydown.documents.order_entry import OrderEntry
from laydown.documents.plan_schema import PlanDocument

_OWN_NOTES = {"stands_for", "needed"}
"""What the models note beside a field for themselves; the schema says it by its own means."""

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def plan_schema() -> dict[str, Any]:
    """JSON schema of what `laydown.documents.plan_document.plan_to_json` writes."""
    schema = PlanDocument.model_json_schema(mode="serialization")
    return {"$schema": DRAFT, **schema, "title": "A laydown plan"}


def order_schema() -> dict[str, Any]:
    """JSON schema of an order file, for editors that check TOML by one.

    What a schema cannot say (a garment on the shelf, inks that match their coverage) the reader checks.
    """
    schema = OrderEntry.model_json_schema(mode="validation")
    return {"$schema": DRAFT, **_for_toml(schema), "title": "A laydown order"}


def _for_toml(part: Any) -> Any:
    """Take out ``null``, which TOML does not have, and defaults that say it; tell the unit in the description."""
    if isinstance(part, list):
        return [_for_toml(item) for item in part]
    if not isinstance(part, dict):
        return part
    clean = {
        key: _for_toml(value)
        for key, value in part.items()
        if key not in _OWN_NOTES and not (key == "default" and value is None)
    }
    if clean.get("unit") and isinstance(clean.get("description"), str):
        clean["description"] += f" [{clean['unit']}]"
    options = clean.get("anyOf")
    if isinstance(options, list) and {"type": "null"} in options:
        options = [option for option in options if option != {"type": "null"}]
        del clean["anyOf"]
        clean = {"anyOf": options, **clean} if len(options) > 1 else {**options[0], **clean}
    return clean
