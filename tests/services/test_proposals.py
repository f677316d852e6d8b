"""Tests that pending orders ask for: what each is expected to save is added up over the orders that share it."""

import datetime as dt
import json

import pytest

from laydown.services import opening, proposals, swatch_start
from laydown.store import orders, plans
from laydown.store.shop_exchange import load_shop

DAY = dt.date(2026, 11, 25)


def plan(garment, lot="", **worths):
    """Plan's JSON with as much as a proposal reads."""
    tests = [
        {"name": name.replace("_", " "), "worth": worth, "cost": 6.0, "why": "nobody knows"}
        for name, worth in worths.items()
    ]
    dryer = {"dryer": "Kiln Lane gas", "panel_temperature_c": 400.0, "belt_m_per_min": 2.4}
    printed = {"place": "front", "choice": {"label": "white through 43/80"}, "settings": {"dryer": dryer}}
    document = {
        "complete": True,
        "meta": {"seed": 1, "samples": 256, "version": "0.1.0"},
        "order": {"garment": {"name": garment, "lot": lot}},
        "prints": [printed],
        "tests": tests,
    }
    return json.dumps(document)


@pytest.fixture
def store(tmp_path):
    with opening.open_database(str(tmp_path / "laydown.sqlite")) as made:
        opening.start_demo(made, who="tests")
        yield made


def keep(store, *texts):
    """Give one order after the other a plan; gives their numbers."""
    with store.write(who="tests") as tx:
        shop = load_shop(tx)
        numbers = [one.id for one in orders.find(tx, limit=50)[0]][: len(texts)]
        for number, text in zip(numbers, texts, strict=True):
            plans.add(tx, number, text, shop, order_version=1)
    return numbers


def by_test(store):
    return {(one.protocol.name, one.garment, one.lot): one for one in proposals.proposals(store, DAY)}


def test_orders_on_one_cloth_share_its_bleed_test_and_their_savings_add_up(store):
    numbers = keep(
        store,
        plan("red tee", oven_bleed_test=20.0),
        plan("red tee", oven_bleed_test=5.5),
        plan("blue tee", oven_bleed_test=3.0),
        plan("red tee", "L-2", oven_bleed_test=1.0),
    )
    found = by_test(store)
    red = found["oven-bleed", "red tee", ""]

    assert red.worth == pytest.approx(25.5)
    assert [(term.order, term.worth) for term in red.terms] == [(numbers[0], 20.0), (numbers[1], 5.5)]
    assert red.net == pytest.approx(19.5)
    assert found["oven-bleed", "blue tee", ""].worth == 3.0
    assert found["oven-bleed", "red tee", "L-2"].worth == 1.0


def test_what_tells_of_the_shop_is_shared_by_every_order(store):
    keep(store, plan("red tee", dryer_probe=2.0), plan("blue tee", dryer_probe=3.0))

    assert by_test(store)["dryer-probe", "", ""].worth == pytest.approx(5.0)


def test_the_test_that_saves_most_beyond_its_cost_comes_first_and_running_ones_last(store):
    keep(store, plan("Quayside tee black", oven_bleed_test=50.0), plan("blue tee", oven_bleed_test=9.0))
    assert [one.garment for one in proposals.proposals(store, DAY)] == ["Quayside tee black", "blue tee"]
    swatch_start.start_from_cloth(
        store, protocol="oven-bleed", key="running-1", who="Lea", garment="Quayside tee black", lot="L-1"
    )
    first, last = proposals.proposals(store, DAY)
    assert (first.garment, last.garment, last.running) == ("blue tee", "Quayside tee black", (1,))


def test_only_the_newest_plan_of_an_order_that_waits_counts(store):
    (number,) = keep(store, plan("red tee", oven_bleed_test=20.0))
    with store.write(who="tests") as tx:
        plans.add(tx, number, plan("red tee", oven_bleed_test=4.0), load_shop(tx), order_version=1)
    assert by_test(store)["oven-bleed", "red tee", ""].worth == 4.0
    with store.write(who="tests") as tx:
        orders.set_state(tx, number, "cancelled", revision=orders.get(tx, number).revision)
    assert by_test(store) == {}


def test_print_settings_and_time_are_told(store):
    keep(store, plan("red tee", oven_bleed_test=20.0))
    (one,) = proposals.proposals(store, DAY)
    (term,) = one.terms

    assert (term.place, term.stack, term.dryer) == ("front", "white through 43/80", "Kiln Lane gas")
    assert term.panel == pytest.approx(673.15)
    assert term.belt == pytest.approx(0.04)
    assert one.in_time == (DAY + dt.timedelta(hours=63) <= term.due)
