"""Cautions, provenance, inputs, press rules and the words of reasons."""

import re
from dataclasses import replace
from functools import cache

import pytest

from jobs import LENIENT, job
from laydown.data.read import find_source
from laydown.domain.colour import Colour
from laydown.domain.garment import Dye, History, Structure
from laydown.domain.order import Requirements
from laydown.domain.quantity import Grade
from laydown.domain.rule import Condition, Effect, Rule
from laydown.domain.stack import Role
from laydown.models.film import TRADE_PRESS
from laydown.planning import reasons
from laydown.planning.cautions import ALWAYS, SCREENING, cautions
from laydown.planning.choice import choose
from laydown.planning.inputs import WEAK, assumptions, inputs_of, show
from laydown.planning.press_rules import press_rules
from laydown.planning.provenance import ORIGINS, origin_of, provenance
from small_shop import (
    additive,
    barrier,
    blocking_white,
    colour,
    flash_unit,
    garment,
    poly_white,
    polyester,
    press,
    printed,
    q,
    screen,
    shop,
    smoothing,
    white,
)


@cache
def chosen(of=None, in_shop=None, requirements=LENIENT):
    return choose(job(of, in_shop, requirements=requirements))


# --- cautions ------------------------------------------------------------------------------------------------------


def test_the_usual_cautions_speak_of_fire_fumes_chemicals_children_and_heat_on_polyester():
    usual = " ".join(ALWAYS)

    for word in ("fires", "never leave one running alone", "exhaust", "hydrogen chloride", "safety data sheet"):
        assert word in usual
    assert "local codes decide" in usual
    assert "laboratory report" in usual
    assert "phthalates and lead" in usual
    assert "Never make the dryer hotter to shorten the dwell on polyester" in usual


@pytest.mark.parametrize("requirements", [LENIENT, Requirements(opacity=0.2)], ids=["plan", "no plan"])
def test_every_plan_shows_the_usual_cautions(requirements):
    said = cautions((chosen(requirements=requirements),), ())

    assert said[-len(ALWAYS) :] == ALWAYS


def test_a_forecast_of_bleed_without_a_test_is_called_a_screening_estimate():
    new, tested = (
        cautions((chosen(polyester(history=h), shop(inks=(poly_white(),))),), ())
        for h in (History.NEVER_PRINTED, History.TESTED)
    )

    assert SCREENING in new
    assert SCREENING not in tested
    assert SCREENING not in cautions((chosen(garment(history=History.NEVER_PRINTED)),), ())


def test_what_rules_warn_of_comes_first_and_once():
    warn = Rule(
        name="careful",
        effect=Effect.WARN,
        when=(Condition(fact="quantity", test="at least", value=1.0),),
        reason="wear gloves",
        source="test",
    )
    choice = chosen(in_shop=shop(rules=(warn, replace(warn, name="careful again"))))

    said = cautions((choice, choice), ("a note",))

    assert said[0] == "wear gloves"
    assert said.count("wear gloves") == 1
    assert said.index("a note") < said.index(ALWAYS[0])


def test_ghosting_is_told_once_by_the_rule_or_by_the_forecast():
    light = garment(colour=Colour(srgb="#a9cbe3"))
    choice = chosen(light, shop(inks=(blocking_white(),)))
    rule = Rule(
        name="ghosting",
        effect=Effect.WARN,
        when=(Condition(fact="white blocker", test="is", value="reactive"),),
        reason="GHOSTING: the rule's own words",
        source="test",
    )
    ruled = chosen(light, shop(inks=(blocking_white(),), rules=(rule,)))

    assert [c for c in cautions((choice,), ()) if "GHOSTING" in c] == [
        "GHOSTING: Blocking White has a reactive blocker and the cotton is light"
    ]
    assert [c for c in cautions((ruled,), ()) if "GHOSTING" in c] == ["GHOSTING: the rule's own words"]


def test_a_forecast_outside_what_a_model_covers_is_a_caution():
    heavy = chosen(garment(areal_mass=q(0.45)))

    (said,) = (c for c in cautions((heavy,), ()) if c.startswith("Outside what a model covers"))
    assert said == f"Outside what a model covers: {heavy.best.forecast.out_of_range[0]}."
    assert "heat: cloth mass is 450 g/m²" in said
    assert not any(c.startswith("Outside") for c in cautions((chosen(),), ()))


def test_inks_without_a_compliance_document_are_named():
    papers = white("Papered", compliance_document="report.pdf")

    without = cautions((chosen(),), ())
    with_ = cautions((chosen(in_shop=shop(inks=(papers,))),), ())

    assert "No compliance document is on file for Plain White." in without
    assert not any("compliance document" in c for c in with_)


# --- provenance ----------------------------------------------------------------------------------------------------


def test_every_path_has_one_origin():
    paths = [origin.path for origin in ORIGINS]

    assert len(set(paths)) == len(paths)


@pytest.mark.parametrize(
    ("path", "origin"),
    [
        ("prints[0].forecast.bleed.days[3].difference_de.p50", "prints[].forecast.bleed"),
        ("prints[1].forecast.fail_risk", "prints[].forecast"),
        ("prints[12].forecast.laydown[0].wet_um.p10", "prints[].forecast.laydown"),
        ("prints[0].considered", "prints[]"),
        ("prints[0].cost.order", "prints[].cost"),
        ("cost.order", "cost"),
        ("inputs[4].value", "inputs"),
        ("order.quantity", "order"),
    ],
)
def test_the_longest_path_that_fits_wins(path, origin):
    assert origin_of(path, provenance(())).path == origin


def test_a_path_of_nothing_has_no_origin():
    assert origin_of("weather.tomorrow", provenance(())) is None
    assert origin_of("costly", provenance(())) is None


def test_an_origin_lists_the_inputs_that_begin_like_its_own():
    keys = ("laydown.transfer", "ink.Plain White.gel", "inky.thing", "cloth.stretch", "cloth.regain")
    known = {p.path: p.inputs for p in provenance(keys)}

    assert known["prints[].forecast.laydown"] == ("laydown.transfer",)
    assert known["prints[].forecast.stretch"] == ("ink.Plain White.gel", "cloth.stretch")
    assert "cloth.regain" in known["prints[].forecast.heat"]
    assert all("inky.thing" not in inputs for inputs in known.values())


def test_the_laydown_is_named_by_the_model_that_was_taken():
    for model in ("transfer", "trade press"):
        found = origin_of("prints[0].forecast.laydown[0].wet_um.p50", provenance((), laydown_model=model))
        assert found.model == f"laydown by {model}"


# --- inputs --------------------------------------------------------------------------------------------------------


def inputs(choice, **changes):
    return dict(inputs_of(replace(choice.job, **changes), choice.best))


def test_every_input_has_a_value_a_grade_and_a_source():
    for key, one in inputs(chosen(polyester(), shop(inks=(poly_white(),)))).items():
        assert one.quantity.grade in Grade, key
        assert one.quantity.source, key
        assert re.match(r"-?[0-9.]+(e[+-]?\d+)?", one.shown), key


def test_inputs_of_the_bleed_model_stand_where_dye_migrates():
    with_dye = inputs(chosen(polyester(), shop(inks=(poly_white(),))))
    without = inputs(chosen())

    assert {"bleed.release", "bleed.diffusivity", "bleed.partition", "bleed.strength"} <= set(with_dye)
    assert "bleed.reaction_length" in with_dye
    assert not any(key.startswith("bleed") for key in without)


def test_every_ink_and_mesh_of_the_stack_is_among_the_inputs():
    choice = chosen(in_shop=shop(inks=(white(), additive())))
    mixed = next(a for a in choice.passing if any(p.additive for p in a.stack.passes))

    found = dict(inputs_of(choice.job, mixed))

    for ink in mixed.stack.inks:
        assert f"ink.{ink.name}.density" in found
    for pass_ in mixed.stack.inked:
        assert f"mesh.{pass_.screen.mesh.name}" in found
    assert "ink.Stretch Additive.gel" not in found
    assert "ink.Stretch Additive.contrast" not in found


def test_the_flash_is_among_them_only_where_one_is_used():
    choice = chosen()
    flashed = next(a for a in choice.passing if a.setup.flash_seconds)
    plain = next(a for a in choice.passing if not a.setup.flash_seconds)

    assert "flash.exchange" in dict(inputs_of(choice.job, flashed))
    assert "flash.exchange" not in dict(inputs_of(choice.job, plain))


def test_of_unlike_flash_units_the_one_that_was_reckoned_with_is_shown():
    units = (flash_unit("strong", 0.6), flash_unit("weak", 0.42))
    choice = chosen(in_shop=shop(presses=(press(flashes=units),)))
    flashed = next(a for a in choice.passing if a.setup.flash_seconds)

    assert dict(inputs_of(choice.job, flashed))["flash.exchange"].name == "weak, radiant exchange"


def test_a_stack_that_was_never_set_up_shows_no_dryer():
    choice = chosen()

    found = dict(inputs_of(choice.job, replace(choice.best, setup=None)))

    assert not any(key.startswith(("dryer", "flash")) for key in found)


def test_the_transfer_is_the_shops_own_or_the_published_rule():
    assert inputs(chosen())["laydown.transfer"].quantity.grade is Grade.MEASURED
    published = inputs(chosen(), shop=shop(practice=type(shop().practice)()))["laydown.transfer"]
    assert published.quantity.low == pytest.approx(0.33)


def test_the_trade_press_rests_on_no_transfer():
    assert "laydown.transfer" not in inputs(chosen(), laydown_model=TRADE_PRESS)


def test_shipped_numbers_lead_to_their_source():
    found = inputs(chosen(polyester(), shop(inks=(poly_white(),))))

    for key in ("bleed.diffusivity", "cloth.roughness", "pile.density", "optics.inner"):
        assert find_source(found[key].quantity.source) is not None, key


def test_assumptions_are_the_inputs_that_nobody_measured_or_published():
    pairs = tuple(inputs(chosen()).items())

    weak = assumptions(pairs)

    assert weak
    assert {a.quantity.grade for a in weak} <= WEAK
    assert len(weak) == sum(a.quantity.grade in WEAK for _, a in pairs)


@pytest.mark.parametrize(
    ("quantity", "unit", "scale", "offset", "shown"),
    [
        (q(0.65, 0.33, 1.0), "%", 100.0, 0.0, "65 % (33 to 100)"),
        (q(433.15), "°C", 1.0, -273.15, "160 °C"),
        (q(2.0, 1.0, 3.0), "", 1.0, 0.0, "2 (1 to 3)"),
        (q(55e-6, 50e-6, 60e-6), "cm³/m²", 1e6, 0.0, "55 cm³/m² (50 to 60)"),
    ],
)
def test_an_input_is_shown_in_a_unit_that_people_read(quantity, unit, scale, offset, shown):
    assert show(quantity, unit, scale=scale, offset=offset) == shown


# --- press rules ---------------------------------------------------------------------------------------------------


ROLES = {
    Role.BARRIER: printed(barrier(), role=Role.BARRIER),
    Role.UNDERBASE: printed(role=Role.UNDERBASE),
    Role.WHITE: printed(),
    Role.COLOUR: printed(colour(), "120/34", Role.COLOUR),
    Role.HIGHLIGHT: printed(role=Role.HIGHLIGHT),
    Role.SMOOTHING: smoothing(),
}


@pytest.mark.parametrize("role", Role)
def test_squeegee_off_contact_tension_and_stencil_lie_in_the_published_spans(role):
    found = press_rules(ROLES[role], Structure.JERSEY)
    low, high = found.shore

    assert found.sources
    assert found.note
    assert (found.tension_low, found.tension_high) == (2500.0, 3500.0)
    if role is Role.SMOOTHING:
        assert (low, high) == (80, 90)  # lays least
        assert found.off_contact == found.emulsion_over_mesh == 0.0
    else:
        assert 65 <= low < high <= 75  # general work
        assert 1.5e-3 <= found.off_contact <= 3.0e-3
        thickness = ROLES[role].screen.mesh.fabric_thickness.value
        assert 0.15 * thickness <= found.emulsion_over_mesh <= 0.20 * thickness + 1e-12


def test_lofty_cloth_needs_more_off_contact():
    flat, lofty = (press_rules(printed(), s).off_contact for s in (Structure.JERSEY, Structure.FLEECE))

    assert lofty > flat


@pytest.mark.parametrize(
    ("tension", "said"),
    [
        (2500.0, ""),
        (3200.0, ""),
        (2499.0, "is below the 25 N/cm that is asked for"),
        (1000.0, "is below the 25 N/cm that is asked for"),
        (990.0, "9.9 N/cm is below 10 N/cm; re-stretch before use"),
    ],
)
def test_a_slack_screen_is_warned_of(tension, said):
    slack = replace(printed(), screen=screen("43/80", tension=tension))

    warning = press_rules(slack, Structure.JERSEY).warning

    assert (said in warning) if said else (warning == "")


# --- words ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("risk", "said"),
    [
        (0.0, "in less than 1 of 100 cases"),
        (0.0078, "in less than 1 of 100 cases"),
        (0.01, "in 1 of 100 cases"),
        (0.06, "in 6 of 100 cases"),
        (0.994, "in 99 of 100 cases"),
        (0.995, "nearly always"),
        (1.0, "nearly always"),
    ],
)
def test_a_chance_is_told_no_finer_than_samples_can(risk, said):
    assert reasons.chance(risk) == said


def test_no_reason_is_told_in_units_that_a_printer_does_not_use():
    choice = chosen(polyester(dye=Dye.DISPERSE_LOW), requirements=replace(LENIENT, bleed_grade=4.5, hand="soft"))

    for lost in choice.failing:
        assert not re.search(r"e-\d\d", lost.reason), lost.reason
        assert "nan" not in lost.reason


def test_a_cost_rests_on_the_shops_own_rates():
    rates = {key: one for key, one in inputs(chosen()).items() if key.startswith("cost.")}
    known = {p.path: p.inputs for p in provenance(tuple(rates))}

    assert rates["cost.labour_rate"].quantity.value == chosen().job.shop.costs.labour_rate
    assert rates["cost.screen_time"].shown.endswith(" min")
    assert set(known["cost"]) == set(known["prints[].cost"]) == set(rates)
    assert all(one.quantity.source.startswith("the shop's own figure") for one in rates.values())
