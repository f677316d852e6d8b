"""Choosing among tried candidates, and saying why and why not."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from jobs import LENIENT, job
from laydown.domain.garment import Dye
from laydown.domain.ink import Cure
from laydown.domain.order import Requirements
from laydown.domain.rule import Condition, Effect, Rule
from laydown.planning.agreement import agree, white_of
from laydown.planning.choice import CLOSEST, KEPT, REMEDIES, alternatives, choose, rejected, shortfalls
from laydown.planning.job import STAGES
from laydown.planning.print_plan import plan_print, press_warnings
from laydown.planning.why import headline, why
from small_shop import (
    a_print,
    barrier,
    blocking_white,
    celsius,
    closed_screen,
    colour,
    garment,
    nylon_white,
    poly_white,
    polyester,
    press,
    q,
    screen,
    shop,
    white,
)

LOW_CURE_NYLON = nylon_white(cure=Cure(temperature=celsius(138), hold=q(3.0)))
CHEAP, DEAR = white("Cheap White", price=8.0), white("Dear White", price=80.0)
TWO_WHITES = shop(inks=(DEAR, CHEAP))
MANY_STACKS = shop(inks=(poly_white(name="First White", price=9.0), poly_white(name="Second White", price=12.0)))


def prefer(name, weight, **changes):
    fields = {
        "name": f"prefer {name}",
        "effect": Effect.PREFER,
        "when": (Condition(fact="white", test="is", value=name),),
        "reason": f"{name} is what the customer knows",
        "source": "test",
        "weight": weight,
    }
    return Rule(**(fields | changes))


@cache
def chosen(of=None, in_shop=TWO_WHITES, requirements=LENIENT, **changes):
    return choose(job(of, in_shop, requirements=requirements, **changes))


@cache
def hopeless():
    """Nothing covers: the cheapest white is too thin for the limit."""
    return chosen(requirements=Requirements(opacity=0.3))


# --- ranking -------------------------------------------------------------------------------------------------------


def test_what_meets_everything_is_ranked_and_the_first_is_taken():
    choice = chosen()
    ranks = [a.rank_cost for a in choice.passing]

    assert ranks == sorted(ranks)
    assert choice.best is choice.passing[0]
    assert all(a.passes for a in choice.passing)
    assert not any(a.passes for a in choice.failing)


def test_of_like_whites_the_cheaper_is_taken():
    assert white_of(chosen().best) == "Cheap White"


def test_every_candidate_is_accounted_for():
    choice = chosen()
    plan = plan_print(choice)

    assert plan.considered == len(choice.passing) + len(choice.failing) + len(choice.set_aside)
    assert 1 + len(plan.alternatives) + len(choice.failing) == plan.considered
    assert len(plan.rejected) == plan.considered - 1
    assert len({r.stack for r in plan.rejected} | {plan.stack.label}) == plan.considered


def test_stacks_are_set_aside_only_when_they_could_not_have_come_first(monkeypatch):
    asked = job(polyester(), requirements=replace(LENIENT, bleed_grade=2.0), in_shop=MANY_STACKS)
    everything = choose(asked)
    monkeypatch.setattr("laydown.planning.choice.MANY", 0)
    quick = choose(asked)

    def cheapest_by_inks(choice):
        return {names: a.stack.label for a in reversed(choice.passing) for names in [a.stack.ink_names]}

    assert quick.considered == everything.considered
    assert not everything.set_aside
    assert len(quick.set_aside) >= 3
    assert [a.stack.label for a in quick.passing[:KEPT]] == [a.stack.label for a in everything.passing[:KEPT]]
    assert cheapest_by_inks(quick) == cheapest_by_inks(everything)
    real = {a.stack.label: a for a in (*everything.passing, *everything.failing)}
    for a in quick.set_aside:
        least = float(re.search(r"at least ([\d.]+) USD", a.reason)[1])
        assert real[a.stack.label].expected_cost >= least - 0.005
        assert real[a.stack.label].rank_cost >= quick.passing[KEPT - 1].rank_cost
    assert "more were too dear for a forecast of their bleed" in " ".join(why(quick))
    aside = [r for r in rejected(quick) if "was not forecast" in r.reason]
    assert len(aside) == len(quick.set_aside)


def test_every_loser_has_its_reason():
    choice = chosen(requirements=replace(LENIENT, hand="soft", opacity=7.0))

    for lost in rejected(choice):
        assert lost.reason
        assert lost.stage in {*STAGES, "cost"}


def test_a_preference_is_worth_its_weight_and_no_more():
    light = choose(job(in_shop=replace(TWO_WHITES, rules=(prefer("Dear White", 0.0001),)), requirements=LENIENT))
    heavy = choose(job(in_shop=replace(TWO_WHITES, rules=(prefer("Dear White", 0.9),)), requirements=LENIENT))

    assert white_of(light.best) == "Cheap White"
    assert white_of(heavy.best) == "Dear White"
    assert "Dear White is what the customer knows" in why(heavy)


def test_what_is_cheaper_but_follows_no_preference_is_told_so():
    choice = choose(job(in_shop=replace(TWO_WHITES, rules=(prefer("Dear White", 0.9),)), requirements=LENIENT))
    cheap = [a for a in alternatives(choice) if a.expected_cost < choice.best.cost.order]

    assert cheap
    for one in cheap:
        assert "less, but: Dear White is what the customer knows" in one.reason


def test_softness_decides_between_stacks_of_one_price():
    no_weight, weight = (
        choose(job(in_shop=replace(TWO_WHITES, costs=replace(TWO_WHITES.costs, softness=s)), requirements=LENIENT))
        for s in (0.0, 100.0)
    )
    mass = [c.best.forecast.hand.film_areal_mass.p50 for c in (no_weight, weight)]

    assert mass[1] <= mass[0]
    cheaper = [a for a in alternatives(weight) if a.expected_cost < weight.best.cost.order]
    for one in cheaper:
        assert "g/m² heavier in the hand" in one.reason


def test_alternatives_come_next_best_first_with_what_they_cost_more():
    choice = chosen()

    for alternative, tried in zip(alternatives(choice), choice.passing[1:], strict=True):
        assert alternative.stack is tried.stack
        if alternative.expected_cost > choice.best.cost.order:
            more = alternative.expected_cost - choice.best.cost.order
            assert alternative.reason == f"would do, but is expected to cost {more:.2f} USD more for the order"


def test_the_dearer_a_reprint_the_more_safety_is_bought():
    whites = (blocking_white("Weak", capacity=0.03), poly_white("Strong"))
    by_factor = {}
    for factor in (0.0, 2.0, 1e4):
        owner = shop(inks=whites, costs=replace(shop().costs, reprint_factor=factor, softness=0.0))
        choice = choose(job(polyester(), owner, requirements=replace(LENIENT, bleed_grade=4.0, risk=0.5)))
        by_factor[factor] = choice
        for a in choice.passing:
            made, risk = a.setup.base_cost.order, a.forecast.fail_risk
            assert a.cost.order == pytest.approx(made * (1 + factor * risk))
        assert choice.best.cost.order == pytest.approx(min(a.cost.order for a in choice.passing))

    free, usual, ruinous = by_factor.values()
    assert free.best.setup.base_cost.order == min(a.setup.base_cost.order for a in free.passing)
    assert ruinous.best.forecast.fail_risk == min(a.forecast.fail_risk for a in ruinous.passing)
    assert free.best.forecast.fail_risk >= usual.best.forecast.fail_risk >= ruinous.best.forecast.fail_risk


# --- nothing passes ------------------------------------------------------------------------------------------------


def test_when_nothing_passes_nothing_is_chosen():
    plan = plan_print(hopeless())

    assert hopeless().best is None
    assert plan.stack is None
    assert plan.settings is None
    assert plan.production is None
    assert plan.cost is None
    assert plan.confidence == 0.0
    assert plan.why == ()
    assert plan.alternatives == ()


def test_shortfalls_name_requirement_amount_and_remedy():
    found = shortfalls(hopeless())

    assert found[0].requirement == "opacity"
    assert "covers too little on this cloth: white ends" in found[0].by
    assert "(limit 0.3)" in found[0].by
    assert found[0].remedy == REMEDIES["opacity"]
    assert found[0].closest == hopeless().failing[0].stack.label


def test_the_closest_are_computed_to_the_end_all_the_same():
    choice = hopeless()

    assert len([a for a in choice.failing if a.forecast is not None]) == min(CLOSEST, len(choice.failing))
    assert plan_print(choice).forecast == choice.failing[0].forecast
    assert choice.computed == tuple(a for a in choice.failing if a.forecast is not None)


def test_the_closest_is_the_one_that_got_furthest_and_then_fails_least():
    order = [(-a.depth, a.risk) for a in hopeless().failing]

    assert order == sorted(order)


def test_further_requirements_that_the_closest_misses_are_listed_after_the_first():
    choice = chosen(requirements=Requirements(opacity=0.3, hand="heavy", wash=2), of=garment(stretch=q(0.75)))
    found = shortfalls(choice)

    assert found[0].requirement == "stretch"
    also = {s.requirement: s for s in found[1:]}
    assert "opacity" in also
    assert "covers too little on this cloth: white ends" in also["opacity"].by
    assert "(limit 0.3), and misses the limit nearly always (5 allowed)" in also["opacity"].by
    for one in found:
        missed = float(np.mean(choice.failing[0].failures[one.requirement]))
        assert missed > choice.job.order.requirements.risk


def test_what_passes_has_no_shortfall():
    assert shortfalls(chosen()) == ()


def test_what_cannot_be_made_at_all_is_told_without_a_forecast():
    choice = choose(job(in_shop=shop(presses=(press(heads=1, flash_heads=(1,), print_width=0.1),))))
    plan = plan_print(choice)

    assert plan.forecast is None
    assert shortfalls(choice)[0].requirement == "press"


def test_every_stage_has_a_remedy():
    assert set(REMEDIES) == set(STAGES)


# --- words ---------------------------------------------------------------------------------------------------------


BLEEDING = shop(inks=(white(), blocking_white(), poly_white()))
STRICT = Requirements(opacity=40.0, bleed_grade=4.0)


def test_on_cotton_the_plainest_white_will_do():
    assert why(chosen())[0] == "no dye migrates from this cloth: the plainest white that covers and stays soft will do"


def test_a_white_that_is_not_the_plainest_is_not_called_so():
    preferred = shop(inks=(DEAR, CHEAP), rules=(prefer("Dear White", 0.9),))

    assert why(chosen(in_shop=preferred))[0] == (
        "no dye migrates from this cloth: no blocker is needed, and Dear White does best on cost, softness and the "
        "risk of a reprint together"
    )


def test_a_white_taken_for_the_sake_of_the_other_prints_says_so():
    shared = replace(chosen(), agreed="Cheap White")

    assert why(shared)[0] == (
        "no dye migrates from this cloth: no blocker is needed, and Cheap White is what the order's other prints take"
    )


def test_where_weaker_whites_bleed_the_headline_says_by_how_much():
    choice = chosen(polyester(), BLEEDING, STRICT)
    first = why(choice)[0]

    assert white_of(choice.best) != "Plain White"
    assert "would let the dye through (grade" in first
    assert " holds it at " in first
    assert any(said.startswith("holds the dye: grade") for said in why(choice))


def test_where_little_moves_the_headline_says_so():
    faded = polyester("#e8d9dc", Dye.SOLUTION)

    assert why(chosen(faded, BLEEDING, STRICT))[0].startswith("little of this dye moves: grade 5.0 on day 30")


def test_a_barrier_under_sublimated_dye_is_the_headline():
    needs = Rule(
        name="barrier",
        effect=Effect.REQUIRE,
        when=(Condition(fact="dye", test="is", value="sublimated"),),
        must=(Condition(fact="barrier", test="is", value=True),),
        reason="first a barrier",
        source="test",
    )
    owner = shop(inks=(poly_white(), barrier()), rules=(needs,), screens=(screen("43/80"), screen("61/64")))

    first = why(chosen(polyester(dye=Dye.SUBLIMATED), owner, LENIENT))[0]

    assert first == "sublimated dye goes through any white: a flashed barrier first, then Polyester White"


@pytest.mark.parametrize("of", [garment({"nylon": 1.0}), garment(coated=True)], ids=["nylon", "coated"])
def test_on_a_difficult_surface_the_bond_is_the_headline(of):
    first = why(chosen(of, shop(inks=(white(), LOW_CURE_NYLON)), LENIENT))[0]

    assert first.startswith("Nylon White holds on")


def test_on_stretchy_cloth_the_stretch_is_the_headline():
    stretchy = garment(stretch=q(0.6))
    elastic = white("Elastic White", elongation=q(2.0))

    first = why(chosen(stretchy, shop(inks=(elastic,)), LENIENT))[0]

    assert first == "stretches 200 %, the cloth 60 %, and holds on cotton"


def test_without_a_white_the_headline_says_so():
    on_white = garment(colour=white().optics.colour)
    owner = shop(inks=(white(), colour("Red")))
    choice = choose(job(on_white, owner, requirements=LENIENT, prints=(a_print(("Red", 0.3)),)))
    colour_only = next(a for a in choice.passing if not white_of(a))

    assert headline(choice, colour_only, colour_only.forecast) == "covers on this cloth without a white"


def test_a_cheaper_loser_is_told_with_its_reason():
    choice = chosen(polyester(), BLEEDING, STRICT)
    cheaper = [s for s in why(choice) if s.startswith("the cheaper ")]
    lost = [a for a in choice.failing if a.setup and a.setup.base_cost.order < choice.best.setup.base_cost.order]

    assert bool(cheaper) == bool(lost)
    if lost:
        least = min(lost, key=lambda a: a.setup.base_cost.order)
        assert cheaper == [f"the cheaper {least.stack.label} was left: {least.reason}"]


def test_no_reason_is_said_twice():
    for choice in (chosen(), chosen(polyester(), BLEEDING, STRICT)):
        assert len(set(why(choice))) == len(why(choice))


def test_how_many_were_weighed_is_said_last():
    choice = chosen()

    total = len(choice.passing) + len(choice.failing)
    assert why(choice)[-1].startswith(f"best of {len(choice.passing)} stacks that meet every requirement")
    assert f"out of {total:,} that the shelves allow" in why(choice)[-1]


def test_the_only_one_that_passes_is_called_the_only_one():
    choice = chosen()
    alone = replace(choice, passing=choice.passing[:1], failing=(*choice.passing[1:], *choice.failing))

    total = len(choice.passing) + len(choice.failing)
    assert why(alone)[-1] == f"the only stack that meets every requirement out of {total:,} that the shelves allow"


# --- several prints ------------------------------------------------------------------------------------------------


def pair(*, weight=0.02, wash_up=9.0):
    """Two prints of one order: the front is cheapest with one white, the back with the other by a little."""
    rules = (prefer("Dear White", weight),)
    owner = shop(inks=(CHEAP, replace(CHEAP, name="Dear White", price=9.0)), costs=replace(shop().costs))
    front = choose(job(in_shop=owner, requirements=LENIENT))
    back = choose(job(in_shop=replace(owner, rules=rules), requirements=LENIENT))
    return front, back, wash_up


def test_prints_of_an_order_share_a_white_when_a_second_one_costs_more_than_it_saves():
    front, back, _ = pair()
    assert {white_of(front.best), white_of(back.best)} == {"Cheap White", "Dear White"}

    agreed = agree((front, back), wash_up=1000.0)

    assert len({white_of(c.best) for c in agreed}) == 1
    assert sum(c.agreed != "" for c in agreed) == 1
    for before, after in zip((front, back), agreed, strict=True):
        assert set(map(id, after.passing)) == set(map(id, before.passing))
        assert after.passing[0] is after.best


def test_what_was_given_up_for_the_shared_white_is_told():
    front, back, _ = pair(weight=0.5)
    agreed = agree((front, replace(back)), wash_up=1000.0)
    moved = next(c for c in agreed if c.agreed)
    cheaper = [a for a in alternatives(moved) if a.expected_cost <= moved.best.cost.order]

    told = [a.reason for a in cheaper if "a second white costs a wash-up" in a.reason]
    ranked_before = [a for a in moved.passing[1:] if a.rank_cost < moved.best.rank_cost]
    assert ranked_before
    assert len(told) == len([a for a in ranked_before if a.cost.order <= moved.best.cost.order])


def test_prints_keep_their_own_whites_when_washing_up_is_cheaper():
    front, back, _ = pair(weight=0.9)

    agreed = agree((front, back), wash_up=0.0)

    assert agreed == (front, back)


def test_one_print_or_one_without_a_stack_agrees_with_nobody():
    assert agree((chosen(),), wash_up=1e6) == (chosen(),)
    assert agree((chosen(), hopeless()), wash_up=1e6) == (chosen(), hopeless())


def test_prints_that_already_share_stay_as_they_are():
    assert agree((chosen(), chosen()), wash_up=1e6) == (chosen(), chosen())


# --- the plan of a print -------------------------------------------------------------------------------------------


def test_the_plan_of_a_print_is_that_of_its_best_stack():
    choice = chosen()
    plan, best = plan_print(choice), choice.best

    assert plan.place == "front"
    assert plan.stack is best.stack
    assert plan.confidence == 1 - best.forecast.fail_risk
    assert plan.forecast is best.forecast
    assert plan.cost is best.cost
    assert plan.production is best.setup.production


def test_settings_are_those_that_were_found():
    owner = shop(screens=(screen("43/80"), screen("120/34"), closed_screen()), inks=(white(elongation=q(0.7)),))
    choice = choose(job(in_shop=owner, requirements=replace(LENIENT, opacity=6.0)))
    plan, setup = plan_print(choice), choice.best.setup
    settings = plan.settings

    assert settings.press == setup.press.name
    assert settings.dryer.belt_speed == setup.dryer_choice.speed
    assert settings.dryer.panel_temperature == setup.dryer_choice.setting
    assert settings.dryer.dwell == pytest.approx(4.0 / setup.dryer_choice.speed)
    assert settings.dryer.probe_low <= settings.dryer.probe_high
    assert len(settings.passes) == len(plan.stack.passes)
    flashed = [p.flash_seconds for p in settings.passes if p.flash_seconds is not None]
    assert tuple(flashed) == setup.flash_seconds
    for row, passed, placed in zip(settings.passes, plan.stack.passes, setup.placement.passes, strict=True):
        assert (row.flash_seconds is not None) == passed.flash_after
        assert (row.head, row.revolution, row.flash_head) == (placed.head, placed.revolution, placed.flash_head)


def test_a_slack_screen_is_warned_of_once():
    owner = shop(screens=(screen("43/80", tension=2200.0), screen("120/34")))
    choice = choose(job(in_shop=owner, requirements=LENIENT))

    assert press_warnings(choice) == ("43/80 block: 22 N/cm is below the 25 N/cm that is asked for",)
    assert press_warnings(chosen()) == ()
    assert press_warnings(hopeless()) == ()
