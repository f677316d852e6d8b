"""The small services: schemas, rules, demo orders, opening and starting a shop."""

import json

import pytest

from laydown.domain.order import Order
from laydown.errors import InvalidInput, NotFound
from laydown.services.demo import demo_files, demo_orders
from laydown.services.rules import rule_facts, trade_rules
from laydown.services.schemas import plan_json, schema
from laydown.services.shelves import init_shop, open_shop, read_order
from laydown.services.tickets import ticket
from planned import COTTON, invented_shop, planned


def test_only_the_two_schemas_are_known():
    with pytest.raises(NotFound, match=r"'ticket'.*'plan', 'order'"):
        schema("ticket")


def test_the_json_is_one_document_that_ends_with_a_line_break():
    text = plan_json(planned(COTTON))

    assert text.endswith("}\n")
    assert json.loads(text)["meta"]["samples"] == 256


def test_a_broken_rule_is_told_when_rules_are_listed(tmp_path):
    folder = init_shop(tmp_path / "shop")
    rules = folder / "rules.toml"
    rules.write_text(rules.read_text(encoding="utf-8").replace('fact = "reducer"', 'fact = "reduser"', 1))

    with pytest.raises(InvalidInput, match=r"rules\.toml.*'reduser'.*did you mean 'reducer'"):
        trade_rules(open_shop(folder))


def test_facts_have_different_names_and_a_meaning():
    facts = rule_facts()

    assert len({fact.name for fact in facts}) == len(facts) > 40
    assert all(fact.meaning for fact in facts)


def test_a_new_shop_is_the_invented_one(tmp_path):
    folder = init_shop(str(tmp_path / "shop"))

    assert open_shop(folder).inks == open_shop().inks
    assert open_shop(str(folder)).costs == open_shop().costs


@pytest.mark.slow
def test_demo_orders_are_read_in_the_order_of_their_names():
    orders = demo_orders()

    assert [one.key for one in orders] == sorted(one.key for one in orders)
    assert all(isinstance(one.order, Order) for one in orders)
    assert len({one.order.identifier for one in orders}) == len(orders)


def test_an_order_of_a_new_shop_is_the_demo_order(tmp_path):
    folder = init_shop(tmp_path / "shop")

    assert read_order(folder / "orders" / f"{COTTON}.toml", open_shop(folder)) == planned(COTTON).order


def test_a_demo_gives_two_files_an_order():
    files = demo_files(invented_shop(), {"one": planned(COTTON)})

    assert list(files) == ["one.pdf", "one.json"]
    assert files["one.pdf"] == ticket(invented_shop(), planned(COTTON))
    assert files["one.json"] == plan_json(planned(COTTON))
