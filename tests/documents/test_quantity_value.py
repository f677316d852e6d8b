"""The forms of a quantity in a file: number, plus or minus, interval; several units; whose grade and source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from order_texts import spoiled
from pydantic import ValidationError

from laydown import units
from laydown.documents.entry import groups, key_facts
from laydown.documents.garment_file import GarmentEntry
from laydown.documents.ink_file import InkEntry
from laydown.documents.order_file import order_from_text
from laydown.documents.quantity_value import Origin, QuantityTable, common_origin, make_quantity, quantity_table
from laydown.documents.shop_folder import read_shop
from laydown.documents.template import copy_template
from laydown.documents.unit_keys import FILE_UNITS, file_unit
from laydown.domain.quantity import Grade, Quantity

ORIGIN = Origin(grade=Grade.MAKER, source="a sheet")
MASS = key_facts(GarmentEntry.model_fields["mass_gsm"])
FUSION = key_facts(InkEntry.model_fields["fusion_c"])
CONTRAST = key_facts(InkEntry.model_fields["contrast_ratio"])


def made(facts, **table):
    return make_quantity(QuantityTable.model_validate(table), facts, ORIGIN)


def test_a_plain_number_takes_the_spread_of_its_key_and_the_origin_of_its_entry():
    quantity = made(MASS, value=180)

    assert (quantity.value, quantity.low, quantity.high) == pytest.approx((0.180, 0.171, 0.189))
    assert (quantity.grade, quantity.source) == (Grade.MAKER, "a sheet")


def test_a_temperature_has_a_spread_in_degrees_not_in_parts():
    quantity = made(FUSION, value=160)

    assert (quantity.low, quantity.value, quantity.high) == pytest.approx((430.15, 433.15, 436.15))


def test_plus_or_minus_is_a_difference_also_in_fahrenheit():
    quantity = made(key_facts(InkEntry.model_fields["fusion_f"]), value=320, pm=9)

    assert (quantity.low, quantity.value, quantity.high) == pytest.approx((428.15, 433.15, 438.15))


def test_an_interval_is_taken_as_it_stands():
    quantity = made(MASS, value=180, low=175, high=200)

    assert (quantity.low, quantity.high) == pytest.approx((0.175, 0.200))


def test_a_number_may_have_a_grade_and_source_of_its_own():
    quantity = made(MASS, value=180, grade="measured here", source="our scale")

    assert (quantity.grade, quantity.source) == (Grade.MEASURED, "our scale")


def test_a_spread_that_nobody_wrote_stays_within_what_the_key_allows():
    quantity = made(CONTRAST, value=0.99)

    assert quantity.high == 0.995
    assert quantity.low == pytest.approx(0.99 * 0.96)


@given(value=st.floats(20, 1000), pm=st.floats(0, 500))
def test_every_quantity_contains_its_value(value, pm):
    for table in ({"value": value}, {"value": value, "pm": pm}):
        quantity = made(MASS, **table)
        assert quantity.low <= quantity.value <= quantity.high


def test_a_quantity_with_the_spread_of_its_key_is_written_as_a_plain_number():
    assert quantity_table(made(MASS, value=180), MASS, ORIGIN) == (180, True)


def test_another_spread_or_origin_is_written_out():
    assert quantity_table(made(MASS, value=180, pm=2), MASS, ORIGIN) == (
        {"value": 180, "low": 178, "high": 182},
        True,
    )
    assert quantity_table(made(MASS, value=180), MASS, None)[0] == {
        "value": 180,
        "low": 171,
        "high": 189,
        "grade": "maker's sheet",
        "source": "a sheet",
    }


def test_a_table_refuses_a_key_that_it_does_not_know():
    with pytest.raises(ValidationError, match="extra"):
        QuantityTable.model_validate({"value": 1, "unit": "mm"})


def test_the_common_origin_is_the_most_frequent_one_and_the_first_of_equals():
    one, two = (Quantity.exact(1.0, grade, "s") for grade in (Grade.MEASURED, Grade.MAKER))

    assert common_origin([None, one, two, two]) == Origin(grade=Grade.MAKER, source="s")
    assert common_origin([one, two]) == Origin(grade=Grade.MEASURED, source="s")
    assert common_origin([None]) is None


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop") / "demo"
    copy_template(folder)
    return read_shop(folder)


@pytest.mark.parametrize(
    ("old", "new", "of"),
    [
        ("mass_gsm = 180", "mass_oz_yd2 = 5.3088343", lambda o: o.garment.areal_mass.value),
        ("width_mm = 300", "width_in = 11.811023622", lambda o: o.prints[0].width),
        ("celsius = 50", "fahrenheit = 122", lambda o: o.care.transit.temperature),
        ("hours = 24", "days = 1", lambda o: o.care.transit.duration),
        ("hours = 24", "minutes = 1440", lambda o: o.care.transit.duration),
        ("coverage = 0.42", "coverage = { white = 0.42 }", lambda o: o.prints[0].inks),
        ("due = 2026-12-10", 'due = "2026-12-10"', lambda o: o.due),
        (
            'care_label = "50% cotton 50% polyester"',
            "fibres = { cotton = 50, polyester = 50 }",
            lambda o: o.garment.content,
        ),
    ],
)
def test_another_unit_or_form_gives_the_same_order(shop, old, new, of):
    base = order_from_text(spoiled(old, old), shop, "o.toml")
    other = order_from_text(spoiled(old, new), shop, "o.toml")

    value, expected = of(other), of(base)
    assert value == (pytest.approx(expected, rel=1e-6) if isinstance(expected, float) else expected)


def test_every_unit_of_a_group_has_the_same_range_within_a_few_per_cent():
    # The limits are rounded to readable numbers in each unit; they must not differ by more than that.
    for model in (GarmentEntry, InkEntry):
        for keys in groups(model).values():
            facts = [key_facts(model.model_fields[key]) for key in keys]
            highs = [file_unit(fact["unit"]).to_si(fact["maximum"]) for fact in facts]
            assert highs == pytest.approx([highs[0]] * len(highs), rel=0.03), keys


def test_every_spread_of_a_group_is_the_same_within_a_few_per_cent():
    for keys in groups(InkEntry).values():
        facts = [key_facts(InkEntry.model_fields[key]) for key in keys]
        widths = [
            file_unit(fact["unit"]).to_si(100 + fact["spread"]) - file_unit(fact["unit"]).to_si(100)
            for fact in facts
            if "spread" in fact and "spread_is" not in fact
        ]
        assert widths == pytest.approx([widths[0]] * len(widths) if widths else [], rel=0.08), keys


@given(unit=st.sampled_from(FILE_UNITS), number=st.floats(-1e6, 1e6))
def test_every_unit_converts_there_and_back(unit, number):
    assert unit.from_si(unit.to_si(number)) == pytest.approx(number, rel=1e-12, abs=1e-9)


def test_the_units_of_files_are_those_of_the_one_table_of_conversions():
    assert file_unit("°F").to_si(212.0) == units.from_fahrenheit(212.0)
    assert file_unit("oz/yd²").to_si(5.3) == units.from_oz_per_yd2(5.3)
