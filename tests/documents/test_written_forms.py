"""Less usual things that a shop can hold are written such that they are read back."""

import dataclasses
import os
from pathlib import Path

import pytest

from laydown import units
from laydown.documents.beside import file_beside
from laydown.documents.garment_file import content_keys
from laydown.documents.mesh_shelf import shipped_meshes
from laydown.documents.order_file import order_from_text, order_text
from laydown.documents.sentences import nearest, place, shown_value
from laydown.documents.shop_folder import read_shop, shop_texts, write_shop
from laydown.documents.template import copy_template
from laydown.documents.toml_file import LARGEST, read_text, toml_from_text
from laydown.domain.fibre import FibreContent
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.screen import Screen
from laydown.errors import InvalidInput


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop") / "demo"
    copy_template(folder)
    return read_shop(folder)


def own_mesh(**changes):
    mesh = shipped_meshes()["43/80"]
    opening = Quantity(value=150e-6, low=140e-6, high=155e-6, grade=Grade.MEASURED, source="our microscope")
    return dataclasses.replace(mesh, opening=opening, basis="tensioned", **changes)


def test_a_mesh_of_ones_own_is_written_with_interval_grade_and_source(shop, tmp_path):
    screens = (Screen(name="a", mesh=own_mesh(name="own")), Screen(name="b", mesh=own_mesh(weave="twill")))
    changed = dataclasses.replace(shop, screens=screens)

    write_shop(changed, tmp_path)

    assert read_shop(tmp_path) == changed
    assert "our microscope" in (tmp_path / "meshes.csv").read_text(encoding="utf-8")


def test_two_meshes_of_one_name_cannot_be_told_apart_and_are_not_written(shop):
    screens = (Screen(name="a", mesh=own_mesh(name="own")), Screen(name="b", mesh=own_mesh(name="own", weave="twill")))

    with pytest.raises(InvalidInput, match="two screens have different meshes named 'own'; names must differ"):
        shop_texts(dataclasses.replace(shop, screens=screens))


def test_a_frame_in_inches_is_written_in_inches_where_millimetres_would_round(shop, tmp_path):
    sides = [units.from_inch(value) for value in (20.1, 23.9)]
    screen = Screen(name="a", mesh=None, frame_width=sides[0], frame_height=sides[1])
    changed = dataclasses.replace(shop, screens=(screen,))

    write_shop(changed, tmp_path)

    assert read_shop(tmp_path) == changed


@pytest.mark.parametrize("thirds", [3, 6, 7])
def test_shares_that_no_label_can_say_exactly_are_written_as_a_table(shop, thirds):
    content = FibreContent(shares=(("cotton", 1 / thirds), ("polyester", 1 - 1 / thirds)))
    order = order_from_text(ORDER, shop, "o.toml")
    order = dataclasses.replace(order, garment=dataclasses.replace(order.garment, content=content))

    assert "fibres" in content_keys(content)
    again = order_from_text(order_text(order), shop, "o.toml").garment.content
    assert again.names == content.names
    assert [share for _, share in again.shares] == pytest.approx([share for _, share in content.shares], rel=1e-15)


def test_shares_that_a_label_says_are_written_as_a_label():
    content = FibreContent(shares=(("cotton", 0.52), ("polyester", 0.48)))

    assert content_keys(content) == {"care_label": "52 % cotton, 48 % polyester"}


ORDER = """
[order]
name = "a"
quantity = 1
due = 2026-12-10
[garment]
reference = "Quayside tee black"
mass_oz_yd2 = 5.3
[[print]]
place = "front"
width_in = 10
height_in = 11
coverage = { white = 0.1 }
[care]
tumble_dry = { fahrenheit = 150, minutes = 45 }
"""


def test_a_shelf_garment_with_another_mass_keeps_everything_else(shop):
    garment = order_from_text(ORDER, shop, "o.toml").garment
    shelved = shop.garment("Quayside tee black")

    assert dataclasses.replace(garment, areal_mass=shelved.areal_mass) == shelved
    assert garment.areal_mass.value == units.from_oz_per_yd2(5.3)
    assert garment.areal_mass.grade is Grade.ASSUMED
    assert garment.areal_mass.source == "o.toml, which names no source"


def test_a_pipe_is_no_file(tmp_path):
    os.mkfifo(tmp_path / "pipe")

    with pytest.raises(InvalidInput, match="this is not an ordinary file; it is for a test"):
        read_text(tmp_path / "pipe", purpose="a test")


def test_a_text_that_is_too_long_is_refused():
    with pytest.raises(InvalidInput, match="the text is longer than 5 MB"):
        toml_from_text("#" * (LARGEST + 1), where="o.toml")


def test_a_file_that_cannot_be_looked_up_is_refused(tmp_path):
    with pytest.raises(InvalidInput, match="cannot be looked up"):
        file_beside("x" * 5000, tmp_path, where="o.toml")


def test_a_folder_that_cannot_be_read_is_left_alone(tmp_path, monkeypatch):
    def closed(_self):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", closed)
    with pytest.raises(InvalidInput, match=r"the folder cannot be read \(Permission denied\)"):
        copy_template(tmp_path)


def test_places_are_told_as_people_count():
    assert place("o.toml", ("print", 1, "width_mm")) == "o.toml, print[2].width_mm"
    assert place("i.toml", ("ink", 0), name="White") == "i.toml, ink[1] (White)"
    assert place("o.toml", ()) == "o.toml"


def test_the_nearest_word_is_offered_by_spelling_and_by_its_stem():
    keys = ("mass_gsm", "mass_oz_yd2", "colour")

    assert nearest("color", keys).startswith("did you mean 'colour'?")
    assert nearest("mass", keys).startswith("did you mean 'mass_gsm'?")
    assert nearest("xyz", keys) == "allowed are mass_gsm, mass_oz_yd2, colour"
    assert nearest("xyz", ("ink",)) == "allowed is ink"


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ({}, "a table"),
        ([], "a list"),
        (True, "true"),
        (1.5, "1.5"),
        (7, "7"),
        ("a", "'a'"),
        ("x" * 100, "'" + "x" * 56 + "..."),
        (10**5000, "a number of thousands of digits"),
    ],
    ids=["table", "list", "truth", "number", "whole number", "text", "long text", "huge number"],
)
def test_values_are_shown_short(value, shown):
    assert shown_value(value) == shown
