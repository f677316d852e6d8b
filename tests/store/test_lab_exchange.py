"""The lab goes out of the store and into another without loss; what is there already is never changed."""

import json
from dataclasses import replace

import pytest
from everything import all_rows, fill
from sqlalchemy import select

from laydown.documents.shop_folder import read_shop
from laydown.domain.quantity import Grade, Quantity
from laydown.errors import InvalidInput
from laydown.store import readings, swatches
from laydown.store import schema as tables
from laydown.store.database import open_store
from laydown.store.lab_exchange import DOCUMENTS, LAB_FILE
from laydown.store.shop_exchange import export_files, export_folder, import_folder, load_shop

LAB = ("swatch_steps", "readings", "findings", "measures")


@pytest.fixture
def filled(store, demo_folder):
    fill(store, demo_folder)
    return store


@pytest.fixture
def folder(filled, tmp_path):
    with filled.read() as tx:
        export_folder(tx, tmp_path / "out")
    return tmp_path / "out"


def test_the_lab_comes_out_as_it_went_in(filled, folder, tmp_path):
    with open_store(str(tmp_path / "other" / "laydown.sqlite")) as other:
        with other.write(who="ben") as tx:
            import_folder(tx, folder)
        before, after = all_rows(filled), all_rows(other)
        for name in LAB:
            assert after[name] == before[name]
        with other.read() as there, filled.read() as here:
            (mine,), (theirs,) = swatches.find(there), swatches.find(here)
            # The order is another store's, so it is not named here.
            assert (mine.swatch.order, mine.swatch.plan) == (None, None)
            assert mine.swatch.stack == theirs.swatch.stack
            assert mine.protocol == theirs.protocol
            assert (mine.started_at, mine.started_by) == (theirs.started_at, theirs.started_by)
            assert load_shop(there).findings == load_shop(here).findings
            # A second time round nothing differs any more.
            again = export_files(there)
            assert again.keys() == export_files(here).keys()
        with other.write(who="ben") as tx:
            import_folder(tx, folder)
        assert all_rows(other, without=("change_log",)) == {k: v for k, v in after.items() if k != "change_log"}


def test_the_area_and_the_film_of_a_swatch_come_along(filled, tmp_path):
    film = Quantity(value=3e-5, low=2.8e-5, high=3.3e-5, grade=Grade.MEASURED, source="film gauge")
    with filled.write(who="ben") as tx:
        (kept,) = swatches.find(tx)
        swatches.change(tx, replace(kept.swatch, inked_area=0.0123, film_thickness=film), revision=kept.revision)
        export_folder(tx, tmp_path / "measured")

    with open_store(str(tmp_path / "third" / "laydown.sqlite")) as other, other.write(who="ben") as tx:
        import_folder(tx, tmp_path / "measured")
        (there,) = swatches.find(tx)

    assert (there.swatch.inked_area, there.swatch.film_thickness) == (0.0123, film)


def test_a_folder_is_read_with_what_its_tests_say(filled, folder):
    with filled.read() as tx:
        assert read_shop(folder) == load_shop(tx)
    assert read_shop(folder).findings


def test_numbers_that_are_taken_are_given_anew_and_new_ones_go_on(filled, folder):
    text = json.loads((folder / LAB_FILE).read_text(encoding="utf-8"))
    (one,) = text["swatches"]
    one["key"] = "another-key"
    for row in (*one["steps"], *one["readings"]):
        row["key"] += "-other"
        if row.get("corrects"):
            row["corrects"] += "-other"
    text["findings"] = text["measures"] = []
    (folder / LAB_FILE).write_text(json.dumps(text), encoding="utf-8")
    with filled.write(who="ben") as tx:
        import_folder(tx, folder)
        found = swatches.find(tx)
        assert [row.number for row in found] == [2, 1]
        assert found[0].swatch.order == 1
        rows = readings.of_swatch(tx, 2)
        assert [row.reading.corrects for row in rows] == [None, 5, None, None]
    with filled.write(who="ben") as tx:
        made, _ = swatches.add(tx, found[0].swatch, protocol=found[0].protocol, key="the-next-one")
        assert made.number == 3


def test_a_photo_goes_along(filled, folder):
    with filled.read() as tx:
        sha = tx.run(select(tables.readings.c.file_sha256).where(tables.readings.c.file_sha256.is_not(None))).scalar()
    assert (folder / DOCUMENTS / f"{sha}.bin").read_bytes() == b"\x89PNG photo"


@pytest.mark.parametrize(
    ("change", "pattern"),
    [
        (lambda text: text.replace('"version": 1', '"version": 7'), "version 7 is unknown"),
        (lambda text: text[: len(text) // 2], "describes no lab"),
        (lambda text: text.replace('"warm half"', "17"), "swatches.json"),
        (lambda text: text.replace('"grade": 4.5', '"grade": 4.2'), "no grade"),
        (lambda text: text.replace('"state": "made"', '"state": "eaten"'), "describes no lab"),
        (lambda text: text.replace("+00:00", ""), "time ?zone"),
    ],
)
def test_a_lab_that_cannot_be_read_is_told_and_nothing_is_kept(folder, tmp_path, change, pattern):
    text = (folder / LAB_FILE).read_text(encoding="utf-8")
    assert change(text) != text
    (folder / LAB_FILE).write_text(change(text), encoding="utf-8")
    with open_store(str(tmp_path / "other" / "laydown.sqlite")) as other:
        with pytest.raises(InvalidInput, match=pattern), other.write(who="ben") as tx:
            import_folder(tx, folder)
        assert all_rows(other)["swatches"] == []
        assert all_rows(other)["shelf_items"] == []
