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
    Place("Lab", "/lab", "read"),
    Place("Shelves", "/shelves", "read"),
    Place("People", "/people", "people"),
    Place("Log", "/log", "read log"),
)

NEW_ORDER = Place("New order", "/orders/new", "plan")

LAB_PLACES = (
    Place("Lab", "/lab", "read"),
    Place("Swatches", "/lab/swatches", "read"),
    Place("Tests", "/lab/protocols", "read"),
    Place("Cloths", "/lab/cloths", "read"),
    Place("Own numbers", "/lab/measured", "read"),
    Place("Import readings", "/lab/import", "run the lab"),
    Place("Repeatability", "/lab/repeatability", "read"),
    Place("Dryers", "/lab/dryers", "read"),
    Place("Looking back", "/lab/looking-back", "read"),
)
"""Places within the lab."""
