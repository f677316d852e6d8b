"""The first run leads to a shop, and nothing else works before."""

from __future__ import annotations

from order_steps import order_text
from web_clients import client_of, log_in, post, store_of, token_in

from laydown.documents.template import demo_order_texts
from laydown.services import opening, order_book, shelf_editing
from laydown.services.first_steps import EXAMPLES, NOTE, first_steps
from laydown.store import orders
from laydown.web.settings import Settings


def test_every_page_leads_to_the_start(new_client):
    for address in ("/", "/shelves", "/jobs"):
        answer = new_client.get(address)
        assert (answer.status_code, answer.headers["location"]) == (303, "/start"), address
    assert new_client.get("/api/shelves/inks").status_code == 409


def test_the_demo_shop_brings_its_shelves_and_orders_with_their_art(new_client):
    assert post(new_client, "/start", "/start", choice="demo").status_code == 303
    with store_of(new_client).read() as tx:
        found, number = orders.find(tx)
        assert number == len(demo_order_texts()) > 0
        texts = [orders.version(tx, one.id, 1) for one in found]
    with_art = [one for one in texts if "artwork" in one.text]
    assert all(one.files for one in with_art)
    assert "Chalk Cotton White" in new_client.get("/shelves/inks").text


def test_an_empty_shop_has_rules_and_nothing_on_the_other_shelves(new_client):
    assert post(new_client, "/start", "/start", choice="empty", name=" Quay Prints ").status_code == 303
    shop = opening.current_shop(store_of(new_client))
    assert shop.name == "Quay Prints"
    assert shop.rules
    assert (shop.garments, shop.inks, shop.screens, shop.presses, shop.dryers) == ((), (), (), (), ())
    assert "Add the first ink" in new_client.get("/shelves/inks").text


def test_an_empty_shop_is_led_to_its_first_plan_step_by_step(new_client):
    store = store_of(new_client)
    post(new_client, "/start", "/start", choice="empty", name="Quay Prints")
    missing = [step.label for step in first_steps(store) if step.needed and not step.done]
    assert missing == ["A press", "A dryer", "Screens", "A white ink", "The first order"]
    assert "To the first plan" in new_client.get("/").text
    assert "A plan needs" in new_client.get("/orders/new").text

    for kind in ("presses", "dryers", "screens", "inks"):
        assert post(new_client, "/first-steps/examples", "/", kind=kind).headers["location"] == f"/shelves/{kind}"
    origin = {"origin": "http://127.0.0.1:8300", "x-csrf-token": token_in(new_client.get("/"))}
    assert new_client.post("/api/shelves/garments/examples", headers=origin).status_code == 201
    items = [one for kind in EXAMPLES for one in shelf_editing.items(store, kind)]
    assert len(items) > 20
    assert {one.note for one in items} == {NOTE}
    assert post(new_client, "/first-steps/examples", "/", kind="inks").status_code == 422
    assert post(new_client, "/first-steps/examples", "/", kind="rules").status_code == 422

    assert [step.label for step in first_steps(store) if step.needed and not step.done] == ["The first order"]
    assert "A plan needs" not in new_client.get("/orders/new").text
    order_book.take_in(store, order_text(), art={}, who="tests")
    assert first_steps(store) == ()
    assert "To the first plan" not in new_client.get("/").text


def test_a_shop_without_a_name_is_not_started(new_client):
    answer = post(new_client, "/start", "/start", choice="empty", name=" ")
    assert answer.status_code == 422
    assert opening.shop_head(store_of(new_client)) is None
    assert post(new_client, "/start", "/start", choice="other").status_code == 422


def test_a_second_shop_is_refused(client):
    token = token_in(client.get("/account"))
    origin = {"origin": "http://127.0.0.1:8300"}
    assert client.post("/start", data={"csrf": token, "choice": "demo"}, headers=origin).status_code == 409
    assert client.get("/start").headers["location"] == "/"


def test_the_first_owner_is_made_with_the_code_of_the_console_once(tmp_path):
    with client_of(Settings(data=tmp_path, worker=False, host="0.0.0.0", plain_http=True)) as client:
        code = client.app.state.laydown.setup_code
        assert len(code) >= 10
        assert client.get("/login").headers["location"] == "/setup"
        wrong = post(client, "/setup", "/setup", code="0" * len(code), name="Olga", password="long enough it is")
        assert wrong.status_code == 422
        short = post(client, "/setup", "/setup", code=code, name="Olga", password="short")
        assert short.status_code == 422
        assert post(client, "/setup", "/setup", code=code, name="Olga", password="long enough it is").status_code == 303
        assert client.get("/start").status_code == 200
        assert client.app.state.laydown.setup_code == ""
        assert client.get("/setup").headers["location"] == "/"


def test_guessing_the_code_is_slowed_down(tmp_path):
    with client_of(Settings(data=tmp_path, worker=False, host="0.0.0.0", plain_http=True)) as client:
        tries = [
            post(client, "/setup", "/setup", code=f"guess {n}", name="O", password="p").status_code for n in range(7)
        ]
        assert tries == [422] * 5 + [429] * 2


def test_there_is_no_code_once_there_is_an_owner(network_client):
    assert network_client.app.state.laydown.setup_code == ""
    assert log_in(network_client, "Olga").status_code == 303
