"""laydown plans a garment screen print before a screen is burned."""

from __future__ import annotations

__version__ = "0.1.0"
