"""``laydown demo`` and ``laydown warmup``."""

import json
from functools import partial

import pytest
from calls import call, files_under

from laydown.documents.template import demo_order_texts
from laydown.services.demo import DemoOrder
from laydown.services.planning import plan_order
from planned import COTTON, POLYESTER, planned


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "out"
    with pytest.MonkeyPatch.context() as patch:
        # Every order is planned for real, with fewer samples than people get: twenty plans are long work.
        patch.setattr("laydown.services.demo.plan_order", partial(plan_order, samples=40))
        return call("demo", "--out", str(folder)), folder


@pytest.mark.slow
def test_demo_writes_a_ticket_and_a_plan_an_order_and_nothing_else(demo):
    called, folder = demo
    keys = [name.removesuffix(".toml") for name in demo_order_texts()]

    assert called.status == 0, called.err
    assert len(keys) >= 14
    written = files_under(folder)
    assert sorted(written) == sorted(f"{key}.{end}" for key in keys for end in ("pdf", "json"))
    for key in keys:
        assert written[f"{key}.pdf"].startswith(b"%PDF-")
        assert json.loads(written[f"{key}.json"])["order"]["name"]


@pytest.mark.slow
def test_demo_shows_every_order_with_stack_cost_and_test(demo):
    called, folder = demo
    words = " ".join(called.out.split())

    for path in folder.glob("*.json"):
        plan = json.loads(path.read_text(encoding="utf-8"))
        for part in plan["order"]["name"].split():
            assert part in words
        for one in plan["prints"]:
            if one["cost"]:
                assert f"{one['cost']['order']:,.2f} {one['cost']['currency']}" in words


def test_a_demo_that_fails_half_way_leaves_the_folder_as_it_was(tmp_path, monkeypatch):
    (tmp_path / "01-gig-night-black-tees.json").write_text("the old one")
    orders = tuple(DemoOrder(key=key, order=planned(key).order) for key in (COTTON, POLYESTER))
    monkeypatch.setattr("laydown.services.demo.demo_orders", lambda *_: orders)
    monkeypatch.setattr("laydown.services.demo.plan_order", lambda *_: planned(COTTON))
    calls = []

    def fails_at_second(_shop, plan, **_):
        calls.append(plan.order.name)
        if len(calls) == 2:
            raise RuntimeError("typesetting broke")
        return b"%PDF-"

    monkeypatch.setattr("laydown.services.demo.ticket", fails_at_second)
    called = call("demo", "--out", str(tmp_path))

    assert called.status == 1
    assert "typesetting broke" in called.err
    assert files_under(tmp_path) == {"01-gig-night-black-tees.json": b"the old one"}
