"""The description of this interface for programs."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request

from laydown.web.needs import needs
from laydown.web.published import published
from laydown.web.routing import api_router, problems_of

router = api_router("description")


@router.get("/openapi.json", response_model=dict[str, Any], responses=problems_of(409))
@needs("read")
def openapi(request: Request) -> Any:
    """Give the OpenAPI document."""
    return published(request.app)
