"""Reading the outside values of tests/reference/."""

from __future__ import annotations

import csv
from pathlib import Path

REFERENCE = Path(__file__).parent / "reference"


def reference_rows(name: str) -> list[dict[str, str]]:
    """Rows of one table of outside values, comment lines left out."""
    with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
