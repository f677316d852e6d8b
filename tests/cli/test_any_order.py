"""Whatever the order: a plan or one sentence, never a trace."""

import json

import jsonschema
import pytest
from any_order import order_texts, spoiled_texts
from calls import call, files_under, is_one_sentence
from hypothesis import HealthCheck, given, settings

from laydown.documents.schemas import plan_schema
from laydown.services.planning import plan_order

SCHEMA = jsonschema.Draft202012Validator(plan_schema())
FEW = 24
"""Samples; the way through the code is the same as with 256."""

pytestmark = pytest.mark.usefixtures("quick_planning")
calm = settings(deadline=None, suppress_health_check=list(HealthCheck), database=None, derandomize=True)


@pytest.fixture
def quick_planning(monkeypatch):
    monkeypatch.setattr(
        "laydown.services.planning.plan_order", lambda shop, order, **_: plan_order(shop, order, samples=FEW)
    )


def answer_to(tmp_path, content):
    """Plan an order file and check what must hold for every answer; gives the exit status."""
    order, ticket = tmp_path / "order.toml", tmp_path / "t.pdf"
    order.write_bytes(content)
    ticket.unlink(missing_ok=True)

    called = call("plan", str(order), "--json", "--ticket", str(ticket))

    if called.status == 2:
        assert called.out == ""
        assert is_one_sentence(called.err), called.err
        assert set(files_under(tmp_path)) == {"order.toml"}
        return 2
    assert called.status in (0, 3), called.err
    assert called.err == ""
    plan = json.loads(called.out)
    SCHEMA.validate(plan)
    assert plan["complete"] == (called.status == 0)
    for one in plan["prints"]:
        assert one["choice"] or one["shortfalls"] or not one["considered"]
        assert all(lost["reason"] for lost in one["rejected"])
    assert ticket.read_bytes().startswith(b"%PDF-")
    return called.status


def check_orders(tmp_path_factory, examples):
    seen = set()

    @settings(calm, max_examples=examples)
    @given(order_texts())
    def check(text):
        seen.add(answer_to(tmp_path_factory.mktemp("order"), text.encode()))

    check()
    return seen


def test_a_generated_order_gives_a_plan_or_one_sentence(tmp_path_factory):
    assert check_orders(tmp_path_factory, 5)


@pytest.mark.slow
def test_many_generated_orders_give_plans_and_sentences(tmp_path_factory):
    assert check_orders(tmp_path_factory, 30) == {0, 2, 3}


def test_a_spoiled_order_gives_a_plan_or_one_sentence(tmp_path_factory):
    @settings(calm, max_examples=12)
    @given(spoiled_texts())
    def check(content):
        answer_to(tmp_path_factory.mktemp("order"), content)

    check()
