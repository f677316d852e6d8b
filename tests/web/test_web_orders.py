"""Orders in the browser: taken in without losing anything typed, found, changed, moved on."""

import hashlib
import re

import pytest
from order_steps import keep_plan, order_text, send_new, waiting
from web_clients import log_in, post, store_of, token_in

from laydown.store import orders

PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc0000003010100c9fe92ef0000000049454e44ae426082"
)


def newest(client):
    with store_of(client).read() as tx:
        return max(orders.find(tx, limit=200)[0], key=lambda one: one.id)


def send_file(client, **fields):
    token = token_in(client.get("/orders/new"))
    origin = str(client.base_url).rstrip("/")
    files = {"p0_art": ("lighthouse at night.png", PNG, "image/png")}
    return client.post("/orders/new", data={"csrf": token, **fields}, files=files, headers={"origin": origin})


def test_a_care_label_a_size_a_quantity_and_a_date_make_an_order_that_is_planned_at_once(client):
    answer = send_new(client)

    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/jobs/")
    made = newest(client)
    assert (made.name, made.garment, made.quantity, made.state) == ("Night swim tees", "100% cotton", 96, "new")
    assert [job.request["order"] for job in waiting(client)] == [made.id]


def test_a_garment_of_the_shelf_is_known_by_its_name_whatever_its_capitals(client):
    assert send_new(client, garment="QUAYSIDE TEE SKY", then="later").headers["location"].startswith("/orders/")

    with store_of(client).read() as tx:
        made = max(orders.find(tx, limit=200)[0], key=lambda one: one.id)
        assert 'reference = "Quayside tee sky"' in orders.version(tx, made.id, 1).text


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("quantity", "many", "no whole number"),
        ("quantity", "0", "0"),
        ("due", "soon", "no date"),
        ("garment", "60% cotton", "neither a garment of your shelf nor a care label"),
        ("structure", "", "choose how the cloth is made"),
        ("mass", "", "mass is missing"),
        ("colour", "red", "is no colour"),
        ("name", " ", "needs a name"),
        ("p0_coverage", "142", "142 % is not allowed"),
        ("p0_width", "wide", "no number"),
        ("p0_width", "9000", "9000"),
        ("p0_inks", "Ink of nobody", "Ink of nobody"),
    ],
)
def test_the_sentence_stands_at_the_field_and_nothing_typed_is_lost(client, field, value, sentence):
    before = newest(client).id
    answer = send_new(client, **{field: value})

    assert answer.status_code == 422
    assert sentence.casefold() in answer.text.casefold()
    box = re.search(rf'<div class="field-box[^"]*wrong[^"]*"[^>]*>\s*<label for="{field}"', answer.text)
    assert box, "the field is marked"
    kept = {"name": "Night swim tees", "garment": "100% cotton", "quantity": "96"} | {field: value}
    for name, typed in kept.items():
        assert f'name="{name}"' in answer.text
        assert not typed.strip() or f'value="{typed}"' in answer.text or f"<option selected>{typed}" in answer.text
    assert newest(client).id == before


def test_an_art_file_is_kept_when_something_else_is_wrong_and_need_not_be_sent_again(client):
    answer = send_file(client, way="form", name="Lighthouse", quantity="", due="2099-01-10", garment="Quayside tee sky")

    assert answer.status_code == 422
    sha = re.search(r'name="p0_art_sha" value="([0-9a-f]{64})"', answer.text)[1]
    name = re.search(r'name="p0_art_name" value="([^"]*)"', answer.text)[1]
    again = post(
        client,
        "/orders/new",
        "/orders/new",
        way="form",
        name="Lighthouse",
        quantity="12",
        due="2099-01-10",
        garment="Quayside tee sky",
        p0_width="200",
        p0_art_sha=sha,
        p0_art_name=name,
        then="later",
    )
    assert again.status_code == 303
    with store_of(client).read() as tx:
        made = newest(client)
        assert dict(orders.version(tx, made.id, 1).files) == {"art/1-lighthouse-at-night.png": sha}


def test_an_order_file_is_pasted_and_a_wrong_one_stands_there_again_with_its_sentence(client):
    wrong = order_text().replace("quantity = 96", "quantity = 0")
    answer = post(client, "/orders/new", "/orders/new", way="file", text=wrong)

    assert answer.status_code == 422
    assert "quantity" in answer.text
    assert "quantity = 0" in answer.text
    assert post(client, "/orders/new", "/orders/new", way="file", text=order_text()).status_code == 303
    assert newest(client).identifier == "T-1"


def test_orders_are_found_by_word_and_by_state(client):
    page = client.get("/orders?q=regatta").text

    assert "Harbour regatta tees" in page
    assert "Gig night tees" not in page
    assert "Harbour regatta tees" not in client.get("/orders?only=done").text
    assert client.get("/orders?only=lost").status_code == 422
    assert "No order fits" in client.get("/orders?q=zzz").text


def test_a_new_version_is_kept_beside_the_old_one(client):
    post(client, "/orders/new", "/orders/new", way="file", text=order_text(), then="later")
    made = newest(client)
    changed = order_text().replace("quantity = 96", "quantity = 97")
    fields = {"text": changed, "reason": "one more", "revision": str(made.revision)}
    answer = post(client, f"/orders/{made.id}/edit", f"/orders/{made.id}/edit", **fields)

    assert answer.status_code == 303
    assert newest(client).quantity == 97
    assert "quantity = 96" in client.get(f"/orders/{made.id}/versions/1").text
    assert "one more" in client.get(f"/orders/{made.id}").text


def test_the_later_of_two_changes_is_told_and_its_text_is_not_lost(client):
    post(client, "/orders/new", "/orders/new", way="file", text=order_text(), then="later")
    made = newest(client)
    at = f"/orders/{made.id}/edit"
    first = order_text().replace("quantity = 96", "quantity = 97")
    second = order_text().replace("quantity = 96", "quantity = 98")
    post(client, at, at, text=first, reason="", revision=str(made.revision))
    answer = post(client, at, at, text=second, reason="", revision=str(made.revision))

    assert answer.status_code == 409
    assert "quantity = 98" in answer.text
    assert newest(client).quantity == 97


def test_an_order_is_printed_by_an_approved_plan_only(client):
    order, plan = keep_plan(client)
    page = client.get(f"/orders/{order}/plans/{plan}").text
    revision = re.search(r'name="revision" value="(\d+)"', page)[1]

    assert post(client, f"/orders/{order}/state", to="printing", revision=revision).status_code == 422
    post(client, f"/orders/{order}/approve", plan=str(plan), revision=revision)
    with store_of(client).read() as tx:
        assert orders.get(tx, order).state == "approved"


def test_today_names_what_is_due_and_what_waits_for_a_decision(client):
    keep_plan(client)
    page = client.get("/").text

    assert "No plan yet" in page
    assert "Plan to approve" in page
    assert re.search(r"Plan to approve.*Gig night tees", page, re.DOTALL)
    assert "Dryer probe" in page


def test_today_says_that_a_plan_is_out_of_date_once_a_shelf_changed(client):
    from laydown.services import shelf_editing

    order, _ = keep_plan(client)
    store = store_of(client)
    ink = shelf_editing.items(store, "inks")[0]
    dearer = dict(ink.document) | {"price_per_kg": 99.0}
    shelf_editing.keep(store, "inks", dearer, revision=ink.revision, who="Lea", was=ink.name)

    assert "Plan out of date" in client.get("/").text
    assert ink.name in client.get(f"/orders/{order}").text


@pytest.mark.parametrize(("name", "status"), [("Vera", 403), ("Pit", 403), ("Lea", 303)])
def test_only_a_lead_or_more_takes_orders_in(network_client, name, status):
    log_in(network_client, name)

    assert post(network_client, "/orders/new", way="file", text=order_text()).status_code == status
    assert network_client.get("/orders/new").status_code == (200 if status == 303 else 403)
    assert network_client.get("/orders").status_code == 200


def test_programs_take_an_order_in_with_its_art_and_read_it_again(client):
    kept = client.post("/api/files", files={"file": ("a.png", PNG)})
    assert kept.json() == {"sha256": hashlib.sha256(PNG).hexdigest()}
    files = {"art/a.png": kept.json()["sha256"]}
    made = client.post("/api/orders", json={"text": order_text(), "files": files, "plan": True})

    assert made.status_code == 201
    assert made.json()["job"]["kind"] == "plan"
    number = made.json()["order"]["id"]
    assert client.get(f"/api/orders/{number}").json()["versions"][0]["text"] == order_text()
    assert client.get("/api/orders?q=night+swim").json()["number"] == 1
    assert client.post("/api/orders", json={"text": "no order"}).status_code == 422
    assert client.get("/api/orders/99999").status_code == 404
    stale = {"state": "cancelled", "revision": 1}
    assert client.put(f"/api/orders/{number}/state", json=stale).status_code == 409
