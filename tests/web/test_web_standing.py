"""Whether a plan still stands is told by what it rests on, not by the time."""

import dataclasses

import pytest
from order_steps import COTTON, keep_plan
from web_clients import store_of

from laydown.services import order_book, plan_book, shelf_editing
from laydown.services.plan_standing import differences
from laydown.store import orders, plans
from laydown.store.shop_exchange import load_shop
from planned import invented_shop

WHITE = "Chalk Cotton White"


@pytest.fixture
def order_and_plan(client):
    return keep_plan(client, COTTON)


def change(store, kind, name, **values):
    item = shelf_editing.item(store, kind, name)
    shelf_editing.keep(store, kind, dict(item.document) | values, revision=item.revision, who="Lea", was=name)


def changes(client, order_and_plan):
    return plan_book.sheet(store_of(client), *order_and_plan).changes


def test_a_plan_on_the_shop_as_it_is_stands(client, order_and_plan):
    assert changes(client, order_and_plan) == ()
    assert "out of date" not in client.get(f"/orders/{order_and_plan[0]}").text


@pytest.mark.slow
def test_what_was_changed_is_named_and_stands_again_when_it_is_changed_back(client, order_and_plan):
    store = store_of(client)
    price = shelf_editing.item(store, "inks", WHITE).document["price_per_kg"]
    change(store, "inks", WHITE, price_per_kg=price + 1)
    assert changes(client, order_and_plan) == (f"inks: {WHITE} changed",)
    assert f"inks: {WHITE} changed" in client.get(f"/orders/{order_and_plan[0]}").text
    (row,) = [row for row in order_book.find(store, limit=100)[0] if row.order.id == order_and_plan[0]]
    assert row.out_of_date
    change(store, "inks", WHITE, price_per_kg=price)
    assert changes(client, order_and_plan) == ()


@pytest.mark.slow
def test_what_changed_while_the_plan_was_made_is_found(client):
    store = store_of(client)
    with store.read() as tx:
        order = orders.find(tx, text="gig")[0][0]
        read = load_shop(tx)
    costs = shelf_editing.item(store, "costs", "costs").document
    change(store, "costs", "costs", labour_per_hour=costs["labour_per_hour"] + 1)
    from order_steps import plan_text

    with store.write(who="tests") as tx:
        stored = plans.add(tx, order.id, plan_text(COTTON), read, order_version=1)

    assert changes(client, (order.id, stored.number)) == ("costs changed",)


def test_units_and_notes_leave_a_plan_as_it_is(client, order_and_plan):
    store = store_of(client)
    change(store, "preferences", "preferences", temperature="F")
    item = shelf_editing.item(store, "inks", WHITE)
    shelf_editing.keep(store, "inks", item.document, revision=item.revision, who="Lea", was=WHITE, note="new tub")

    assert changes(client, order_and_plan) == ()


def test_added_taken_off_and_moved_items_are_told_apart():
    shop = invented_shop()
    first, second, *rest = shop.rules

    assert differences(shop, dataclasses.replace(shop, inks=shop.inks[1:])) == (f"inks: {shop.inks[0].name} taken off",)
    assert differences(dataclasses.replace(shop, inks=shop.inks[1:]), shop) == (f"inks: {shop.inks[0].name} added",)
    assert differences(shop, dataclasses.replace(shop, rules=(second, first, *rest))) == ("rules put in another order",)
    assert differences(shop, dataclasses.replace(shop, rules=(second, *rest))) == (f"rules: {first.name} taken off",)
