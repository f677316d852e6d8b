"""At the press: entries kept once, summed, taken back; who may enter."""

import uuid

import pytest
from order_steps import keep_plan
from web_clients import log_in, post, store_of

from laydown.store import press_log

MOMENT = "2026-11-25T10:00:00+01:00"


@pytest.fixture
def at(client):
    """Address of an order with a plan, at the press."""
    order, _ = keep_plan(client)
    return f"/press/{order}"


def enter(client, at, kind, **fields):
    return post(client, f"{at}/entries", at, kind=kind, key=uuid.uuid4().hex, **fields)


def totals(client, at):
    with store_of(client).read() as tx:
        return press_log.totals(tx, int(at.rpartition("/")[2]))


def test_the_page_shows_the_press_order_the_settings_and_the_set_up(client, at):
    page = client.get(at).text

    for words in ("Chalk Cotton White", "mesh 34/100", "Probe should peak at", "head 1:", "not approved"):
        assert words in page


def test_counts_misprints_and_probe_readings_are_summed_and_told(client, at):
    for kind, fields in (
        ("count", {"pieces": "40"}),
        ("count", {"pieces": "8"}),
        ("misprint", {"pieces": "2", "cause": "pinhole"}),
        ("probe reading", {"temperature": "168,5"}),
        ("strike-off", {"good": "yes"}),
        ("note", {"text": "new squeegee"}),
    ):
        assert enter(client, at, kind, **fields).status_code == 303

    found = totals(client, at)
    assert (found.printed, dict(found.misprints)) == (48, {"pinhole": 2})
    page = client.get(at).text
    for words in ("Probe read 168 °C", "Strike-off good", "new squeegee", "2 misprints, pinhole"):
        assert words in page


def test_a_set_up_step_is_ticked_off_and_opened_again(client, at):
    step = "front: mix Chalk Cotton White, 443 g"
    enter(client, at, "set-up step", step=step, done="yes")
    assert totals(client, at).steps == {step: True}
    enter(client, at, "set-up step", step=step, done="no")
    assert totals(client, at).steps == {step: False}


def test_an_entry_is_taken_back_and_both_are_seen(client, at):
    key = uuid.uuid4().hex
    post(client, f"{at}/entries", at, kind="count", key=key, pieces="40")
    enter(client, at, "withdrawal", key_of=key)

    assert totals(client, at).printed == 0
    assert "taken back" in client.get(at).text


@pytest.mark.parametrize(
    ("kind", "fields", "sentence"),
    [
        ("count", {"pieces": "some"}, "whole number"),
        ("misprint", {"pieces": "1", "cause": ""}, "cause"),
        ("probe reading", {"temperature": "hot"}, "a temperature is needed"),
        ("probe reading", {"temperature": "-300"}, "-300 °C is not allowed; allowed is -73 to 726 °C"),
        ("note", {"text": " "}, "text"),
        ("strike-off", {}, "say whether"),
    ],
)
def test_an_entry_that_says_too_little_is_refused_at_its_field(client, at, kind, fields, sentence):
    answer = enter(client, at, kind, **fields)

    assert answer.status_code == 422
    assert sentence.casefold() in answer.text.casefold()


def test_a_program_that_sends_an_entry_twice_is_told_so_and_it_counts_once(client, at):
    entry = {"key": uuid.uuid4().hex, "kind": "count", "document": {"pieces": 12}, "happened_at": MOMENT}
    answers = [client.post(f"/api{at}/entries", json=entry).status_code for _ in range(3)]

    assert answers == [201, 200, 200]
    assert client.get(f"/api{at}").json()["printed"] == 12
    other = entry | {"document": {"pieces": 13}}
    assert client.post(f"/api{at}/entries", json=other).status_code == 409


def test_a_probe_reading_is_taken_in_either_unit(client, at):
    for unit, value in (("celsius", 160.0), ("fahrenheit", 320.0)):
        entry = {
            "key": uuid.uuid4().hex,
            "kind": "probe reading",
            "document": {unit: value},
            "happened_at": MOMENT,
        }
        assert client.post(f"/api{at}/entries", json=entry).json()["document"] == {"temperature": 433.15}


def test_an_order_is_found_by_its_number(client, at):
    assert client.get("/press?order=a-1001").headers["location"] == at
    assert client.get("/press?order=nothing").status_code == 404


@pytest.mark.parametrize(("name", "status"), [("Vera", 403), ("Pit", 303), ("Lea", 303)])
def test_the_crew_enters_and_a_viewer_looks(network_client, name, status):
    log_in(network_client, name)
    fields = {"kind": "note", "key": uuid.uuid4().hex, "text": "ready"}

    assert post(network_client, "/press/1/entries", **fields).status_code == status
    assert network_client.get("/press/1").status_code == 200
