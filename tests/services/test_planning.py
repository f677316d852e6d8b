"""Planning an order on a small shop, from the order to the plan."""

import math
from dataclasses import fields, replace
from functools import cache

import pytest

from laydown.domain.garment import Dye, History
from laydown.domain.order import Requirements
from laydown.domain.rule import Condition, Effect, Rule
from laydown.errors import InvalidInput, NotFound
from laydown.planning.cautions import ALWAYS
from laydown.services.planning import SEED, choices_for, plan_order
from small_shop import (
    a_print,
    barrier,
    closed_screen,
    colour,
    order,
    poly_white,
    polyester,
    screen,
    shop,
    white,
)

SHOP = shop(
    inks=(white(), poly_white(), barrier(), colour("Red")),
    screens=(screen("43/80"), screen("120/34"), closed_screen()),
)
COTTON = order()
POLYESTER = order(polyester(history=History.PRINTED))
COLOURS = order(prints=(a_print(("white", 0.2), ("Red", 0.2)), a_print(("Red", 0.1), place="back")))
FEW = 24


def plan(of=COTTON, in_shop=SHOP, **more):
    return plan_order(in_shop, of, samples=FEW, **more)


@cache
def planned(of=COTTON):
    """Share a plan between tests that only look at it."""
    return plan(of)


def test_a_plan_is_complete_when_every_print_has_a_stack():
    made = planned()

    assert made.complete
    assert made.order is COTTON
    assert (made.samples, made.seed) == (FEW, SEED)
    assert made.version
    assert made.prints[0].stack is not None
    assert made.prints[0].settings is not None
    assert made.cost.order == pytest.approx(made.prints[0].cost.order)


def test_a_plan_is_not_complete_when_one_print_has_none():
    hopeless = order(requirements=Requirements(opacity=0.2))

    made = plan(hopeless)

    assert not made.complete
    assert made.cost is None
    assert made.prints[0].shortfalls
    assert made.cautions[-len(ALWAYS) :] == ALWAYS
    assert made.inputs  # of the closest stack, which the forecast is of


def test_the_same_plan_comes_twice():
    for asked in (COTTON, POLYESTER, COLOURS):
        assert plan(asked) == planned(asked)


def test_another_seed_draws_another_plan():
    assert planned(POLYESTER).prints[0].forecast != plan(POLYESTER, seed=7).prints[0].forecast


@pytest.mark.parametrize("asked", [POLYESTER, COLOURS], ids=["polyester", "colours"])
def test_a_plan_does_not_depend_on_the_number_of_threads(asked):
    import numba

    before = numba.get_num_threads()
    try:
        numba.set_num_threads(1 if before > 1 else min(2, numba.config.NUMBA_NUM_THREADS))
        other = plan(asked)
    finally:
        numba.set_num_threads(before)

    assert other == planned(asked)


def test_prints_of_a_garment_are_planned_one_after_the_other():
    made = planned(COLOURS)

    assert [p.place for p in made.prints] == ["front", "back"]
    blanks = [dict(p.cost.terms)["blanks"] for p in made.prints]
    assert blanks == [pytest.approx(300.0), 0.0]
    assert dict(made.cost.terms)["blanks"] == pytest.approx(300.0)


def test_the_first_print_goes_through_the_dryer_for_the_later_ones_too():
    choices, _ = choices_for(SHOP, COLOURS, samples=FEW)

    assert [c.job.passages for c in choices] == [2, 1]
    assert [c.job.first_print for c in choices] == [True, False]


def test_a_colour_that_stands_in_is_told_among_the_cautions():
    asked = order(prints=(a_print(("#c0101e", 0.3)),))

    assert any("Red stands in for #c0101e" in c for c in plan(asked).cautions)


def test_tests_of_all_prints_are_listed_once():
    made = plan(replace(COLOURS, garment=polyester(history=History.NEVER_PRINTED)))
    names = [test.name for test in made.tests]

    assert len(set(names)) == len(names)
    assert "oven bleed test" in names
    assert [t.worth for t in made.tests] == sorted((t.worth for t in made.tests), reverse=True)


def test_assumptions_are_among_the_inputs():
    made = planned(POLYESTER)
    shown = [one for _, one in made.inputs]

    assert made.assumptions
    assert all(one in shown for one in made.assumptions)
    assert len({key for key, _ in made.inputs}) == len(made.inputs)


def test_the_input_that_matters_most_is_named():
    assert "matters most" in planned(POLYESTER).decisive


def test_progress_is_told():
    told = []

    plan(progress=told.append)

    assert told == ["planning Small order"]


def test_a_rival_laydown_model_is_chosen_by_name_and_named_in_the_plan():
    by_transfer, by_press = planned(), plan(laydown_model="trade press")

    def laid(made):
        return made.prints[0].forecast.passes[0]

    assert laid(by_press).wet.p50 == pytest.approx(laid(by_press).rival_wet)
    assert any(p.model == "laydown by trade press" for p in by_press.provenance)
    assert any(p.model == "laydown by transfer" for p in by_transfer.provenance)
    assert "laydown.transfer" not in dict(by_press.inputs)


def test_an_unknown_laydown_model_is_refused():
    with pytest.raises(InvalidInput, match="no laydown model 'guess'"):
        plan(laydown_model="guess")


def test_too_few_samples_are_refused():
    with pytest.raises(InvalidInput, match="at least 2 samples, not 1"):
        plan_order(SHOP, COTTON, samples=1)


@pytest.mark.parametrize(("shelf", "file"), [("presses", "presses.toml"), ("dryers", "dryers.toml")])
def test_an_empty_shelf_is_told_with_its_file(shelf, file):
    with pytest.raises(InvalidInput, match=f"{file}: there is no .* on the shelf"):
        plan(in_shop=replace(SHOP, **{shelf: ()}))


def test_a_shop_without_whites_is_told():
    with pytest.raises(InvalidInput, match="holds no white"):
        plan(in_shop=replace(SHOP, inks=(colour("Red"),)))


def test_an_ink_that_is_not_there_is_told():
    with pytest.raises(NotFound, match="no ink named 'Mauve'"):
        plan(order(prints=(a_print(("Mauve", 0.3)),)))


def test_a_broken_rule_is_told_before_anything_is_computed():
    broken = Rule(
        name="broken",
        effect=Effect.FORBID,
        when=(Condition(fact="polyster", test="at least", value=0.3),),
        reason="why not",
        source="test",
        where="rules.toml, line 7",
    )

    with pytest.raises(InvalidInput, match=r"^rules\.toml, line 7: the rule 'broken' asks for the unknown fact"):
        plan(in_shop=replace(SHOP, rules=(broken,)))


def test_no_price_below_cost():
    for made in (planned(), planned(POLYESTER), planned(COLOURS)):
        assert made.cost.price > made.cost.order > 0


def test_every_number_of_a_plan_is_finite():
    def numbers(value):
        if isinstance(value, float):
            yield value
        elif isinstance(value, tuple):
            for one in value:
                yield from numbers(one)
        elif hasattr(value, "__dataclass_fields__"):
            for field in fields(value):
                yield from numbers(getattr(value, field.name))

    for asked in (COTTON, POLYESTER, COLOURS):
        assert all(map(math.isfinite, numbers(planned(asked))))


def test_on_strong_polyester_the_blocking_of_the_chosen_white_is_enough():
    made = plan(order(polyester(dye=Dye.DISPERSE_MEDIUM)))
    forecast = made.prints[0].forecast

    assert forecast.bleed.risk <= 0.05
    assert forecast.fail_risk <= 0.2
    assert made.prints[0].confidence == 1 - forecast.fail_risk


def test_a_later_print_is_chosen_with_what_its_failure_takes_along():
    two = order(prints=(a_print(), a_print(("white", 0.1), place="back")))
    (front, back), _ = choices_for(SHOP, two, samples=FEW)

    assert front.job.at_stake == 0.0
    assert back.job.at_stake == pytest.approx(front.best.setup.base_cost.order)
    for one in back.passing:
        risk, own = one.forecast.fail_risk, one.cost.order
        assert one.expected_cost == pytest.approx(own + 2.0 * back.job.at_stake * risk)
    for one in front.passing:
        assert one.expected_cost == one.cost.order
