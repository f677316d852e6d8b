"""Clients of the app, and what a browser does with a form."""

from __future__ import annotations

import re

from starlette.testclient import TestClient

from laydown.web.app import create_app
from laydown.web.settings import Settings

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


def work_off(client, answer):
    """Do the work that an answer leads to, as the worker does, and give the page of its result (or of its failure)."""
    from laydown.services import job_worker
    from laydown.services.jobs import find

    store = store_of(client)
    number = int(answer.headers["location"].rpartition("/")[2])
    while (job := find(store, number)).state == "waiting":
        job_worker.do_job(store, job_worker._claimed(store, "worker of the tests"))
    page = client.get(f"/jobs/{job.id}")
    result = re.search(r'<a role="button" class="small" href="([^"]*)">See the result', page.text)
    return client.get(result[1]) if result else page
