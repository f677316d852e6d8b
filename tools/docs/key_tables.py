"""Write the tables of keys in docs/files.md anew from the models that read the files.

Run as ``.venv/bin/python tools/docs/key_tables.py``. A test fails when the page and the models disagree.
"""

from __future__ import annotations

import re
from pathlib import Path

from laydown.documents.garment_file import GarmentEntry
from laydown.documents.key_table import MODELS, key_table
from laydown.documents.order_entry import OrderGarment

PAGE = Path(__file__).parents[2] / "docs" / "files.md"


def renewed(page: str) -> str:
    """Page with the table between each pair of marks replaced by that of the model the mark names."""
    for model in MODELS:
        without = GarmentEntry if model is OrderGarment else None
        mark = f"<!-- keys: {model.__name__} -->"
        pattern = re.compile(rf"{mark}\n.*?<!-- end -->", re.DOTALL)
        table = f"{mark}\n{key_table(model, without=without)}<!-- end -->"
        if len(pattern.findall(page)) != 1:
            raise SystemExit(f"the mark {mark} must stand in {PAGE} once")
        page = pattern.sub(lambda _, table=table: table, page)
    return page


if __name__ == "__main__":
    PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
