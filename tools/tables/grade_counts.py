"""Write the overview of the shipped tables into docs/data.md; run it after a change of tables.

Each table's meaning is its first comment line; the counts are of its numbers, by grade.
"""

from __future__ import annotations

from collections import Counter
from importlib.resources import files
from pathlib import Path

from laydown.data.read import read_table, table_names
from laydown.domain.quantity import Grade

PAGE = Path(__file__).parents[2] / "docs" / "data.md"
BEGIN, END = "<!-- tables: written by tools/tables/grade_counts.py -->", "<!-- end of tables -->"


def overview() -> str:
    """Markdown table of all shipped tables in long form."""
    lines = [
        "| table | what it holds | numbers | " + " | ".join(Grade) + " |",
        "|---|---|" + "---|" * (1 + len(Grade)),
    ]
    for name in table_names():
        text = (files("laydown.data") / "tables" / f"{name}.csv").read_text(encoding="utf-8")
        meaning = text.splitlines()[0].removeprefix("#").strip()
        counts = Counter(number.grade for row in read_table(name).values() for number in row.values())
        cells = [str(counts[grade] or "–") for grade in Grade]
        lines.append(f"| `{name}` | {meaning} | {counts.total()} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def with_overview(page: str) -> str:
    """Put the overview between its marks."""
    before, _, rest = page.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}\n\n{overview()}\n\n{END}{after}"


if __name__ == "__main__":
    PAGE.write_text(with_overview(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
