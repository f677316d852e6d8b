"""Shared by all tests: how long one example takes says more about the machine than about the code."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

LONG = (
    "test_web_browser_orders.py",
    "test_web_browser_shop.py",
    "test_demo_command.py",
    "test_trade_facts.py",
    "test_kill.py",
    "test_warmup.py",
    "test_fuzz.py",
    "test_web_browser_lab.py",
    "test_web_browser_dryers.py",
    "test_virtual_cloths.py",
    "test_rank_check.py",
    "test_web_jobs.py",
)
"""Files that take longest; begun first, so that no worker is left alone with one of them at the end."""


def pytest_collection_modifyitems(items):
    """Put long files first, and leave all else in its order."""
    places = {name: place for place, name in enumerate(LONG)}
    items.sort(key=lambda item: places.get(item.path.name, len(LONG)))
