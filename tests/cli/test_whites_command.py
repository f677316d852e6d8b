"""``laydown whites``: which inks to own for a folder of orders."""

import shutil

import pytest
from calls import ORDERS, call


@pytest.mark.slow
def test_a_season_of_cotton_and_nylon_needs_a_white_for_each(tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    for key in ("01-gig-night-black-tees", "09-street-hockey-nylon-mesh"):
        shutil.copy(ORDERS / f"{key}.toml", tmp_path)

    called = call("whites", str(tmp_path))

    assert called.status == 0, called.err
    first = called.out.splitlines()[0]
    assert first.startswith("Own: ")
    assert "Rigging Nylon White" in first
    line = next(line for line in called.out.splitlines() if line.startswith("Rigging Nylon White"))
    assert "forced by Street hockey jerseys" in line


def test_a_folder_without_orders_is_told(tmp_path):
    called = call("whites", str(tmp_path))

    assert (called.status, called.out) == (2, "")
    assert "the folder holds no order file (*.toml)" in called.err
