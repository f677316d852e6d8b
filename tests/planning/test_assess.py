"""Trying one candidate: each stage can be the reason, and the first one is."""

from dataclasses import replace

import numpy as np
import pytest

from jobs import LENIENT, job, samples_of
from laydown.domain.costs import Practice
from laydown.domain.garment import Dye
from laydown.domain.ink import Cure
from laydown.domain.order import Requirements
from laydown.domain.rule import Condition, Effect, Rule
from laydown.domain.stack import Role
from laydown.models.film import TRADE_PRESS
from laydown.planning.assess import assess
from laydown.planning.dryer_settings import SettingsFinder
from laydown.planning.flash_settings import FlashFinder
from laydown.planning.job import STAGES
from small_shop import (
    a_print,
    barrier,
    blocking_white,
    celsius,
    colour,
    dryer,
    flash_unit,
    flashed_twice,
    garment,
    poly_white,
    polyester,
    press,
    printed,
    q,
    shop,
    smoothing,
    stack,
    white,
    zone,
)


def rule(effect=Effect.FORBID, **changes):
    fields = {
        "name": "house rule",
        "effect": effect,
        "when": (Condition(fact="quantity", test="at least", value=1.0),),
        "reason": "the house says so",
        "source": "test",
    }
    return Rule(**(fields | changes))


USUAL = flashed_twice(white("Plain White", elongation=q(0.7)))
NYLON = garment({"nylon": 1.0}, dye=Dye.ACID)
NO_COVER = stack(printed(white(ratio=0.3), "120/34"))
STRETCHY = garment(stretch=q(1.5))
WEAK_FLASH = shop(presses=(press(flashes=(flash_unit(exchange=0.05),)),))
WEAK_DRYER = shop(dryers=(dryer(zones=(zone(exchange=q(0.02), air_temperature=celsius(60)),)),))
RUNAWAY_DRYER = shop(dryers=(dryer(setting_error=q(0.0, -1.0, 120.0)),))


def tried(stage):
    """A job and a stack that ends at a stage."""
    lenient = {"requirements": LENIENT}
    return {
        "rule": lambda: (job(in_shop=shop(rules=(rule(),))), USUAL),
        "press": lambda: (job(in_shop=shop(presses=(press(heads=1, flash_heads=(1,)),))), USUAL),
        "detail": lambda: (job(prints=(a_print(finest_detail=0.2e-3),), **lenient), USUAL),
        "adhesion": lambda: (job(NYLON, **lenient), USUAL),
        "wash": lambda: (job(requirements=replace(LENIENT, wash=4)), USUAL),
        "stretch": lambda: (job(STRETCHY, **lenient), USUAL),
        "hand": lambda: (job(requirements=replace(LENIENT, hand="very soft")), USUAL),
        "opacity": lambda: (job(requirements=replace(LENIENT, opacity=5.0)), NO_COVER),
        "flash": lambda: (job(in_shop=WEAK_FLASH, **lenient), USUAL),
        "cure": lambda: (job(in_shop=WEAK_DRYER, **lenient), USUAL),
        "cloth limit": lambda: (job(in_shop=RUNAWAY_DRYER, **lenient), USUAL),
        "bleed": lambda: (job(polyester(dye=Dye.DISPERSE_LOW), requirements=replace(LENIENT, bleed_grade=4.5)), USUAL),
    }[stage]()


WORDS = {
    "rule": "the house says so",
    "press": "Carousel: needs 2 heads for 1 screen and 1 flash; the press has 1",
    "detail": "mesh 43/80 holds lines down to 0.31 mm, the art has 0.20 mm",
    "adhesion": "Plain White is not made for nylon and would peel off",
    "wash": "not tough enough: its weakest ink is of class 3, class 4 is asked for",
    "stretch": "too stiff: Plain White stretches 70 %, the cloth 150 % in wear; cracks nearly always",
    "hand": "too heavy: the print feels",
    "opacity": "covers too little on this cloth: white ends",
    "flash": "the flash does not gel Plain White through 43/80 through within 25 s",
    "cure": "Tunnel does not get the whole film to 160 °C",
    "cloth limit": "gets the cloth too hot",
    "bleed": "the cloth's dye bleeds through: grade",
}


@pytest.mark.parametrize("stage", STAGES)
def test_every_stage_can_be_the_first_reason_in_a_printers_words(stage):
    asked, passes = tried(stage)

    found = assess(asked, passes)

    assert (found.stage, found.passes) == (stage, False)
    assert WORDS[stage] in found.reason
    assert found.risk > asked.order.requirements.risk
    assert found.depth == STAGES.index(stage)
    assert found.rank_cost == float("inf") or stage == "bleed"


def test_a_stack_that_meets_everything_has_no_reason_and_a_cost():
    found = assess(job(requirements=LENIENT), USUAL)

    assert found.passes
    assert (found.stage, found.reason, found.rule, found.risk) == ("", "", "", 0.0)
    assert found.depth == len(STAGES)
    assert found.cost.order > 0
    assert found.forecast.fail_risk == 0
    assert found.rank_cost > 0


def test_a_rule_that_strikes_is_named():
    assert assess(job(in_shop=shop(rules=(rule(name="own rule"),))), USUAL).rule == "own rule"


def test_questions_are_asked_in_order_the_cheap_ones_first():
    wrong_everywhere = job(
        NYLON,
        shop(rules=(rule(),), presses=(press(heads=1, flash_heads=(1,)),)),
        requirements=Requirements(opacity=0.1, hand="very soft", wash=5),
    )

    assert assess(wrong_everywhere, USUAL).stage == "rule"
    without_rule = replace(wrong_everywhere, shop=replace(wrong_everywhere.shop, rules=()))
    assert assess(without_rule, USUAL).stage == "press"
    on_a_press = replace(without_rule, shop=replace(without_rule.shop, presses=(press(),)), places={})
    assert assess(on_a_press, USUAL).stage == "adhesion"


def test_after_the_first_reason_nothing_more_is_computed():
    found = assess(job(NYLON), USUAL)

    assert found.forecast is None
    assert found.setup is None
    assert found.cost is None


# --- as a whole ----------------------------------------------------------------------------------------------------


def test_as_a_whole_the_forecast_is_complete_and_every_miss_is_noted():
    asked = job(garment(stretch=q(1.5)), requirements=replace(LENIENT, wash=4, hand="very soft"))

    found = assess(asked, USUAL, whole=True)

    assert found.stage == "wash"
    assert found.forecast is not None
    for stage in ("wash", "stretch", "hand"):
        assert found.failures[stage].mean() > 0.5, stage
    assert found.failures["opacity"].mean() == 0
    assert found.forecast.fail_risk == 1.0
    assert not found.passes


def test_as_a_whole_the_reason_stays_the_first():
    for stage in ("wash", "stretch", "hand", "opacity", "cloth limit"):
        asked, passes = tried(stage)
        once, whole = assess(asked, passes), assess(asked, passes, whole=True)
        assert (whole.stage, whole.reason, whole.risk) == (once.stage, once.reason, once.risk)
        assert whole.forecast is not None


@pytest.mark.parametrize("stage", ["rule", "press", "flash", "cure"])
def test_what_cannot_be_made_at_all_ends_there_even_as_a_whole(stage):
    asked, passes = tried(stage)

    found = assess(asked, passes, whole=True)

    assert found.stage == stage
    assert found.forecast is None


def test_the_fail_risk_counts_every_sample_that_misses_anything():
    asked = job(requirements=replace(LENIENT, opacity=5.0, hand="soft", risk=0.5))

    found = assess(asked, USUAL, whole=True)

    any_miss = np.max(list(found.failures.values()), axis=0)
    assert found.forecast.fail_risk == pytest.approx(any_miss.mean())
    assert found.forecast.fail_risk >= max(missed.mean() for missed in found.failures.values())


def test_a_stack_that_only_bleeds_is_computed_to_the_end():
    asked, passes = tried("bleed")

    found = assess(asked, passes)

    assert found.forecast is not None
    assert found.cost is not None
    assert found.failures["bleed"].mean() == pytest.approx(found.forecast.bleed.risk) == pytest.approx(found.risk)


# --- the forecast --------------------------------------------------------------------------------------------------


def test_where_dye_migrates_the_outcome_is_the_bleed_of_the_day_asked_for():
    found = assess(job(polyester(), requirements=replace(LENIENT, bleed_days=14.0)), flashed_twice(poly_white()))
    day = next(d for d in found.forecast.bleed.days if d.day == 14.0)

    assert found.forecast.bleed.applies
    assert np.median(found.outcome) == pytest.approx(day.difference.p50)
    assert found.forecast.drivers
    assert all(d.share <= 1 for d in found.forecast.drivers)


def test_where_none_migrates_the_outcome_is_the_cover():
    found = assess(job(requirements=LENIENT), USUAL)

    assert not found.forecast.bleed.applies
    assert "no dye in 100 % cotton that migrates at the dryer (dye: reactive)" in found.forecast.bleed.note
    assert np.median(found.outcome) == pytest.approx(found.forecast.opacity.difference.p50)


def test_the_area_judged_for_bleed_is_the_one_whose_ink_is_lightest():
    base = printed(poly_white(), role=Role.UNDERBASE, flash=True)
    spots = [
        printed(colour(name, srgb), "120/34", Role.COLOUR, coverage=0.2)
        for name, srgb in (("Navy", "#1b2340"), ("Yellow", "#f6c915"))
    ]

    found = assess(job(polyester(), requirements=LENIENT), stack(base, *spots))

    assert found.forecast.bleed.area == "Yellow"


def test_every_flash_is_forecast_with_the_film_below_it():
    down = printed(barrier(), "61/64", Role.BARRIER, flash=True)
    whole = stack(down, printed(poly_white(), role=Role.UNDERBASE, flash=True), smoothing(), printed(poly_white()))

    # One unit flashes twice in two revolutions.
    found = assess(job(polyester(dye=Dye.SUBLIMATED), requirements=LENIENT), whole)

    assert [f.after for f in found.forecast.flashes] == [p.label for p in whole.passes if p.flash_after]
    first, second = found.forecast.flashes
    assert 0 < first.seconds <= second.seconds
    for flash in (first, second):
        assert flash.risk <= 0.05
        assert flash.film_temperature.p50 > flash.gel_temperature
    assert tuple(f.seconds for f in found.forecast.flashes) == found.setup.flash_seconds


def test_the_forecast_says_where_it_leaves_a_models_range():
    inside = assess(job(requirements=LENIENT), USUAL).forecast
    heavy = assess(job(garment(areal_mass=q(0.45)), requirements=LENIENT), USUAL).forecast

    assert inside.out_of_range == ()
    assert any(s.startswith("heat: cloth mass is 450 g/m²") for s in heavy.out_of_range)


def test_a_rival_laydown_model_is_taken_by_name():
    asked = job(requirements=LENIENT)
    by_transfer = assess(asked, USUAL).forecast
    by_press = assess(replace(asked, laydown_model=TRADE_PRESS), USUAL).forecast

    assert by_press.passes[0].wet.p50 == pytest.approx(0.285 * 135e-6)
    assert by_press.passes[0].wet.p50 == pytest.approx(by_press.passes[0].rival_wet)
    assert by_transfer.passes[0].rival_wet == by_press.passes[0].rival_wet
    assert by_transfer.passes[0].wet != by_press.passes[0].wet


def test_the_cheapest_press_and_dryer_are_taken():
    dear = press(name="Dear", crew=6, set_up_per_screen=3000.0)
    owner = shop(presses=(dear, press()), dryers=(dryer(name="Other"), dryer()))

    found = assess(job(in_shop=owner, requirements=LENIENT), USUAL)

    assert found.setup.press.name == "Carousel"
    alone = assess(job(in_shop=shop(presses=(dear,)), requirements=LENIENT), USUAL)
    assert alone.setup.base_cost.order > found.setup.base_cost.order


def test_a_dryer_that_cannot_is_passed_over_for_one_that_can():
    owner = shop(dryers=(*WEAK_DRYER.dryers, dryer(name="Able")))

    assert assess(job(in_shop=owner, requirements=LENIENT), USUAL).setup.dryer.name == "Able"


def test_a_press_whose_flash_cannot_is_passed_over_for_one_that_can():
    owner = shop(presses=(press(name="Weak", flashes=(flash_unit(exchange=0.05),)), press(name="Able")))

    assert assess(job(in_shop=owner, requirements=LENIENT), USUAL).setup.press.name == "Able"


def test_empty_shelves_are_told():
    assert assess(job(in_shop=shop(presses=())), USUAL).reason == "there is no press on the shelf"
    assert assess(job(in_shop=shop(dryers=()), requirements=LENIENT), USUAL).reason == "there is no dryer on the shelf"


def test_a_second_print_of_a_garment_buys_no_blanks():
    asked = job(requirements=LENIENT)
    first, second = assess(asked, USUAL), assess(replace(asked, first_print=False), USUAL)

    assert dict(first.cost.terms)["blanks"] == pytest.approx(300.0)
    assert dict(second.cost.terms)["blanks"] == 0.0


def test_a_print_that_goes_through_the_dryer_twice_bleeds_more():
    asked = job(polyester(), requirements=LENIENT)
    passes = flashed_twice(blocking_white())
    once, twice = assess(asked, passes), assess(replace(asked, passages=2), passes)

    assert np.median(twice.outcome) > np.median(once.outcome)


def test_a_risk_costs_its_share_of_a_reprint():
    asked, passes = tried("bleed")
    found = assess(asked, passes)
    made = found.setup.base_cost.order

    assert found.cost.order == pytest.approx(made * (1 + 2.0 * found.forecast.fail_risk))


def test_cloth_that_melts_under_the_flash_is_told():
    tender = garment({"polypropylene": 1.0})
    # It cures far below the cloth's limit of 125 °C, yet gels above it.
    stubborn = white(cure=Cure(temperature=celsius(95), hold=q(0.0)), gel_temperature=celsius(135))
    strong = shop(presses=(press(flashes=(flash_unit(exchange=0.8),)),))
    asked = job(tender, strong, requirements=LENIENT)

    flashed, plain = (assess(asked, p, whole=True) for p in (flashed_twice(stubborn), stack(printed(stubborn))))

    assert flashed.failures["cloth limit"].mean() == 1.0
    assert "gets the cloth too hot" in flashed.reason
    assert plain.failures["cloth limit"].mean() <= 0.05


def test_the_same_trial_gives_the_same_answer_twice():
    first, second = (
        assess(
            replace(
                asked,
                dryers=SettingsFinder(asked.cloth, asked.shop.climate, asked.samples, risk=0.05),
                flashes=FlashFinder(asked.cloth, asked.shop.climate, asked.samples, risk=0.05),
            ),
            USUAL,
        )
        for asked in (job(polyester()), job(polyester()))
    )

    assert first.forecast == second.forecast
    assert first.cost == second.cost


def test_an_unweighed_transfer_spreads_the_forecast():
    weighed, rule_only = (
        assess(job(in_shop=shop(practice=p), requirements=LENIENT), USUAL, whole=True).forecast.film
        for p in (shop().practice, Practice())
    )

    assert rule_only.p90 - rule_only.p10 > 2 * (weighed.p90 - weighed.p10)
    assert samples_of().size == 32
