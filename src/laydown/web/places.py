"""The places of the top bar."""

from __future__ import annotations

from typing import NamedTuple


class Place(NamedTuple):
    """A place of the top bar; shown to whoever may go there, once the page exists."""

    label: str
    address: str
    need: str


PLACES = (
    Place("Today", "/", "read"),
    Place("Orders", "/orders", "read"),
    Place("Shelves", "/shelves", "read"),
    Place("People", "/people", "people"),
    Place("Log", "/log", "read log"),
)

NEW_ORDER = Place("New order", "/orders/new", "plan")
