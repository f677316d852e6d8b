"""CSV shelves: columns, quantities in several columns, texts that CSV finds hard."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shop_strategies import CELL

from laydown.documents.csv_file import csv_text, read_csv
from laydown.documents.screen_file import MeshEntry, ScreenEntry
from laydown.errors import InvalidInput


def read(tmp_path, text, model=ScreenEntry):
    path = tmp_path / "shelf.csv"
    path.write_text(text, encoding="utf-8")
    return read_csv(path, model, purpose="a test")


def test_comments_and_empty_lines_are_passed_over_and_lines_are_counted(tmp_path):
    rows = read(tmp_path, "# head\n\nname,mesh,eom_um\n# between\na,43/80,20\n\nb,closed,\n")

    assert rows == [
        (f"{tmp_path / 'shelf.csv'}, line 5", {"name": "a", "mesh": "43/80", "eom_um": 20}),
        (f"{tmp_path / 'shelf.csv'}, line 7", {"name": "b", "mesh": "closed"}),
    ]


def test_a_number_in_a_column_of_texts_stays_a_text(tmp_path):
    assert read(tmp_path, "name,mesh\n110,43/80\n")[0][1]["name"] == "110"


def test_a_quantity_takes_its_interval_and_origin_from_columns_beside_it(tmp_path):
    head = "name,opening_um,opening_um.low,opening_um.high,opening_um.grade,thickness_um\n"
    table = read(tmp_path, head + "m,149,140,158,maker's sheet,135\nn,149,,,,135\n", MeshEntry)

    assert table[0][1]["opening_um"] == {"value": 149, "low": 140, "high": 158, "grade": "maker's sheet"}
    assert table[0][1]["thickness_um"] == 135
    assert table[1][1]["opening_um"] == 149


@given(names=st.lists(CELL, max_size=4))
def test_texts_are_read_back(names, tmp_path_factory):
    path = tmp_path_factory.getbasetemp() / "texts.csv"
    path.write_text(csv_text([{"name": name} for name in names], ScreenEntry, comment="c"), encoding="utf-8")

    assert [table["name"] for _, table in read_csv(path, ScreenEntry, purpose="")] == names


@pytest.mark.parametrize("name", ["#1", "two\nlines", " blank", "blank ", "next\x85line", "\u2028"])
def test_a_text_that_would_be_read_as_something_else_is_not_written(name):
    with pytest.raises(InvalidInput, match="cannot stand in a CSV file"):
        csv_text([{"name": name}], ScreenEntry, comment="c")


def test_an_empty_shelf_is_written_with_its_head():
    assert csv_text([], ScreenEntry, comment="Screens.").splitlines()[1].startswith("name,mesh,eom_um,tension_n_per_cm")
