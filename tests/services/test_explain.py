"""Every number of a plan can be traced to a model, a page of the manual and the inputs behind it."""

import json
from pathlib import Path

import pytest

from laydown.documents.plan_document import plan_document
from laydown.documents.plan_numbers import plan_numbers
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput
from laydown.planning.provenance import origin_of
from laydown.services.explain import explain_number
from laydown.services.schemas import plan_json
from planned import COTTON, POLYESTER, TWO_PRINTS, invented_shop, planned

ROOT = Path(__file__).parents[2]


def explained(key, path):
    return explain_number(invented_shop(), planned(key), path)


def leaves(part, path=""):
    """Numbers of a JSON document by path, found without any help from laydown."""
    if isinstance(part, dict):
        for key, value in part.items():
            yield from leaves(value, f"{path}.{key}" if path else key)
    elif isinstance(part, list):
        for n, value in enumerate(part):
            yield from leaves(value, f"{path}[{n}]")
    elif isinstance(part, int | float) and not isinstance(part, bool):
        yield path, part


@pytest.mark.parametrize("key", [COTTON, POLYESTER, TWO_PRINTS])
def test_the_numbers_by_path_are_those_of_the_json(key):
    plan = planned(key)

    found = {number.path: number.value for number in plan_numbers(plan_document(plan))}

    assert found == dict(leaves(json.loads(plan_json(plan))))
    assert len(found) > 300


@pytest.mark.parametrize("key", [COTTON, POLYESTER, TWO_PRINTS])
def test_every_number_has_an_origin_with_model_note_and_an_existing_page(key):
    plan = planned(key)

    for number in plan_numbers(plan_document(plan)):
        origin = origin_of(number.path, plan.provenance)
        assert origin is not None, number.path
        assert origin.model, number.path
        assert origin.range_note, number.path
        assert (ROOT / origin.page).is_file(), f"{number.path}: {origin.page}"


def test_every_number_has_a_meaning():
    for number in plan_numbers(plan_document(planned(POLYESTER))):
        assert number.meaning.strip(), number.path


def test_every_computed_forecast_rests_on_inputs():
    plan = planned(POLYESTER)

    for origin in plan.provenance:
        if origin.path.startswith("prints[].forecast"):
            assert origin.inputs, origin.path


def test_inputs_of_the_bleed_are_told_with_grade_and_source():
    found = explained(POLYESTER, "forecast.bleed.days[5].difference.p50")

    assert found.path == "prints[0].forecast.bleed.days[5].difference_de.p50"
    assert (found.model, found.page) == ("bleed", "docs/physics/bleed.md")
    names = {one.path for one in found.inputs}
    assert {"bleed.diffusivity", "bleed.release", "laydown.transfer"} <= names
    for one in found.inputs:
        assert one.input.shown
        assert one.input.quantity.grade in Grade
        assert one.input.quantity.source


def test_a_number_from_a_shipped_table_names_the_publication():
    found = explained(COTTON, "forecast.opacity.difference_de.p50")

    published = [one for one in found.inputs if one.input.quantity.grade is Grade.PUBLISHED]
    assert any(one.citation for one in published)


def test_the_value_is_the_one_in_the_json():
    found = explained(COTTON, "prints[0].cost.order")

    (number,) = found.numbers
    assert number.value == json.loads(plan_json(planned(COTTON)))["prints"][0]["cost"]["order"]


def test_a_spread_may_be_asked_for_as_a_whole():
    found = explained(COTTON, "forecast.cure.margin_k")

    assert [number.path.rsplit(".", 1)[1] for number in found.numbers] == ["p10", "p50", "p90"]


@pytest.mark.parametrize(
    ("short", "full"),
    [
        ("forecast.film.p50", "prints[0].forecast.film_um.p50"),
        ("settings.dryer.panel_temperature", "prints[0].settings.dryer.panel_temperature_c"),
        ("production.set_up", "prints[0].production.set_up_min"),
        ("order.garment.areal_mass.value", "order.garment.areal_mass_gsm.value"),
    ],
)
def test_units_at_the_end_of_keys_may_be_left_out(short, full):
    assert explained(COTTON, short).path == full


def test_an_exact_path_wins_over_one_that_ends_alike():
    assert explained(COTTON, "cost.order").path == "cost.order"


def test_an_input_explains_itself():
    plan = planned(POLYESTER)

    found = explained(POLYESTER, "inputs[3].quantity_si.value")

    assert [(one.path, one.input) for one in found.inputs] == [plan.inputs[3]]
    assert explained(POLYESTER, "assumptions[0].quantity_si.low").inputs[0].input == plan.assumptions[0]


def test_what_the_order_says_is_no_computation():
    found = explained(COTTON, "order.quantity")

    assert found.model == "as the order file says"
    assert found.inputs == ()


@pytest.mark.parametrize(
    ("key", "path", "words"),
    [
        (COTTON, "forecast.opacity.diference_de.p50", "nearest are prints[0].forecast.opacity.difference_de.p50"),
        (COTTON, "forecast.bleed.days[99].day", "no number"),
        (COTTON, "nonsense", "nearest are"),
        (COTTON, "", "no number"),
        (COTTON, "risk", "fits"),
        (TWO_PRINTS, "forecast.cure.risk", "prints[0].forecast.cure.risk, prints[1].forecast.cure.risk"),
        (COTTON, "forecast.heat", "numbers stand under 'prints[0].forecast.heat'"),
        (COTTON, "prints[0].production.bottleneck", "no number"),
    ],
)
def test_what_cannot_be_found_or_is_not_clear_is_told_with_what_there_is(key, path, words):
    with pytest.raises(InvalidInput) as told:
        explained(key, path)

    assert words in str(told.value)
    assert "\n" not in str(told.value)
