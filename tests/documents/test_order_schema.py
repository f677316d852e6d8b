"""The published schema of an order file agrees with the reader."""

import datetime as dt
import tomllib
from functools import cache

import jsonschema
import pytest
from hypothesis import given, settings
from order_strategies import orders
from order_texts import GOOD, spoiled

from laydown.documents.order_entry import OrderEntry
from laydown.documents.order_file import order_text
from laydown.documents.schemas import order_schema
from laydown.documents.template import demo_order_texts
from laydown.domain.order import HAND_CLASSES


@cache
def validator():
    schema = order_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def plain(value):
    """What a TOML reader gives an editor that checks by JSON schema: dates as texts."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [plain(item) for item in value]
    return value.isoformat() if isinstance(value, dt.date) else value


def fits(text):
    return validator().is_valid(plain(tomllib.loads(text)))


@pytest.mark.parametrize("name", sorted(demo_order_texts()))
def test_every_demo_order_follows_the_schema(name):
    validator().validate(plain(tomllib.loads(demo_order_texts()[name])))


@settings(max_examples=30, deadline=None)
@given(order=orders())
def test_every_written_order_follows_the_schema(order):
    validator().validate(plain(tomllib.loads(order_text(order))))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("quantity = 144", "quantity = 0"),
        ("quantity = 144", "quantity = 144.5"),
        ("quantity = 144", 'quantity = "144"'),
        ("quantity = 144", "quantity = 144\nnumber = 1"),
        ("width_mm = 300", "width_mm = 1"),
        ("width_mm = 300", "width_mm = 300\nwidth_in = 12"),
        ("width_mm = 300\n", ""),
        ("mass_gsm = 180", "mass_gsm = 1800"),
        ("mass_gsm = 180", "mass_gsm = { low = 170, high = 190 }"),
        ("mass_gsm = 180", "mass_gsm = 180\nmass_oz_yd2 = 5.3"),
        ("coverage = 0.42", "coverage = 42"),
        ('structure = "jersey"', 'structure = "jersy"'),
        ('colour = "#8c1d2f"', 'colour = "red"'),
        ('colour = "#8c1d2f"', "lab = [1, 2]"),
        ("bleed_days = 30", 'hand = "fluffy"'),
        ("celsius = 50, ", ""),
        ("due = 2026-12-10", "due = 5"),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(old, new):
    assert fits(GOOD)
    assert not fits(spoiled(old, new))


def test_a_quantity_may_be_a_number_or_a_table():
    assert fits(spoiled("mass_gsm = 180", "mass_gsm = { value = 180, pm = 5 }"))
    assert fits(spoiled("mass_gsm = 180", 'mass_gsm = { value = 180, low = 170, high = 190, grade = "published" }'))


def test_the_schema_has_no_null_as_toml_has_none():
    def nulls(part):
        if isinstance(part, dict):
            return part.get("type") == "null" or any(nulls(item) for item in part.values())
        return isinstance(part, list) and any(nulls(item) for item in part)

    assert not nulls(order_schema())


def test_every_key_of_the_schema_says_what_it_is_and_its_unit():
    schema = order_schema()
    for table in [schema, *(table for table in schema["$defs"].values() if "properties" in table)]:
        for key, field in table["properties"].items():
            assert field.get("description") or "$ref" in field, key
            if field.get("unit"):
                assert field["description"].endswith(f"[{field['unit']}]"), key


def test_the_words_for_hand_are_those_of_the_record():
    hand = order_schema()["$defs"]["RequirementsEntry"]["properties"]["hand"]

    assert hand["enum"] == list(HAND_CLASSES)


def test_the_schema_has_every_table_of_an_order():
    assert list(order_schema()["properties"]) == list(OrderEntry.model_fields)
