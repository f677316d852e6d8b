"""Steps that tests of the lab's pages share: start a swatch, read it."""

from __future__ import annotations

import re
import uuid

from web_clients import post, token_in

GARMENT = "Quayside tee black"


def start(client, **fields):
    """Start a swatch by the form; gives its number."""
    said = {"protocol": "oven-bleed", "garment": GARMENT, "lot": "L-7", "made": "now", "key": uuid.uuid4().hex}
    said |= {"ink0": "Chalk Cotton White", "screen0": first_screen(client), "hits0": "2", "flash0": "yes"}
    answer = post(client, "/lab/start", "/lab/start", **(said | fields))
    assert answer.status_code == 303, answer.text
    return int(answer.headers["location"].rpartition("/")[2])


def first_screen(client):
    return re.search(r'<select id="screen0"[^>]*><option value="([^"]*)"', client.get("/lab/start").text)[1]


def read(client, number, **fields):
    return post(client, f"/lab/read/{number}", f"/lab/read/{number}", **({"key": uuid.uuid4().hex} | fields))


def own(client):
    """Heads that a page of the app sends along with a file."""
    return {"origin": str(client.base_url).rstrip("/"), "x-csrf-token": token_in(client.get("/account"))}
