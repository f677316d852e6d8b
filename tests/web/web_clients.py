"""Clients of the app, and what a browser does with a form."""

from __future__ import annotations

import re
import warnings

from laydown.web.app import create_app
from laydown.web.settings import Settings

with warnings.catch_warnings():
    # It works with httpx as well as with its successor, and says at its import that it would rather have that.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

PASSWORD = "a password of the tests"
NETWORK = {"host": "0.0.0.0", "plain_http": True}


def client_of(settings: Settings, host: str = "127.0.0.1:8300") -> TestClient:
    """Client whose server errors are answers, as for a browser."""
    client = TestClient(create_app(settings), base_url=f"http://{host}", raise_server_exceptions=False)
    client.follow_redirects = False
    return client


def token_in(page) -> str:
    """Token of the forms of a page."""
    return re.search(r'name="csrf" value="([^"]*)"', page.text)[1]


def post(client, address, page=None, **fields):
    """Send a form as a browser does from a page of the app."""
    token = token_in(client.get(page or "/account"))
    origin = str(client.base_url).rstrip("/")
    return client.post(address, data={"csrf": token, **fields}, headers={"origin": origin})


def log_in(client, name, password=PASSWORD):
    """Log in; returns the answer."""
    return post(client, "/login", "/login", name=name, password=password)


def store_of(client):
    """Store of the app."""
    return client.app.state.laydown.store
