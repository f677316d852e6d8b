"""docs/data.md must stay true."""

import importlib.util
from pathlib import Path

ROOT = Path(__file__).parents[2]


def load_tool():
    spec = importlib.util.spec_from_file_location("grade_counts", ROOT / "tools" / "tables" / "grade_counts.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool


def test_the_page_names_every_shipped_table():
    page = (ROOT / "docs" / "data.md").read_text(encoding="utf-8")

    for table in (ROOT / "src" / "laydown" / "data").rglob("tables/*.csv"):
        assert f"`{table.stem}`" in page, table.name
    for table in (ROOT / "src" / "laydown" / "data").glob("*.csv"):
        assert f"`{table.name}`" in page, table.name


def test_meanings_and_grade_counts_on_the_page_are_those_of_the_tables():
    tool = load_tool()
    page = tool.PAGE.read_text(encoding="utf-8")

    assert tool.with_overview(page) == page, "run python tools/tables/grade_counts.py"
