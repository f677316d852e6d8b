"""From where a request comes."""

from __future__ import annotations

from starlette.requests import Request


def client_address(request: Request) -> str:
    """Address of whoever is connected; that of the proxy when there is one, as its headers can be made up."""
    return request.client.host if request.client is not None else ""
