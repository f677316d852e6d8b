"""``laydown probe``: from a logger's file to a dryer that plans use."""

import os
import sys
from pathlib import Path

import numpy as np
import pytest
from calls import call

from laydown.services.opening import current_shop, open_database, start_demo
from laydown.services.shelves import init_shop, open_shop

sys.path.append(str(Path(__file__).parents[1] / "lab"))
from synthetic_flash import UNITS, draw_flash, flash_log
from synthetic_probe import SHOP, as_csv, draw, written_log

KILN = "Kiln Lane gas"


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    rng = np.random.default_rng(5)
    made, _ = written_log(SHOP.dryers[0], draw(SHOP.dryers[0], rng), rng)
    file = tmp_path_factory.mktemp("logs") / "kiln.csv"
    file.write_bytes(as_csv(made))
    # The day of a run is that of its file.
    os.utime(file, (1_764_072_000, 1_764_072_000))
    return file


def test_look_says_what_is_understood_without_a_shop(log):
    told = call("probe", "look", str(log))

    assert told.status == 0
    assert "columns parted by semicolons, decimal comma" in told.out
    assert "column 2, 'T1 left': left, on the print" in told.out


def test_read_tells_peaks_lanes_and_belt(log):
    told = call("probe", "read", str(log), "--dryer", KILN)

    assert told.status == 0
    assert "Nothing speaks against this log." in told.out
    assert "The belt ran at " in told.out
    assert "in the tunnel, by the bends of the curve." in " ".join(told.out.split())


def test_a_fitted_dryer_is_written_and_read_back_by_the_shop(log, tmp_path):
    shop = init_shop(tmp_path / "shop")
    out_file = Path(shop) / "dryers.toml"
    arguments = (
        "probe",
        "fit",
        str(log),
        "--dryer",
        KILN,
        "--film-um",
        "100",
        "--shop",
        str(shop),
        "--out",
        str(out_file),
    )
    told = call(*arguments)

    assert told.status == 0
    assert "Panel exchange of zone 1" in told.out
    fitted = open_shop(shop).dryer(KILN)
    assert fitted.zones[0].exchange.source == "fitted to kiln.csv of 2025-11-25"
    assert fitted.zones[0].exchange != SHOP.dryer(KILN).zones[0].exchange
    assert [one.name for one in open_shop(shop).dryers] == [one.name for one in SHOP.dryers]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("look", "nothing.csv"), "the file cannot be read"),
        (("read", "LOG"), "say which dryer; on the shelf: 'Kiln Lane gas', 'Potting Shed electric'"),
        (("read", "LOG", "--dryer", "Kiln"), "there is no dryer or flash unit named 'Kiln'"),
        (("fit", "LOG", "--dryer", KILN, "--panel-c", "300", "--panel-c", "310"), "2 values for 1 files"),
    ],
)
def test_a_mistake_is_one_sentence(log, arguments, words):
    told = call("probe", *(str(log) if one == "LOG" else one for one in arguments))

    assert told.status == 2
    assert words in told.err
    assert told.err.count("\n") == 1


def test_a_log_is_kept_and_put_to_use_in_the_database_and_checks_are_charted(log, tmp_path, monkeypatch):
    monkeypatch.setenv("LAYDOWN_DATABASE", f"sqlite:///{tmp_path / 'shop.sqlite'}")
    with open_database(f"sqlite:///{tmp_path / 'shop.sqlite'}") as store:
        start_demo(store, who="tests")
    keep = (
        "probe",
        "keep",
        str(log),
        "--dryer",
        KILN,
        "--garment",
        "Quayside tee black",
        "--panel-c",
        "330",
        "--film-um",
        "100",
        "--date",
        "2026-11-25",
    )
    assert call(*keep).out == "log 1 of Kiln Lane gas\n"
    assert call(*keep).out == "log 1 of Kiln Lane gas was kept before\n"
    assert "kiln.csv, panel 330 °C, belt not noted" in call("probe", "logs", "--dryer", KILN).out
    told = call("probe", "use", "--dryer", KILN, "--yes")
    assert told.status == 0
    assert "Kiln Lane gas on the shelf is the fitted one now" in told.out
    with open_database(f"sqlite:///{tmp_path / 'shop.sqlite'}") as store:
        dryer = current_shop(store).dryer(KILN)
    assert dryer.zones[0].air_coefficient.source == "fitted to kiln.csv of 2026-11-25"

    for value in (160, 161, 159, 160, 160.5, 161, 160, 159.5):
        assert call("probe", "check", KILN, "peak", str(value)).status == 0
    told = call("probe", "check", KILN, "peak", "171")
    assert "The peak under the print lay above its limit on one check." in told.out
    assert call("probe", "check", KILN, "smoke", "1").status == 2


def test_a_flash_unit_is_fitted_from_its_file_and_in_the_database(tmp_path, monkeypatch):
    name, rng = "Sandpiper panel flash", np.random.default_rng(4)
    file = tmp_path / "flash.csv"
    file.write_bytes(as_csv(flash_log(UNITS[name], draw_flash(UNITS[name], rng), rng)))
    shop = init_shop(tmp_path / "shop")
    out_file = Path(shop) / "presses.toml"
    options = ("--dryer", name, "--film-um", "100", "--flash-s", "12")
    assert "Above 110 °C" in call("probe", "read", str(file), *options[:2], "--shop", str(shop)).out
    told = call("probe", "fit", str(file), *options, "--shop", str(shop), "--out", str(out_file))
    assert told.status == 0, told.err
    assert "Radiant exchange" in told.out
    units = {unit.name: unit for press in open_shop(shop).presses for unit in press.flashes}
    assert units[name].exchange.source.startswith("fitted to flash.csv of ")
    assert [other for other in units if units[other] != UNITS[other]] == [name]

    monkeypatch.setenv("LAYDOWN_DATABASE", f"sqlite:///{tmp_path / 'shop.sqlite'}")
    with open_database(f"sqlite:///{tmp_path / 'shop.sqlite'}") as store:
        start_demo(store, who="tests")
    garment = ("--garment", "Quayside tee black", "--date", "2026-11-25")
    assert call("probe", "keep", str(file), *options, *garment).out == f"log 1 of {name}\n"
    assert "flashed 12 s, on Quayside tee black" in call("probe", "logs", "--dryer", name).out
    assert f"{name} on the shelf is the fitted one now" in call("probe", "use", "--dryer", name, "--yes").out
    wrong = call("probe", "keep", str(file), "--dryer", KILN, *options[4:], *garment, "--panel-c", "330")
    assert (wrong.status, wrong.err.count("\n")) == (2, 1)
    assert "is a dryer, which does not flash" in wrong.err
