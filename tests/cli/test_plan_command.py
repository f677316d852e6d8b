"""``laydown plan``: table, JSON, ticket and library say the same, and say it twice."""

import json
import re

import jsonschema
import pytest
from calls import COTTON, ORDERS, call, call_process, files_under, new_shop

import laydown
from laydown.report import display_units as show
from planned import COTTON as COTTON_KEY
from planned import planned

POLYESTER = str(ORDERS / "05-running-club-red-polyester.toml")


@pytest.fixture(scope="module")
def written():
    """The JSON of the polyester order."""
    return call("plan", POLYESTER, "--json")


def test_the_json_holds_to_the_published_schema(written):
    schema = json.loads(call("schema", "plan").out)
    jsonschema.Draft202012Validator.check_schema(schema)

    jsonschema.validate(json.loads(written.out), schema, cls=jsonschema.Draft202012Validator)


def test_the_schema_of_an_order_accepts_the_shipped_orders():
    import tomllib

    schema = json.loads(call("schema", "order").out)
    jsonschema.Draft202012Validator.check_schema(schema)

    for order in ORDERS.glob("*.toml"):
        plain = json.loads(json.dumps(tomllib.loads(order.read_text(encoding="utf-8")), default=str))
        jsonschema.validate(plain, schema, cls=jsonschema.Draft202012Validator)


@pytest.mark.slow
def test_two_processes_write_the_same_bytes(written, tmp_path):
    """Neither the hash seed nor the number of threads may show."""
    ticket = str(tmp_path / "t.pdf")

    first = call_process("plan", POLYESTER, "--json", "--ticket", ticket, PYTHONHASHSEED="1")
    once = files_under(tmp_path)
    second = call_process("plan", POLYESTER, "--json", "--ticket", ticket, PYTHONHASHSEED="2", NUMBA_NUM_THREADS="1")

    assert first.out == second.out == written.out
    assert files_under(tmp_path) == once
    assert list(once) == ["t.pdf"]


def test_library_and_command_give_the_same_json(written):
    shop = laydown.open_shop()
    plan = laydown.plan_order(shop, laydown.read_order(POLYESTER, shop))

    assert laydown.plan_json(plan) == written.out
    assert written.status == (0 if plan.complete else 3)


def test_the_table_shows_what_the_json_says(written, monkeypatch):
    monkeypatch.setenv("COLUMNS", "200")
    document = json.loads(written.out)
    chosen = document["prints"][0]
    assert chosen["choice"] is not None

    table = call("plan", POLYESTER).out
    words = re.sub(r"\s+", " ", table)

    assert document["order"]["name"] in table
    for one in chosen["choice"]["passes"]:
        assert (one["ink"] or "smoothing pass") in words
    assert chosen["settings"]["dryer"]["dryer"] in words
    assert f"panel {chosen['settings']['dryer']['panel_temperature_c']:.0f} °C" in words
    assert show.money(chosen["cost"]["order"], chosen["cost"]["currency"]) in words
    assert f"{show.pieces_per_hour(chosen['production']['pieces_per_h'] / 3600)} pieces an hour" in words
    assert f"{len(chosen['rejected']):,} of {chosen['considered']:,} weighed" in words
    for test in document["tests"]:
        assert test["name"] in words
    assert all(re.sub(r"\s+", " ", caution) in words.replace(" – ", " ") for caution in document["cautions"])


def test_every_stack_that_was_weighed_is_chosen_or_has_a_reason(written):
    for one in json.loads(written.out)["prints"]:
        labels = [lost["stack"] for lost in one["rejected"]] + ([one["choice"]["label"]] if one["choice"] else [])

        assert sorted(labels) == sorted(set(labels))
        assert len(labels) == one["considered"]
        assert all(lost["reason"] for lost in one["rejected"])


def test_all_lists_each_stack_that_lost(monkeypatch):
    monkeypatch.setenv("COLUMNS", "400")
    monkeypatch.setattr("laydown.services.planning.plan_order", lambda *_, **__: planned(COTTON_KEY))

    every = call("plan", COTTON, "--all").out

    for lost in planned(COTTON_KEY).prints[0].rejected:
        assert lost.stack in every


@pytest.mark.slow
def test_a_changed_shelf_changes_the_plan(tmp_path):
    shop = new_shop(tmp_path / "shop")
    before = json.loads(call("plan", COTTON, "--json", "--shop", str(shop)).out)
    assert before == json.loads(call("plan", COTTON, "--json").out)
    white = before["prints"][0]["choice"]["passes"][0]["ink"]
    inks = (shop / "inks.toml").read_text(encoding="utf-8")
    head, found, tail = inks.partition(f'name = "{white}"')
    price = re.search(r"price_per_kg = [\d.]+", tail)
    assert found
    assert price
    (shop / "inks.toml").write_text(head + found + tail.replace(price[0], "price_per_kg = 900.0", 1), encoding="utf-8")

    after = json.loads(call("plan", COTTON, "--json", "--shop", str(shop)).out)

    assert after["prints"][0]["choice"]["passes"][0]["ink"] != white


def test_the_shop_can_be_named_by_the_environment(tmp_path, monkeypatch):
    monkeypatch.setenv("LAYDOWN_SHOP", str(tmp_path / "nowhere"))

    assert "nowhere" in call("plan", COTTON).err


def test_a_ticket_that_fails_half_way_leaves_the_old_one(tmp_path, monkeypatch):
    ticket = tmp_path / "t.pdf"
    ticket.write_bytes(b"the old one")

    def full(*_args, **_keys):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("laydown.services.planning.plan_order", lambda *_, **__: planned(COTTON_KEY))
    monkeypatch.setattr("os.fsync", full)
    called = call("plan", COTTON, "--ticket", str(ticket))

    assert called.status == 2
    assert "No space left on device" in called.err
    assert files_under(tmp_path) == {"t.pdf": b"the old one"}


def test_a_table_that_cannot_be_made_leaves_no_ticket(tmp_path, monkeypatch):
    def broken(*_args, **_keys):
        raise RuntimeError("no table today")

    monkeypatch.setattr("laydown.services.planning.plan_order", lambda *_, **__: planned(COTTON_KEY))
    monkeypatch.setattr("laydown.report.tables.plan_table", broken)
    called = call("plan", COTTON, "--ticket", str(tmp_path / "t.pdf"))

    assert called.status == 1
    assert "nothing was written (RuntimeError: no table today)" in called.err
    assert files_under(tmp_path) == {}
