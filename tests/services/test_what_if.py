"""One print of a plan with something changed."""

import pytest

from laydown.domain.change import Change, PassChange
from laydown.errors import InvalidInput, NotFound
from laydown.services.what_if import what_if
from laydown.units import from_celsius, from_metre_per_minute
from planned import COTTON, POLYESTER, invented_shop, planned

pytestmark = pytest.mark.slow


def changed(key=POLYESTER, **change):
    return what_if(invented_shop(), planned(key), Change(**change))


def day(print_plan, number):
    return next(d for d in print_plan.forecast.bleed.days if d.day == number)


def test_nothing_changed_gives_the_forecast_of_the_plan():
    plan = planned(POLYESTER).prints[0]
    same = changed()

    assert same.passes
    assert same.print_plan.forecast == plan.forecast
    assert same.print_plan.cost == plan.cost
    assert same.print_plan.settings == plan.settings


def test_a_hotter_panel_and_a_slower_belt_bring_more_bleed():
    plan = planned(POLYESTER).prints[0]
    kept = plan.settings.dryer

    hotter = changed(panel_temperature=kept.panel_temperature + 15.0)
    slower = changed(belt_speed=0.8 * kept.belt_speed)

    for other in (hotter, slower):
        assert day(other.print_plan, 30.0).difference.p50 > day(plan, 30.0).difference.p50
        assert other.print_plan.forecast.cure.cloth_peak.p50 > plan.forecast.cure.cloth_peak.p50


def test_a_dryer_at_its_coolest_and_fastest_does_not_cure_and_says_so():
    dryer = invented_shop().dryer(planned(COTTON).prints[0].settings.dryer.dryer)
    raw = changed(COTTON, belt_speed=dryer.speed_high, panel_temperature=dryer.setting_low)

    assert not raw.passes
    assert raw.stage == "cure"
    assert raw.reason


def test_another_dryer_gets_a_setting_of_its_own_and_the_same_setting_by_hand_gives_the_same_forecast():
    kept = planned(COTTON).prints[0].settings.dryer
    other = next(one for one in invented_shop().dryers if one.name != kept.dryer)
    found = changed(COTTON, dryer=other.name)
    setting = found.print_plan.settings.dryer

    assert setting.dryer == other.name
    assert other.setting_low <= setting.panel_temperature <= other.setting_high
    assert found.passes == (found.stage == "")
    by_hand = changed(
        COTTON, dryer=other.name, panel_temperature=setting.panel_temperature, belt_speed=setting.belt_speed
    )
    assert by_hand.print_plan.forecast == found.print_plan.forecast


def test_a_larger_order_costs_more_and_a_piece_less():
    plan = planned(COTTON)
    twice = changed(COTTON, quantity=2 * plan.order.quantity)

    assert twice.order.quantity == 2 * plan.order.quantity
    assert plan.prints[0].cost.order < twice.print_plan.cost.order < 2 * plan.prints[0].cost.order


def test_a_second_hit_lays_a_thicker_film():
    plan = planned(COTTON).prints[0]
    more = changed(COTTON, passes=(PassChange(number=1, hits=plan.stack.passes[0].hits + 1),))

    assert more.print_plan.forecast.film.p50 > plan.forecast.film.p50


def test_another_white_is_struck_out_by_the_rule_that_forbids_it():
    plan = planned(POLYESTER).prints[0]
    at = next(i for i, p in enumerate(plan.stack.passes, start=1) if p.ink is not None and p.ink.kind == "white")
    weak = changed(passes=(PassChange(number=at, ink=planned(COTTON).prints[0].stack.inks[0].name),))

    assert not weak.passes
    assert weak.reason


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"panel_temperature": from_celsius(900.0)}, "can be set to"),
        ({"belt_speed": from_metre_per_minute(900.0)}, "runs at"),
        ({"dryer": "Potting Shed electric", "panel_temperature": from_celsius(160.0)}, "both, or neither"),
        ({"passes": (PassChange(number=30, hits=2),)}, "there is no pass 30"),
    ],
)
def test_what_cannot_be_set_is_refused_with_what_can(change, words):
    with pytest.raises(InvalidInput, match=words):
        changed(COTTON, **change)


def test_a_name_on_no_shelf_is_refused():
    with pytest.raises(NotFound, match="no ink named 'Moon white'"):
        changed(COTTON, passes=(PassChange(number=1, ink="Moon white"),))
