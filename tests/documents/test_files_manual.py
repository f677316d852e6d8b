"""The manual's page on files lists every key as the models read it."""

import dataclasses
import importlib.util
import re
import tomllib
from pathlib import Path

import pytest

from laydown.documents.garment_file import GarmentEntry
from laydown.documents.key_table import MODELS, RECORDS, key_table
from laydown.documents.order_entry import OrderGarment
from laydown.documents.order_file import order_from_text
from laydown.documents.shop_file import PreferencesEntry
from laydown.documents.shop_folder import SHELF_FILES, read_shop
from laydown.documents.template import copy_template
from laydown.domain.shop import PREFERENCES

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "files.md").read_text(encoding="utf-8")
EXAMPLES = re.compile(r"```toml\n(.*?)```", re.DOTALL)


def tool():
    spec = importlib.util.spec_from_file_location("key_tables", ROOT / "tools" / "docs" / "key_tables.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_tables_of_the_page_are_those_of_the_models():
    # When this fails, run tools/docs/key_tables.py.
    assert tool().renewed(PAGE) == PAGE


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_key_stands_on_the_page_with_its_meaning(model):
    for name, field in model.model_fields.items():
        assert f"| `{field.alias or name}` | {field.description} |" in PAGE


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_key_says_what_it_means(model):
    assert all(field.description and field.description.endswith(".") for field in model.model_fields.values())


@pytest.mark.parametrize("file", [*(file for file, _ in SHELF_FILES), "meshes.csv"])
def test_every_file_has_its_chapter(file):
    assert f"\n## {file}\n" in PAGE
    assert f"| `{file}` |" in PAGE


def test_ranges_units_spreads_and_defaults_are_told():
    table = key_table(GarmentEntry)

    assert "| `mass_gsm` | Cloth mass per area. | quantity, 20 to 1000 g/m²; ± 5 % | – |" in table
    assert "| `size_mm` | Length the garment takes on the dryer belt. | number, 50 to 5000 mm | 750 mm |" in table
    assert "| `size_in` | Length the garment takes on the dryer belt. | number, 2 to 200 in | see `size_mm` |" in table
    assert "`mass_gsm`" not in key_table(OrderGarment, without=GarmentEntry)


def test_the_defaults_on_the_page_are_those_of_the_records():
    for entry, record in RECORDS:
        assert entry in MODELS
        assert dataclasses.is_dataclass(record)


def test_the_words_of_the_preferences_are_those_of_the_record():
    schema = PreferencesEntry.model_json_schema()["properties"]

    assert {name: tuple(field["enum"]) for name, field in schema.items() if "enum" in field} == dict(PREFERENCES)
    assert [name for name, field in schema.items() if "enum" not in field] == ["address"]


@pytest.mark.parametrize("page", ["files.md", "manual/orders.md"])
def test_every_example_is_toml(page):
    examples = EXAMPLES.findall((ROOT / "docs" / page).read_text(encoding="utf-8"))

    assert examples
    for example in examples:
        if example.count("mass_gsm = ") < 3:  # the three ways to write a quantity give one key three times
            tomllib.loads(example)


def test_the_example_of_the_page_on_orders_is_an_order(tmp_path):
    copy_template(tmp_path / "shop")
    text = EXAMPLES.findall((ROOT / "docs" / "manual" / "orders.md").read_text(encoding="utf-8"))[0]

    assert order_from_text(text, read_shop(tmp_path / "shop"), "orders.md").quantity == 144
