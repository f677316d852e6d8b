"""The published schema of the JSON interface."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI


def published(app: FastAPI) -> dict[str, Any]:
    """OpenAPI document; made once an application."""
    schema = app.openapi()
    schemes = schema.setdefault("components", {}).setdefault("securitySchemes", {})
    schemes["token"] = {
        "type": "http",
        "scheme": "bearer",
        "description": "A token that a person makes on the account page. Without a login (own machine) none is needed.",
    }
    schema["security"] = [{"token": []}, {}]
    return schema
