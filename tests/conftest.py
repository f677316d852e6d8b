"""Shared by all tests: reading the outside values of tests/reference/."""

from __future__ import annotations

import csv
from pathlib import Path

from hypothesis import settings

# How long one example takes says more about what else the machine does than about the code.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

REFERENCE = Path(__file__).parent / "reference"


def reference_rows(name: str) -> list[dict[str, str]]:
    """Rows of one table of outside values, comment lines left out."""
    with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
