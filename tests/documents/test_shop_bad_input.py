"""Every mistake in a shop's folder is told in one sentence: file, key or line, what is wrong, what would be allowed."""

import re
import shutil

import pytest
from shelf_mistakes import CASES
from shelf_texts import GOOD, RULE
from shop_mistakes import CSV_CASES, SHOP_CASES

from laydown.documents.shop_folder import SHELF_FILES, read_shop
from laydown.documents.template import copy_template
from laydown.errors import InvalidInput


@pytest.fixture
def folder(tmp_path):
    copy_template(tmp_path / "shop", with_orders=False)
    return tmp_path / "shop"


def told(folder):
    with pytest.raises(InvalidInput) as caught:
        read_shop(folder)
    sentence = str(caught.value)
    assert "\n" not in sentence
    return sentence


def write(folder, file, text):
    (folder / file).write_text(text, encoding="utf-8")


def test_each_good_entry_is_read(folder):
    for file, text in GOOD.items():
        write(folder, file, text)

    shop = read_shop(folder)

    assert [len(shelf) for kind, shelf in shop.shelves() if kind != "screens"] == [1, 1, 1, 1, 1, 1]


@pytest.mark.parametrize(
    ("file", "old", "new", "pattern"), CASES, ids=[f"{c[0]}:{c[2]}"[:60].replace("\n", " ") for c in CASES]
)
def test_a_mistake_on_a_shelf_is_told_in_one_sentence(folder, file, old, new, pattern):
    text = GOOD[file]
    assert old in text
    write(folder, file, text.replace(old, new, 1))

    assert re.search(pattern, told(folder))


@pytest.mark.parametrize(("old", "new", "pattern"), SHOP_CASES, ids=[new[:40] for _, new, _ in SHOP_CASES])
def test_a_mistake_in_the_shops_own_file_is_told_in_one_sentence(folder, old, new, pattern):
    text = (folder / "shop.toml").read_text(encoding="utf-8")
    assert old in text
    write(folder, "shop.toml", text.replace(old, new, 1))

    assert re.search(pattern, told(folder))


@pytest.mark.parametrize(
    ("file", "text", "pattern"), CSV_CASES, ids=[f"{c[0]}:{c[1]}"[:60].replace("\n", " ") for c in CSV_CASES]
)
def test_a_mistake_in_a_csv_shelf_is_told_with_its_line(folder, file, text, pattern):
    write(folder, file, text)

    assert re.search(pattern, told(folder))


@pytest.mark.parametrize(("file", "purpose"), SHELF_FILES)
def test_a_missing_file_is_told_with_what_it_is_for(folder, file, purpose):
    (folder / file).unlink()

    assert told(folder) == f"{folder / file}: there is no such file; it is for {purpose}"


@pytest.mark.parametrize("file", [file for file, _ in SHELF_FILES] + ["meshes.csv"])
def test_a_file_that_is_not_utf_8_is_told_with_its_line(folder, file):
    (folder / file).write_bytes(b"# a\n# \xe4\n")

    assert re.search(rf"{file}, line 2: the text is not UTF-8 \(byte 6 of the file is 0xe4\)", told(folder))


def test_empty_shelves_are_allowed(folder):
    for file in ("garments.toml", "inks.toml", "presses.toml", "dryers.toml", "rules.toml"):
        write(folder, file, "")
    write(folder, "screens.csv", "name,mesh\n")
    (folder / "meshes.csv").unlink()
    shutil.rmtree(folder / "protocols")

    shop = read_shop(folder)

    assert all(not shelf for _, shelf in shop.shelves())


def test_a_missing_folder_says_how_to_make_one(tmp_path):
    assert told(tmp_path / "nowhere").endswith(
        "nowhere: there is no such folder; 'laydown init' makes one to start from"
    )


def test_a_file_is_no_shop(tmp_path):
    (tmp_path / "shop").write_text("")

    assert "this is a file, but a shop is a folder" in told(tmp_path / "shop")


def test_a_folder_name_that_no_system_has_is_refused(tmp_path):
    assert "cannot be looked up" in told(tmp_path / ("x" * 5000))


def test_a_mesh_of_ones_own_is_used_before_the_shipped_one(folder):
    head = "name,count_per_cm,thread_um,opening_um,thickness_um,volume_cm3_m2,grade,source\n"
    write(folder, "meshes.csv", head + "43/80,43,80,150,130,54,maker's sheet,sheet of 2026\n")

    mesh = next(screen.mesh for screen in read_shop(folder).screens if screen.mesh and screen.mesh.name == "43/80")

    assert mesh.opening.value == pytest.approx(150e-6, rel=1e-12)
    assert (mesh.opening.grade, mesh.opening.source) == ("maker's sheet", "sheet of 2026")


def test_a_rule_remembers_its_file_and_place(folder):
    write(folder, "rules.toml", RULE + RULE.replace("no reducer", "none again"))

    assert [rule.where for rule in read_shop(folder).rules] == ["rules.toml, rule[1]", "rules.toml, rule[2]"]
