"""Which tests an order needs, when to read them, and what they are worth."""

import datetime as dt
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from jobs import LENIENT, job
from laydown.domain.colour import Colour
from laydown.domain.costs import Practice
from laydown.domain.garment import Dye, History
from laydown.domain.order import Care, Requirements
from laydown.planning.choice import choose
from laydown.planning.information import TEST_KINDS, words_for
from laydown.planning.tests_to_run import PROTOCOLS, costs_by_sample, decisive
from laydown.planning.tests_to_run import tests_to_run as list_tests
from laydown.units import DAY
from small_shop import blocking_white, garment, nylon_white, poly_white, polyester, press, q, shop, white

PLACED = dt.date(2026, 11, 2)
WHITES = shop(inks=(white(), blocking_white(), poly_white()))


@cache
def chosen(of=None, in_shop=WHITES, requirements=LENIENT, **changes):
    return choose(job(of, in_shop, requirements=requirements, size=64, **changes))


def due(choice, placed=PLACED):
    return {test.name: test for test in list_tests(choice, placed=placed)}


NEVER = polyester(history=History.NEVER_PRINTED)


def test_a_cloth_never_printed_here_gets_a_bleed_test_a_wash_test_and_a_probe():
    found = due(chosen(NEVER))

    assert set(found) == {"oven bleed test", "wash test", "dryer probe"}
    assert found["oven bleed test"].why == "this cloth was never printed here, and its dye can migrate"


def test_reading_dates_count_from_the_day_the_order_came_in():
    found = due(chosen(NEVER))

    # 15 h in the oven and two days of waiting.
    assert found["oven bleed test"].read_on == PLACED + dt.timedelta(days=3)
    assert found["wash test"].read_on == PLACED + dt.timedelta(days=3)
    assert found["dryer probe"].read_on == PLACED
    for test in found.values():
        assert abs((test.read_on - PLACED).days - test.read_after / DAY) <= 0.5


def test_without_a_day_only_the_waiting_time_is_told():
    for test in due(chosen(NEVER), placed=None).values():
        assert test.read_on is None
        assert test.read_after > 0


def test_what_is_known_of_a_cloth_needs_no_test_again():
    assert set(due(chosen(polyester(history=History.TESTED)))) == {"dryer probe"}
    printed = due(chosen(polyester(history=History.PRINTED)))
    assert printed["oven bleed test"].why == "this cloth lot has no bleed test of its own"
    assert "wash test" not in printed


def test_cloth_without_migrating_dye_needs_no_bleed_test():
    assert "oven bleed test" not in due(chosen(garment(history=History.NEVER_PRINTED)))


def test_a_shop_that_never_weighed_is_told_to():
    owner = shop(practice=Practice())

    assert "weighing before and after printing" in due(chosen(in_shop=owner))
    assert "weighing before and after printing" not in due(chosen())


def test_a_ghosting_test_is_due_where_a_ghost_may_show():
    light = garment(colour=Colour(srgb="#a9cbe3"))
    reactive, plain = (chosen(light, shop(inks=(ink,))) for ink in (blocking_white(), white()))

    assert "Blocking White has a reactive blocker" in due(reactive)["ghosting test"].why
    assert "ghosting test" not in due(plain)


def test_a_stretch_test_is_due_on_cloth_that_stretches_far():
    elastic = shop(inks=(white("Elastic White", elongation=q(2.0)),))

    assert "stretch test" in due(chosen(garment(stretch=q(0.6)), elastic))
    assert "stretch test" not in due(chosen(garment(stretch=q(0.59)), elastic))


@pytest.mark.parametrize(
    ("of", "surface"), [(garment(coated=True), "coated"), (garment({"nylon": 0.6, "cotton": 0.4}), "nylon")]
)
def test_a_tape_test_is_due_on_surfaces_that_shed_ink(of, surface):
    found = due(chosen(of, shop(inks=(nylon_white(),)), replace(LENIENT, risk=0.4)))

    assert found["tape test"].why == f"the print has to hold on {surface}"
    assert "tape test" not in due(chosen())


def test_without_a_stack_there_is_nothing_to_probe():
    hopeless = chosen(requirements=Requirements(opacity=0.2))

    assert "dryer probe" not in due(hopeless)


def test_every_test_tells_how_it_is_done_and_where_it_comes_from():
    for protocol in PROTOCOLS:
        assert protocol.how
        assert protocol.source
        assert protocol.read_after > 0
    assert len({p.name for p in PROTOCOLS}) == len(PROTOCOLS)


def test_the_most_valuable_test_comes_first_and_costs_a_swatch():
    worths = [test.worth for test in list_tests(undecided(), placed=PLACED)]

    assert worths == sorted(worths, reverse=True)
    assert {test.cost for test in due(undecided()).values()} == {6.0}


# --- worth ---------------------------------------------------------------------------------------------------------


@cache
def undecided():
    """A cheap white that may bleed and a dear one that will not: the bleed test decides between them."""
    whites = (blocking_white("Cheap", capacity=0.04, price=5.0), poly_white("Dear", price=150.0))
    return choose(job(NEVER, shop(inks=whites), requirements=replace(LENIENT, bleed_grade=4.0), size=200))


def test_the_test_that_decides_between_stacks_is_worth_money():
    found = due(undecided())

    assert found["oven bleed test"].worth > 15.0
    assert found["oven bleed test"].worth > 1.5 * found["dryer probe"].worth
    assert found["oven bleed test"].worth > 3.0 * found["wash test"].worth


def test_a_test_without_inputs_of_the_models_has_no_worth():
    kinds = {kind.name for kind in TEST_KINDS}
    found = due(chosen(garment(coated=True), shop(inks=(nylon_white(),)), replace(LENIENT, risk=0.4)))

    assert "tape test" not in kinds
    assert found["tape test"].worth == 0.0


def test_a_reprint_is_paid_in_the_samples_that_fail():
    tried = undecided().computed
    costs = costs_by_sample(tried, 2.0)

    assert costs.shape == (len(tried), 200)
    for row, one in zip(costs, tried, strict=True):
        base = one.setup.base_cost.order
        failed = np.max(list(one.failures.values()), axis=0)
        np.testing.assert_allclose(row, base * (1 + 2.0 * failed))
        assert row.mean() == pytest.approx(one.cost.order)


def test_what_a_failure_takes_along_is_paid_as_well():
    one = undecided().computed[0]
    failed = np.max(list(one.failures.values()), axis=0)

    with_stake = costs_by_sample((replace(one, stake=500.0),), 2.0)

    np.testing.assert_allclose(with_stake - costs_by_sample((one,), 2.0), 500.0 * failed[None, :])


def test_stacks_that_were_never_set_up_cost_nothing_to_compare():
    refused = choose(job(in_shop=shop(presses=(press(heads=1, flash_heads=(1,), print_width=0.1),))))

    assert costs_by_sample(refused.failing, 2.0).shape == (0,)
    assert due(refused) == {}


# --- the decisive input --------------------------------------------------------------------------------------------


def test_the_input_that_matters_most_is_named_with_its_test():
    said = decisive((chosen(NEVER),))
    first = chosen(NEVER).best.forecast.drivers[0]

    assert said.startswith(
        f"{words_for(first.name)} matters most: it explains {100 * first.share:.0f} % of the spread of"
    )
    assert "the bleed forecast" in said
    assert f"the {first.test} narrows it" in said


def test_of_several_prints_the_least_sure_one_tells():
    sure, unsure = chosen(), chosen(NEVER)
    risky = replace(unsure.best, forecast=replace(unsure.best.forecast, fail_risk=0.04))
    second = replace(unsure, best=risky, job=replace(unsure.job, print_=replace(unsure.job.print_, place="sleeve")))

    assert risky.forecast.fail_risk > sure.best.forecast.fail_risk
    assert "of the bleed forecast of the sleeve print" in decisive((sure, second))
    assert decisive((sure, second)) == decisive((second, sure))


def test_on_cloth_that_does_not_bleed_it_is_the_cover_that_varies():
    assert "of the spread of the cover" in decisive((chosen(),))


def test_when_nothing_passes_the_closest_stack_tells():
    assert "matters most" in decisive((chosen(requirements=Requirements(opacity=0.2)),))


def test_without_any_forecast_it_is_said_so():
    refused = choose(job(in_shop=shop(presses=(press(heads=1, flash_heads=(1,), print_width=0.1),))))

    assert decisive((refused,)) == "no candidate got far enough for a forecast"


def test_an_outcome_that_does_not_vary_has_no_decisive_input():
    choice = chosen()
    best = replace(choice.best, forecast=replace(choice.best.forecast, drivers=()))

    assert decisive((replace(choice, best=best),)) == "nothing uncertain moves the result"


def test_a_hot_pile_is_among_the_reasons_to_test_ghosting():
    light = garment(colour=Colour(srgb="#a9cbe3"))

    found = due(chosen(light, shop(inks=(blocking_white(),)), care=Care(stack_hot=True)))

    assert "warm piles will help it" in found["ghosting test"].why
    assert Dye.REACTIVE is light.dye
