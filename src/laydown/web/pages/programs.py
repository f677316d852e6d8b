"""The JSON interface described for people, from its own published schema."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from laydown.web.needs import needs
from laydown.web.published import published
from laydown.web.render import render
from laydown.web.routing import page_router

router = page_router()

WORDS = (
    ("string", "text"),
    ("integer", "whole number"),
    ("boolean", "true or false"),
    ("null", "nothing"),
    ("object", "table"),
)
"""Types of the schema, and what they are called here."""


@router.get("/programs")
@needs("read")
def programs(request: Request) -> Response:
    """Show every address, what it takes and what it answers."""
    schema = published(request.app)
    parts: dict[str, list[dict[str, Any]]] = {}
    for path, methods in schema["paths"].items():
        for method, operation in methods.items():
            entry = {"method": method.upper(), "path": path, "told": operation, "body": _body(operation)}
            parts.setdefault(operation["tags"][0], []).append(entry)
    shapes = [(name, _fields(one)) for name, one in sorted(schema["components"]["schemas"].items())]
    return render(request, "programs.html", parts=parts, shapes=shapes, shape=_shape)


def _body(operation: dict[str, Any]) -> str:
    kinds = operation.get("requestBody", {}).get("content", {})
    return "; ".join(f"{kind}: {_shape(told.get('schema', {}))}" for kind, told in kinds.items())


def _fields(shape: dict[str, Any]) -> list[tuple[str, str, str, bool]]:
    needed = shape.get("required", ())
    return [
        (name, _shape(told), str(told.get("description", "")), name in needed)
        for name, told in shape.get("properties", {}).items()
    ]


def _shape(schema: dict[str, Any]) -> str:
    """Few words for a schema: ``ShelfItem``, ``list of Job``, ``text``."""
    if "$ref" in schema:
        return str(schema["$ref"]).rpartition("/")[2]
    if "anyOf" in schema:
        return " or ".join(_shape(one) for one in schema["anyOf"])
    if "enum" in schema:
        return ", ".join(str(one) for one in schema["enum"])
    if schema.get("type") == "array":
        return f"list of {_shape(schema.get('items', {}))}"
    kind = str(schema.get("type", "anything"))
    return dict(WORDS).get(kind, kind)
