"""The address by which tablets and calendar programs reach the app."""

from __future__ import annotations

from starlette.requests import Request

from laydown.web.render import shop_of
from laydown.web.serve import address_of
from laydown.web.settings import LOOPBACK_NAMES, host_name
from laydown.web.state import AppState


def base_address(request: Request, state: AppState) -> str:
    """Address of the app without a slash at its end: that for tablets, or the one that the browser used."""
    host = request.headers.get("host", "")
    used = f"{request.url.scheme}://{host}" if host else address_of(state.settings, state.settings.port)
    return tablet_address(request, state) or used


def tablet_address(request: Request, state: AppState) -> str:
    """Address that another machine opens: the public one, the shop's, or the one that the browser used.

    Empty when none of them leads from another machine to this one.
    """
    if state.settings.public_url:
        return state.settings.public_url.rstrip("/")
    shop = shop_of(request)
    if shop is not None and shop.preferences.address:
        return shop.preferences.address
    host = request.headers.get("host", "")
    return f"{request.url.scheme}://{host}" if host and host_name(host) not in LOOPBACK_NAMES else ""
