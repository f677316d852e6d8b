"""Programs do with JSON what people do with pages, and every answer is one that is documented."""

from __future__ import annotations

import re

import pytest
from web_clients import store_of

from laydown.services import shelf_editing
from laydown.web.published import published

WHITE = "Chalk Cotton White"


@pytest.fixture
def schema(client):
    return published(client.app)


def test_an_item_is_added_changed_and_removed(client):
    document = client.get(f"/api/shelves/inks/{WHITE}").json()["document"] | {"name": "43/80 & more?"}
    added = client.post("/api/shelves/inks", json={"document": document})
    assert added.status_code == 201
    item = added.json()
    address = "/api/shelves/inks/43%2F80%20%26%20more%3F"
    assert client.get(address).json() == item
    change = {"document": document | {"price_per_kg": 12.5}, "revision": item["revision"], "note": "n"}
    changed = client.put(address, json=change).json()
    assert (changed["document"]["price_per_kg"], changed["note"]) == (12.5, "n")
    late = client.put(address, json=change)
    assert late.status_code == 409
    assert late.json()["present"] == changed
    assert client.delete(address, params={"revision": item["revision"]}).status_code == 409
    assert client.delete(address, params={"revision": changed["revision"]}).status_code == 204
    assert client.get(address).status_code == 404


def test_a_mistake_is_one_sentence_and_its_place(client):
    item = client.get(f"/api/shelves/inks/{WHITE}").json()
    wrong = {"document": item["document"] | {"fusion_c": 900}, "revision": item["revision"]}
    answer = client.put(f"/api/shelves/inks/{WHITE}", json=wrong)
    assert answer.status_code == 422
    assert answer.json() == {
        "what": "900 °C is not allowed; allowed is 20 to 250 °C",
        "where": f"the shelf of inks, fusion_c ({WHITE})",
    }
    torn = client.post("/api/shelves/inks", content=b"{", headers={"content-type": "application/json"})
    assert torn.status_code == 422
    assert set(client.get("/api/shelves/socks").json()) == {"what", "where"}


def test_settings_are_changed_naming_what_was_read(client):
    costs = client.get("/api/settings/costs").json()
    change = {"document": costs["document"] | {"labour_per_hour": 21}, "revision": costs["revision"]}
    assert client.put("/api/settings/costs", json=change).json()["document"]["labour_per_hour"] == 21
    assert client.put("/api/settings/costs", json=change).status_code == 409
    unread = client.put("/api/settings/costs", json={"document": costs["document"]})
    assert unread.status_code == 422


def test_people_and_the_log(client):
    made = client.post("/api/people", json={"name": "Pit", "role": "press"}).json()
    assert made["has_password"] is False
    taken = client.post("/api/people", json={"name": "PIT", "role": "press"})
    assert taken.status_code == 409
    change = {"revision": made["revision"], "role": "lead"}
    assert client.put(f"/api/people/{made['id']}", json=change).json()["role"] == "lead"
    assert client.put(f"/api/people/{made['id']}", json=change).status_code == 409
    lines = client.get("/api/log", params={"kind": "user"}).json()
    assert [(line["action"], line["key"]) for line in lines] == [("change", "Pit"), ("add", "Pit")]
    assert client.get("/api/people").json()[0]["role"] == "lead"
    assert client.get("/api/me").json()["door"] == "machine"


def test_every_address_documents_its_errors_as_one_shape(schema):
    for path, methods in schema["paths"].items():
        for method, operation in methods.items():
            answers = operation["responses"]
            assert {"401", "403", "422", "503"} <= set(answers), (method, path)
            for status, answer in answers.items():
                if status >= "400":
                    shape = answer["content"]["application/json"]["schema"]["$ref"]
                    assert shape.endswith("Problem"), (method, path, status)
            assert operation["summary"], (method, path)
            assert operation["description"], (method, path)


def test_the_interface_is_described_on_a_page_of_our_own(client, schema):
    page = client.get("/programs")
    assert page.status_code == 200
    for path in schema["paths"]:
        assert path in page.text
    assert client.get("/api/openapi.json").json() == schema
    assert client.get("/docs").status_code == 404
    assert client.get("/redoc").status_code == 404
    assert client.get("/openapi.json").status_code == 404
    assert not re.search(r'(?:src|href)="(?:https?:)?//', page.text)


def test_the_api_reaches_every_shelf_and_setting(client):
    store = store_of(client)
    for kind in shelf_editing.SHELVES:
        assert len(client.get(f"/api/shelves/{kind}").json()) == len(shelf_editing.items(store, kind))
    for kind in shelf_editing.SETTINGS:
        assert client.get(f"/api/settings/{kind}").json()["name"] == kind
    assert client.get("/api/shop").json()["items"]["inks"] == len(shelf_editing.items(store, "inks"))
