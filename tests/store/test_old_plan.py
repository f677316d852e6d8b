"""An old plan is computed again from what is kept with it, whatever the shop looks like by now."""

import dataclasses
from importlib.resources import files as package_files

import pytest

from laydown.documents.order_file import read_order
from laydown.documents.plan_document import plan_to_json
from laydown.services.planning import plan_order
from laydown.store import orders, plans
from laydown.store.shop_exchange import import_folder, load_shop, save_shop


@pytest.mark.slow
def test_an_old_plan_is_computed_again_to_the_last_byte_after_the_shop_and_the_order_changed(
    store, demo_folder, tmp_path
):
    text = (package_files("laydown.data") / "orders" / "01-gig-night-black-tees.toml").read_text(encoding="utf-8")
    with store.write(who="ann") as tx:
        import_folder(tx, demo_folder)
        order = orders.add(tx, text)
        path = orders.write_folder(tx, order.id, tmp_path / "then")
        shop = load_shop(tx)
    plan = plan_to_json(plan_order(shop, read_order(path, shop), samples=200, seed=11))
    with store.write(who="ann") as tx:
        plans.add(tx, order.id, plan, shop, order_version=1)
        costs = dataclasses.replace(shop.costs, labour_rate=99.0)
        save_shop(tx, dataclasses.replace(shop, inks=shop.inks[1:], costs=costs))
        changed = text.replace("quantity = ", "quantity = 9")
        orders.change(tx, order.id, changed, revision=orders.get(tx, order.id).revision)

    with store.read() as tx:
        old = plans.get(tx, order.id, 1)
        then, version = plans.rests_on(tx, old)
        path = orders.write_folder(tx, order.id, tmp_path / "again", number=version.version)
        again = plan_order(then, read_order(path, then), samples=old.samples, seed=old.seed)
        assert plan_to_json(again) == plans.text(tx, old) == plan
        assert then != load_shop(tx)
