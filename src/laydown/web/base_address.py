"""The address by which tablets and calendar programs reach the app."""

from __future__ import annotations

from starlette.requests import Request

from laydown.web.serve import address_of
from laydown.web.state import AppState


def base_address(request: Request, state: AppState) -> str:
    """Address of the app without a slash at its end: the public one, or the one that the browser used."""
    settings = state.settings
    if settings.public_url:
        return settings.public_url.rstrip("/")
    host = request.headers.get("host", "")
    return f"{request.url.scheme}://{host}" if host else address_of(settings, settings.port)
