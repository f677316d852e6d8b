"""A plan's JSON: the published schema, every field of the plan, people's units, the same text twice."""

import dataclasses
import json
import math

import jsonschema
import pytest
from plan_records import changed_plans, full_plan

from laydown.documents.plan_document import plan_document, plan_to_json
from laydown.documents.schemas import plan_schema
from laydown.domain.forecast import Forecast
from laydown.domain.plan import PrintPlan

PLAN = full_plan()
DOCUMENT = json.loads(plan_to_json(PLAN))
FIRST = DOCUMENT["prints"][0]


def validator():
    schema = plan_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())


def test_a_full_plan_follows_the_schema():
    validator().validate(DOCUMENT)


def test_a_plan_without_a_stack_follows_the_schema():
    empty = dataclasses.replace(
        PLAN.prints[0], stack=None, settings=None, forecast=None, production=None, cost=None, alternatives=()
    )
    plan = dataclasses.replace(PLAN, prints=(empty,), cost=None)
    document = json.loads(plan_to_json(plan))

    validator().validate(document)
    assert document["complete"] is False
    assert document["prints"][0]["choice"] is None


@pytest.mark.parametrize("key", ["order", "prints", "cost", "tests", "decisive", "cautions", "assumptions", "meta"])
def test_the_schema_refuses_a_document_without_a_key(key):
    document = {name: value for name, value in DOCUMENT.items() if name != key}

    assert not validator().is_valid(document)


def test_the_schema_refuses_a_key_that_is_not_in_it():
    assert not validator().is_valid(DOCUMENT | {"more": 1})


def test_every_table_and_key_of_the_schema_says_what_it_is():
    schema = plan_schema()
    tables = [schema, *schema["$defs"].values()]

    for table in tables:
        assert table["title"]
        assert table["description"]
        for key, field in table["properties"].items():
            # Where the words would be the same, they stand at the table that is referred to.
            assert field.get("description") or "$ref" in field, key


def test_a_key_with_a_unit_tells_it_in_its_description():
    units = {"_um": "[µm]", "_c": "[°C]", "_s": "[s]", "_mm": "[mm]", "_gsm": "[g/m²]", "_h": " [h]", "_g": "[g]"}
    for table in plan_schema()["$defs"].values():
        for key, field in table["properties"].items():
            ending = next((end for end in units if key.endswith(end) and not key.endswith("per_h")), None)
            if ending:
                assert units[ending].strip() in field["description"], key


@pytest.mark.parametrize("record", [PrintPlan, Forecast])
def test_the_plan_under_test_fills_every_field(record):
    one = PLAN.prints[0] if record is PrintPlan else PLAN.prints[0].forecast

    assert all(getattr(one, field.name) not in (None, ()) for field in dataclasses.fields(record))


def test_every_field_of_the_plan_is_in_the_json():
    text = plan_to_json(PLAN)
    tried, silent = 0, []
    for path, plan in changed_plans(PLAN):
        tried += 1
        if plan_to_json(plan) == text:
            silent.append(path)

    assert tried > 500
    assert silent == []


def test_numbers_are_in_the_unit_of_their_key():
    settings, record = FIRST["settings"]["dryer"], PLAN.prints[0].settings.dryer
    forecast, expected = FIRST["forecast"], PLAN.prints[0].forecast

    assert settings["panel_temperature_c"] == pytest.approx(record.panel_temperature - 273.15)
    assert settings["belt_m_per_min"] == pytest.approx(record.belt_speed * 60)
    assert forecast["film_um"]["p50"] == pytest.approx(expected.film.p50 * 1e6)
    assert forecast["hand"]["film_areal_mass_gsm"]["p90"] == pytest.approx(expected.hand.film_areal_mass.p90 * 1e3)
    assert forecast["cure"]["margin_k"]["p10"] == pytest.approx(expected.cure.margin.p10)
    assert forecast["stretch"]["cloth_percent"]["p50"] == pytest.approx(expected.stretch.cloth.p50 * 100)
    assert FIRST["production"]["pieces_per_h"] == pytest.approx(PLAN.prints[0].production.rate * 3600)
    assert FIRST["production"]["inks"][0]["per_piece_g"] == pytest.approx(
        PLAN.prints[0].production.inks[0].per_piece * 1e3
    )
    assert DOCUMENT["order"]["garment"]["areal_mass_gsm"]["value"] == 180
    assert DOCUMENT["order"]["prints"][0]["lpi"] == pytest.approx(1800 * 0.0254)


def test_the_same_plan_gives_the_same_text():
    assert plan_to_json(full_plan()) == plan_to_json(PLAN)


def test_the_keys_stand_in_the_schemas_order():
    assert list(DOCUMENT) == list(plan_schema()["properties"])
    assert list(FIRST) == list(plan_schema()["$defs"]["PrintPlanDocument"]["properties"])


def test_the_text_is_utf_8_json_that_ends_with_a_line_break():
    text = plan_to_json(dataclasses.replace(PLAN, decisive="Bluten – 4 µm"))

    assert text.endswith("}\n")
    assert "Bluten – 4 µm" in text


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_a_number_that_is_not_finite_never_reaches_the_json(number):
    broken = dataclasses.replace(PLAN.prints[0], confidence=number)

    with pytest.raises(ValueError, match=r"finite|less than or equal"):
        plan_to_json(dataclasses.replace(PLAN, prints=(broken,)))


def test_conversion_dust_is_cut_off():
    plan = dataclasses.replace(PLAN, prints=())
    document = plan_document(plan)

    assert document.order.prints[0].width_mm == 300
    assert document.order.care.transit is not None
    assert document.order.care.transit.temperature_c == 49.85
