"""Art files to pictures, in a worker process that may fail without harm.

Only what is asked for is imported: the worker starts through this package as well and must start quickly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from laydown.artwork.reading.facts import ArtFacts
    from laydown.artwork.reading.limits import Limits
    from laydown.artwork.reading.read import inspect_art, read_picture
    from laydown.artwork.reading.reader import Reader

__all__ = ["ArtFacts", "Limits", "Reader", "inspect_art", "read_picture"]

_HOMES = {
    "ArtFacts": "laydown.artwork.reading.facts",
    "Limits": "laydown.artwork.reading.limits",
    "Reader": "laydown.artwork.reading.reader",
    "inspect_art": "laydown.artwork.reading.read",
    "read_picture": "laydown.artwork.reading.read",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'laydown.artwork.reading' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
