"""The published schemas, and a plan as JSON that holds to them."""

from __future__ import annotations

from typing import Any

from laydown.domain.plan import Plan
from laydown.errors import NotFound

SCHEMAS = ("plan", "order")


def schema(kind: str) -> dict[str, Any]:
    """JSON schema (draft 2020-12) of a plan or of an order file.

    Raises
    ------
    NotFound
        When ``kind`` is neither ``plan`` nor ``order``.
    """
    from laydown.documents.schemas import order_schema, plan_schema

    if kind not in SCHEMAS:
        raise NotFound("schema", kind, SCHEMAS)
    return plan_schema() if kind == "plan" else order_schema()


def plan_json(plan: Plan) -> str:
    """JSON text of a plan, by the schema of a plan; the same plan gives the same text."""
    from laydown.documents.plan_document import plan_to_json

    return plan_to_json(plan)
